// What a client may take of the page's server: time and connections. Raw sockets, as a hostile client has them.
import { get } from 'node:https';
import { connect, type Socket } from 'node:net';
import { Hono } from 'hono';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
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

// RFC 9112 (2022), 6.1, 6.3 and 11.2: a message whose end two readers would see in different places.
it.each([
  ['a length beside chunks', 'Content-Length: 4\r\nTransfer-Encoding: chunked', '0\r\n\r\n'],
  ['two lengths', 'Content-Length: 0\r\nContent-Length: 44', ''],
  ['a length that is none', 'Content-Length: +0', ''],
  ['chunks that are not the last coding', 'Transfer-Encoding: chunked, identity', '0\r\n\r\n'],
  ['a blank before the colon', 'Content-Length : 0', ''],
  ['a head folded over two lines', 'X: a\r\n Content-Length: 44', ''],
  ['a chunk with a false length', 'Transfer-Encoding: chunked', '0x0\r\n\r\n'],
])('refuses a request with %s, and with it what is hidden behind', async (_what, header, body) => {
  const { socket, got, isOver } = await open();
  const hidden = 'GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n\r\n';
  socket.write(`POST / HTTP/1.1\r\nHost: 127.0.0.1\r\n${header}\r\n\r\n${body}${hidden}`);
  await expect.poll(isOver).toBe(true);
  expect(got()).toMatch(/HTTP\/1\.1 400 /);
  expect(got()).not.toContain('here');
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

describe('over a page by TLS', () => {
  let safe: Listening;
  let ca: string;

  beforeEach(async () => {
    const authority = await newAuthority('demo', [], Date.now());
    ca = authority.cert;
    const secure = await newServerPair(authority, ['127.0.0.1'], Date.now());
    const app = new Hono();
    app.get('/', (c) => c.text('here'));
    safe = await listen(app, { port: 0, host: '127.0.0.1', secure }, String);
  });
  afterEach(() => safe.close());

  /** Status and text of the page as a browser that trusts the authority has it. */
  const byTls = () =>
    new Promise<string>((resolve, reject) => {
      get({ host: '127.0.0.1', port: safe.port, ca, agent: false }, (answer) => {
        answer.setEncoding('utf8').once('data', (text) => resolve(`${answer.statusCode} ${text}`));
      }).on('error', reject);
    });

  it('sends an address without "https" to the same with it, and answers TLS beside', async () => {
    const url = `http://127.0.0.1:${safe.port}`;
    const answer = await fetch(`${url}/trust?a=1`, { redirect: 'manual' });
    expect([answer.status, answer.headers.get('location')]).toEqual([
      307,
      `https://127.0.0.1:${safe.port}/trust?a=1`,
    ]);
    expect(await answer.text()).toContain('begins with https://');
    const order = await fetch(url, { method: 'POST', body: 'a password' });
    expect([order.status, order.headers.get('location')]).toEqual([400, null]);
    expect(await byTls()).toBe('200 here');
  });

  it('sends nobody to a made-up address, and lives through whoever leaves in the middle', async () => {
    const odd = await open(safe);
    odd.socket.write('GET / HTTP/1.1\r\nHost: evil"><b\r\n\r\n');
    await expect.poll(odd.got).toMatch(/^HTTP\/1\.1 400 /);
    expect(odd.got()).not.toContain('Location');
    for (const bytes of [Buffer.from([22]), Buffer.from([22, 3, 1, 2, 0, 1]), Buffer.from('G')]) {
      const rude = await open(safe);
      rude.socket.write(bytes);
      rude.socket.resetAndDestroy();
    }
    expect(await byTls()).toBe('200 here');
  });

  it('cuts off who says nothing, who says half a word of TLS, and who goes on for ever without it', async () => {
    const [silent, half, plain] = [await open(safe), await open(safe), await open(safe)];
    half.socket.write(Buffer.from([22, 3]));
    plain.socket.write('GET / HTTP/1.1\r\n');
    const timer = setInterval(() => plain.socket.write('X: a\r\n'), 500);
    const isOver = () => [silent, half, plain].map((one) => one.isOver());
    await expect.poll(isOver, { timeout: 30_000 }).toEqual([true, true, true]);
    clearInterval(timer);
  });
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
