import { createServer } from 'node:net';
import { expect, it } from 'vitest';
import { listening } from '../../../host/network/listening';

const HERE = { port: 0, host: '127.0.0.1' };

it('goes on when connections cannot be accepted, however often', async () => {
  const server = createServer();
  const port = await listening(server, HERE, () => 'never');
  // As Node tells of an accept that failed.
  const failed = Object.assign(new Error('accept EMFILE'), { code: 'EMFILE', syscall: 'accept' });
  for (let n = 0; n < 3; n++) expect(server.emit('error', failed)).toBe(true);
  const taken = listening(createServer(), { ...HERE, port }, ({ code }) => `No: ${code}.`);
  await expect(taken).rejects.toThrow('No: EADDRINUSE.');
  await new Promise((resolve) => server.close(resolve));
});
