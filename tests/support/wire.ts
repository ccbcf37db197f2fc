// A TCP connection that can be looked at, held and cut on its way.
import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

export interface Wire {
  /** The URL with the wire's own place. */
  url: string;
  /** Ends all connections; what was held on them arrives nowhere. */
  cut(): void;
  close(): void;
}

/**
 * Listens in the place of the server that a URL names.
 * @param look may hold what goes to the server or comes back: it arrives once this resolves
 */
export async function wireTo(
  url: string,
  look?: (bytes: Buffer, isBack: boolean) => Promise<void> | undefined,
): Promise<Wire> {
  const { hostname, port } = new URL(url);
  const sockets = new Set<Socket>();
  const relay = (from: Socket, to: Socket, isBack: boolean): void => {
    from.on('data', async (bytes) => {
      from.pause();
      await look?.(bytes, isBack);
      if (!to.destroyed) to.write(bytes);
      from.resume();
    });
    from.on('end', () => to.end());
  };
  const server = createServer((socket) => {
    const other = connect(Number(port), hostname);
    for (const end of [socket, other]) {
      sockets.add(end);
      end.on('error', () => {});
    }
    relay(socket, other, false);
    relay(other, socket, true);
  });
  server.listen(0, '127.0.0.1');
  await once(server, 'listening');
  const own = new URL(url);
  own.hostname = '127.0.0.1';
  own.port = String((server.address() as AddressInfo).port);
  const cut = (): void => {
    for (const socket of sockets) socket.destroy();
    sockets.clear();
  };
  return {
    url: own.href,
    cut,
    close() {
      cut();
      server.close();
    },
  };
}
