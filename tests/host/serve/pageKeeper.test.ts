// The page while certificates, addresses and the clock of its machine change: real files, sockets and TLS.
import { chmodSync, existsSync, mkdtempSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { request } from 'node:https';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Hono } from 'hono';
import { afterEach, beforeEach, expect, it, vi } from 'vitest';
import { nowSec, systemClock } from '../../../host/clock';
import { type Lasting, serveLasting } from '../../../host/serve/lasting';
import { type PageDoor, type PageWish, pageDoor } from '../../../host/serve/pageDoor';
import { PageKeeper } from '../../../host/serve/pageKeeper';
import type { ServeOptions } from '../../../host/serve/serve';
import { guard } from '../../../host/server/guard';
import { listen } from '../../../host/server/listen';
import type { PageServer } from '../../../host/server/server';
import { loadSite } from '../../../host/site/load';
import { newAuthority, newServerPair } from '../../../host/tls/authority';
import { tlsFileOf } from '../../../host/tls/kept';
import { KEYS } from '../logbook/records';
import { SMALL } from '../site/small';

let folder: string;
let db: string;
let addresses: string[];
let told: string[];
let keeper: PageKeeper | undefined;
let host: Lasting | undefined;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-page-'));
  db = join(folder, 'log.db');
  addresses = ['192.168.1.20'];
  told = [];
  const keep = (text: string | Uint8Array): boolean => told.push(String(text)) > 0;
  vi.spyOn(process.stderr, 'write').mockImplementation(keep);
  vi.spyOn(process.stdout, 'write').mockImplementation(keep);
});
afterEach(async () => {
  await keeper?.close();
  await host?.stop();
  [keeper, host] = [undefined, undefined];
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

/** The page of every address, with nothing behind its guard. */
async function start(isFirst = false, more: Partial<PageWish> = {}): Promise<PageKeeper> {
  const wish = { site: { id: 'demo' }, host: '0.0.0.0', db, addresses: () => addresses, ...more };
  const open = async ({ host: at, names, tls }: PageDoor): Promise<PageServer> => {
    const app = new Hono();
    app.use('*', guard({ boundTo: at, names, isTls: true }));
    app.get('/', (c) => c.text('here'));
    const server = await listen(app, { port: 0, host: at, ...(tls && { secure: tls }) }, String);
    return { url: '', ...server };
  };
  const nowMs = (): number => systemClock.nowMs();
  const door = await pageDoor(wish, nowMs(), isFirst);
  keeper = new PageKeeper({ ...wish, port: 0, door, open, nowMs });
  await keeper.start();
  return keeper;
}

interface Answer {
  status?: number | undefined;
  text: string;
  /** Names of the certificate. */
  names: string;
}

function ask(port: number | string, path = '/', o: { name?: string; body?: object } = {}): Promise<Answer> {
  const { name = '127.0.0.1', body } = o;
  return new Promise((resolve, reject) => {
    const headers = { host: `${name}:${port}`, 'content-type': 'application/json' };
    const way = { agent: false, rejectUnauthorized: false, method: body ? 'POST' : 'GET' };
    const sent = request({ host: '127.0.0.1', port, path, headers, ...way }, (answer) => {
      const { subjectaltname: names = '' } = (
        answer.socket as import('node:tls').TLSSocket
      ).getPeerCertificate();
      let text = '';
      answer.setEncoding('utf8').on('data', (more) => {
        text += more;
      });
      answer.on('end', () => resolve({ status: answer.statusCode, text, names }));
    });
    sent.on('error', reject);
    sent.end(body && JSON.stringify(body));
  });
}

it('is at a new address of the machine at once, and has a certificate for it after a look', async () => {
  const page = await start(true);
  const { port } = new URL(page.url());
  expect((await ask(port, '/', { name: '192.168.1.99' })).status).toBe(403);
  const { authority } = page.tls() ?? {};
  addresses = ['192.168.1.99'];
  await expect.poll(async () => (await ask(port, '/', { name: '192.168.1.99' })).status).toBe(200);
  expect((await ask(port, '/', { name: '192.168.1.20' })).status).toBe(403);
  await page.look();
  expect((await ask(port, '/', { name: '192.168.1.99' })).names).toContain('192.168.1.99');
  expect(page.tls()?.authority).toEqual(authority);
});

it('names all addresses that it listens on, each in the certificate, and says where devices would warn', async () => {
  addresses = ['192.168.1.20', '10.0.0.5', 'fd00::2', '203.0.113.9'];
  const page = await start(true);
  const { port } = new URL(page.url());
  const known = [`https://10.0.0.5:${port}`, `https://203.0.113.9:${port}`];
  expect(page.words().also).toBe(`The page is also at ${known.join(', ')}.\n`);
  const { names } = await ask(port);
  for (const one of ['192.168.1.20', '10.0.0.5', '203.0.113.9']) expect(names).toContain(one);
  addresses = ['192.168.1.20', '198.51.100.4'];
  const words = async (): Promise<string> => {
    await page.look();
    return page.words().also;
  };
  await expect.poll(words).toMatch(`Devices warn at https://198.51.100.4:${port}, `);
});

it('is not served while its certificates cannot be used, in one sentence, and is once they can', async () => {
  await (await start(true)).close();
  chmodSync(tlsFileOf(db), 0o644);
  await expect(start(true)).rejects.toThrow(/chmod 600/);
  told.length = 0;
  const page = await start();
  await page.look();
  expect(told.join('').match(/The page is not served: .+chmod 600.+/g)).toHaveLength(1);
  expect(page.words()).toEqual({ place: 'not served yet', also: '', trust: '' });
  chmodSync(tlsFileOf(db), 0o600);
  await page.look();
  const { port } = new URL(page.url());
  expect((await ask(port)).text).toBe('here');
  expect(told.join('')).toContain(`The page is served now: https://192.168.1.20:${port}.`);
});

it('goes on with the certificate it has if the next cannot be used, and tells of a new authority', async () => {
  const page = await start(true);
  const { port } = new URL(page.url());
  const { authority } = page.tls() ?? {};
  const file = tlsFileOf(db);
  writeFileSync(file, 'torn');
  await page.look();
  expect(told.join('')).toMatch(/are damaged.+goes on with the certificate it has/);
  expect((await ask(port)).text).toBe('here');
  expect(page.tls()?.authority).toEqual(authority);
  renameSync(file, `${file}.old`);
  told.length = 0;
  await page.look();
  expect(page.tls()?.authority).not.toEqual(authority);
  expect(told.join('')).toContain('Compare the SHA-256');
});

/** A site whose page has a given certificate, of one day ago for some days. */
async function given(days: number): Promise<ServeOptions> {
  const siteFile = join(folder, 'mill.yaml');
  const [tlsCert, tlsKey] = [join(folder, 'page.pem'), join(folder, 'page.key')];
  const madeMs = systemClock.nowMs() + (days - 365) * 86_400_000;
  const { cert, key } = await newServerPair(await newAuthority('demo', [], madeMs), ['localhost'], madeMs);
  writeFileSync(siteFile, SMALL);
  writeFileSync(tlsCert, cert);
  writeFileSync(tlsKey, key);
  const loaded = loadSite(siteFile);
  if ('mistakes' in loaded) throw new Error('The site file has mistakes.');
  return { site: loaded.site, siteFile, db, port: 0, brokerPort: 0, keys: KEYS, tlsCert, tlsKey };
}

it('refuses a certificate that has ended at the first start only: later the broker goes on, and the page', async () => {
  const options = await given(-1);
  await expect(serveLasting(options)).rejects.toThrow(/^By this machine's clock .+ has ended on [^\n]+$/);
  expect(existsSync(db)).toBe(false);
  const good = await given(9);
  await (await serveLasting(good)).stop();
  host = await serveLasting(await given(-1));
  expect(told.join('')).toContain('has ended on');
  expect((await ask(new URL(host.served().url).port)).status).toBe(200);
  await host.stop();
  rmSync(good.tlsCert ?? '');
  host = await serveLasting(good);
  expect(told.join('')).toMatch(/The page is not served: .+ENOENT/);
  expect(host.served().brokerPort).toBeGreaterThan(0);
});

it('goes on with a given certificate while its files hold one that has ended, and takes the next good one', async () => {
  const { tlsCert = '', tlsKey = '' } = await given(9);
  const page = await start(true, { tlsCert, tlsKey });
  const before = page.tls()?.cert;
  await given(-1);
  told.length = 0;
  await page.look();
  await page.look();
  expect(page.tls()?.cert).toBe(before);
  expect(told.join('').match(/has ended on .+goes on with the certificate it has/g)).toHaveLength(1);
  await given(20);
  await page.look();
  expect(page.tls()?.cert).not.toBe(before);
  expect((await ask(new URL(page.url()).port)).text).toBe('here');
});

it('takes over a changed site with the certificate it has, also where its file has gone', async () => {
  const options = await given(9);
  host = await serveLasting({ ...options, clock: { nowMs: () => nowSec(systemClock) * 1000 } });
  const before = host.served();
  const { port } = new URL(before.url);
  rmSync(options.tlsCert ?? '');
  const { revision } = JSON.parse((await ask(port, '/api/site')).text) as { revision: string };
  const changes = [{ do: 'set', part: 'luminaires', id: 'A-2', field: 'batteryMilliamps', value: 160 }];
  const answer = await ask(port, '/api/site', { body: { revision, who: 'Ada Vail', changes } });
  expect(answer.text).toContain('"ok":true');
  await expect.poll(() => host?.served() !== before, { timeout: 20_000 }).toBe(true);
  expect((await ask(port)).names).toContain('localhost');
  expect(told.join('')).toMatch(/ENOENT.+goes on with the certificate it has/);
});
