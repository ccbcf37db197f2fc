// A connection to the host that comes and goes, breaks while an answer is on its way, or leads to somebody else who
// answers that all is well, as the page of a guest network does.
import { type AddressInfo, createServer, type Server, Socket } from 'node:net';

/** "portal": somebody else says yes in place of the host. */
export type Fate = 'pass' | 'cut before' | 'cut after' | 'portal';

export interface BadLine {
  /** Address of the host through it. */
  url: string;
  /** While it is down, nothing gets through and nothing can be opened. */
  setUp(up: boolean): void;
  /** What becomes of the next inspections that are sent. */
  onSend(fate: () => Fate): void;
  /** How many times an answer was cut off: the host had it, the page does not know. */
  cutAfter(): number;
  close(): Promise<void>;
}

const PORTAL = 'HTTP/1.1 200 OK\r\ncontent-type: application/json\r\nconnection: close\r\n\r\n{"ok":true}';
const SENDING = Buffer.from('POST /api/inspections');

/** @param port of the host on this machine */
export async function startBadLine(port: number): Promise<BadLine> {
  let up = true;
  let fate: () => Fate = () => 'pass';
  let cut = 0;
  const open = new Set<Socket>();
  const server: Server = createServer((near) => {
    const far = new Socket();
    const end = (): void => {
      for (const socket of [near, far]) {
        open.delete(socket);
        socket.destroy();
      }
    };
    if (!up) return end();
    for (const socket of [near, far]) {
      open.add(socket);
      socket.on('error', end).on('close', end);
    }
    let cutsAnswer = false;
    far.connect(port, '127.0.0.1');
    near.on('data', (bytes) => {
      const what = bytes.subarray(0, SENDING.length).equals(SENDING) ? fate() : 'pass';
      if (what === 'cut before') return end();
      if (what === 'portal') return void near.end(PORTAL);
      cutsAnswer ||= what === 'cut after';
      return void far.write(bytes);
    });
    far.on('data', (bytes) => {
      if (!cutsAnswer) return void near.write(bytes);
      cut++;
      return end();
    });
    return undefined;
  });
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve));
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}`,
    setUp(next) {
      up = next;
      if (!up) for (const socket of [...open]) socket.destroy();
    },
    onSend: (next) => {
      fate = next;
    },
    cutAfter: () => cut,
    close: () =>
      new Promise((resolve) => {
        for (const socket of [...open]) socket.destroy();
        server.close(() => resolve());
      }),
  };
}
