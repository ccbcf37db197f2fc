// What a client may take of the page's server: time and connections. Raw sockets, as a hostile client has them.
import { connect, type Socket } from 'node:net';
import { Hono } from 'hono';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type Listening, listen, PER_ADDRESS_MAX } from '../../../host/server/listen';
import { newAuthority, newServerPair } from '../../../host/tls/authority';

let page: Listening;
const sockets: Socket[] = [];

beforeEach(async () => {
  const app = new Hono();
  app.get('/', (c) => c.text('here'));
  page = await listen(app, { port: 0, host: '127.0.0.1' }, String);
});
afterEach(async () => {
  for (const socket of sockets.splice(0)) socket.destroy();
  await page.close();
});

/** A connection, with what came over it and whether it was ended. */
async function open(to = page): Promise<{ socket: Socket; got: () => string; isOver: () => boolean }> {
  const socket = connect(to.port, '127.0.0.1');
  sockets.push(socket);
  let [text, isOver] = ['', false];
  socket.setEncoding('utf8').on('data', (more) => {
    text += more;
  });
  socket.on('error', () => {});
  socket.on('close', () => {
    isOver = true;
  });
  await new Promise((resolve) => socket.once('connect', resolve));
  return { socket, got: () => text, isOver: () => isOver };
}

it('cuts off who sends nothing, and who sends the head of a request a letter at a time', async () => {
  const [silent, slow] = [await open(), await open()];
  const letters = [
    ...'GET / HTTP/1.1\r\nHost: 127.0.0.1\r\nX: aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa',
  ];
  const timer = setInterval(() => slow.socket.write(letters.shift() ?? 'a'), 500);
  await expect.poll(() => [silent.isOver(), slow.isOver()]).toEqual([true, true]);
  clearInterval(timer);
  expect(slow.got()).toMatch(/^HTTP\/1\.1 408 /);
});

it('ends connections of an address that has too many, and takes others once some are gone', async () => {
  const all: Awaited<ReturnType<typeof open>>[] = [];
  for (let n = 0; n < PER_ADDRESS_MAX + 3; n++) all.push(await open());
  await expect.poll(() => all.filter(({ isOver }) => isOver()).length).toBe(3);
  for (const { socket } of all.slice(0, 10)) socket.destroy();
  // Node's own client: it sees the page again.
  await expect
    .poll(() =>
      fetch(`http://127.0.0.1:${page.port}/`).then(
        (answer) => answer.text(),
        () => '',
      ),
    )
    .toBe('here');
});

it('stops at once, also with clients that have not begun to speak TLS', async () => {
  const authority = await newAuthority('demo', [], Date.now());
  const secure = await newServerPair(authority, ['127.0.0.1'], Date.now());
  const safe = await listen(new Hono(), { port: 0, host: '127.0.0.1', secure }, String);
  const idle = await open(safe);
  // The server has taken the connection once it answers a later one.
  await fetch(`https://127.0.0.1:${safe.port}/`).catch(() => {});
  const began = performance.now();
  await safe.close();
  expect(performance.now() - began).toBeLessThan(3000);
  await expect.poll(() => idle.isOver()).toBe(true);
});
