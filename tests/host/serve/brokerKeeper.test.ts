// The broker's place by TLS while its files change: certificates made by openssl, real sockets.
import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { connect } from 'node:tls';
import { afterAll, afterEach, beforeAll, beforeEach, expect, it, vi } from 'vitest';
import { type Broker, openBroker } from '../../../host/broker/broker';
import { readPems } from '../../../host/broker/pems';
import { BrokerKeeper } from '../../../host/serve/brokerKeeper';
import { openOwnBroker } from '../../../host/serve/ownBroker';
import { certificatesIn } from '../../support/certificates';

const DAY_MS = 86_400_000;
let made: string;
let folder: string;
let broker: Broker | undefined;
let keeper: BrokerKeeper | undefined;
let nowMs: number;
const told: string[] = [];

beforeAll(() => {
  made = mkdtempSync(join(tmpdir(), 'nightproof-made-'));
  const { makeAuthority, makeCertificate } = certificatesIn(made);
  for (const name of ['ca', 'other']) makeAuthority(name);
  for (const name of ['old', 'new', 'hall']) makeCertificate(name, 'ca');
  makeCertificate('ended', 'ca', 0);
});
afterAll(() => rmSync(made, { recursive: true, force: true }));
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-broker-files-'));
  nowMs = Date.now() - 5 * DAY_MS;
  put('old');
  copyFileSync(join(made, 'ca.pem'), join(folder, 'ca.pem'));
});
afterEach(async () => {
  keeper?.close();
  await broker?.close();
  [keeper, broker] = [undefined, undefined];
  told.length = 0;
  vi.useRealTimers();
  vi.restoreAllMocks();
  rmSync(folder, { recursive: true, force: true });
});

function put(name: string, key = name): void {
  copyFileSync(join(made, `${name}.pem`), join(folder, 'broker.pem'));
  copyFileSync(join(made, `${key}.key`), join(folder, 'broker.key'));
}

const filesOf = () => ({ folder, authority: join(folder, 'ca.pem') });

async function start(): Promise<BrokerKeeper> {
  const onProblem = (sentence: string) => void told.push(sentence);
  const present = readPems(filesOf());
  broker = await openBroker({ port: 0, tls: { port: 0, ...present }, onProblem });
  const { secure } = broker;
  if (!secure) throw new Error('The broker is not open by TLS.');
  keeper = new BrokerKeeper({ files: filesOf(), secure, present, nowMs: () => nowMs, onProblem });
  return keeper;
}

/** Name in the certificate that a new connection gets. */
function served(): Promise<string> {
  const [cert, key, ca] = ['hall.pem', 'hall.key', 'ca.pem'].map((name) => readFile(name));
  return new Promise((resolve, reject) => {
    const socket = connect({ port: broker?.tlsPort ?? 0, host: '127.0.0.1', cert, key, ca }, () => {
      const { CN } = socket.getPeerCertificate().subject;
      socket.once('close', () => resolve(String(CN)));
      socket.end();
      socket.resume();
    });
    socket.on('error', reject);
  });
}
const readFile = (name: string): string => readFileSync(join(made, name), 'utf8');

it('takes a new certificate while it runs, and says so once', async () => {
  const one = await start();
  expect(await served()).toBe('old');
  put('new');
  one.look();
  one.look();
  expect(await served()).toBe('new');
  expect(told).toEqual([`The broker goes on by TLS with the new files in ${folder}.`]);
});

it.each<[string, () => void, RegExp]>([
  ['is missing', () => rmSync(join(folder, 'broker.pem')), /broker\.pem cannot be read \(ENOENT\)/],
  [
    'is torn',
    () => writeFileSync(join(folder, 'broker.pem'), readFile('new.pem').slice(0, 300)),
    /does not belong to/,
  ],
  ['does not fit its key', () => put('new', 'old'), /does not belong to the certificate/],
  ['has ended', () => put('ended'), /broker\.pem has ended on/],
  [
    'is no authority',
    () => writeFileSync(join(folder, 'ca.pem'), readFile('hall.pem')),
    /no certificate of an authority/,
  ],
])('goes on with what it has while a file %s, and says so once', async (_, spoil, why) => {
  const one = await start();
  nowMs = Date.now() - 1;
  one.look();
  told.length = 0;
  spoil();
  one.look();
  one.look();
  expect(await served()).toBe('old');
  expect(told).toHaveLength(1);
  expect(told[0]).toMatch(why);
  expect(told[0]).toMatch(/Until then the broker goes on by TLS with the certificates it has\.$/);
  put('new');
  copyFileSync(join(made, 'ca.pem'), join(folder, 'ca.pem'));
  one.look();
  expect(await served()).toBe('new');
});

it('says from 30 days before the end that one is needed, once, and goes on when it has come', async () => {
  const one = await start();
  expect(told).toEqual([]);
  nowMs += 6 * DAY_MS;
  one.look();
  one.look();
  const ends = told.filter((sentence) =>
    /broker\.pem ends on .+: put a new one in its place\.$/.test(sentence),
  );
  expect(ends).toHaveLength(1);
  nowMs += 40 * DAY_MS;
  one.look();
  expect(told.join()).toMatch(/broker\.pem has ended on/);
  expect(await served()).toBe('old');
});

it('is looked after from the start on by the host that opens it', async () => {
  vi.useFakeTimers({ toFake: ['setInterval', 'clearInterval'] });
  vi.spyOn(process.stderr, 'write').mockImplementation((text) => told.push(String(text)) > 0);
  const files = filesOf();
  // What it was started with may be old: the host starts its parts again when its site changes.
  const before = readPems(files);
  put('new');
  broker = await openOwnBroker({ brokerPort: 0, brokerTls: { port: 0, files, ...before } });
  expect(await served()).toBe('new');
  put('old');
  vi.advanceTimersByTime(60_000);
  expect(await served()).toBe('old');
  const stopped = broker;
  broker = undefined;
  await stopped.close();
  expect(vi.getTimerCount()).toBe(0);
});
