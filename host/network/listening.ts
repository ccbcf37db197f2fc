// Has a server of sockets listen, and go on when a connection cannot be taken.
import type { AddressInfo, Server } from 'node:net';

/**
 * Resolves with the port once the server listens. What goes wrong later, such as a connection that cannot be accepted because
 * too many files are open, ends neither server nor process.
 * @param cannot the sentence for why it cannot listen there
 * @throws Error with that sentence
 */
export function listening(
  server: Server,
  { port, host }: { port: number; host: string },
  cannot: (error: NodeJS.ErrnoException) => string,
): Promise<number> {
  return new Promise((resolve, reject) => {
    // Kept on: without one, the next error would end the process.
    server.on('error', (error: NodeJS.ErrnoException) => reject(new Error(cannot(error))));
    server.listen(port, host, () => resolve((server.address() as AddressInfo).port));
  });
}
