// The host from the command line on a disk that is full: for its log book, for its lines, or for both.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { StatusView } from '../../../host/api/views';
import { openKeys, secretFileOf, signMessage } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { freePort, type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { buildLodge } from '../../system/support/lodge';
import { newJournal } from '../logbook/records';

const A = 'lodge/wing-1';
/** What bash counts the size of files in, bytes. */
const BLOCK_BYTES = 1024;

let folder: string;
let broker: MosquittoBroker;
let host: ChildProcess | undefined;
let client: MqttClient | undefined;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-full-'));
  broker = await startMosquitto();
});
afterEach(async () => {
  client?.end(true);
  await endHost();
  await broker.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function endHost(): Promise<void> {
  const ending = host;
  host = undefined;
  if (!ending || ending.exitCode !== null || ending.signalCode !== null) return;
  const ended = once(ending, 'exit');
  ending.kill('SIGKILL');
  await ended;
}

/** Starts the host; no file of its may grow beyond `blocks`, and its lines go to a full device. */
function startHost(args: string[], blocks: number | 'unlimited'): ChildProcess {
  const script = `trap '' XFSZ; ulimit -f ${blocks}; exec "$@" >/dev/full 2>/dev/full`;
  return spawn('bash', ['-c', script, 'bash', process.execPath, 'build/host/main.js', ...args], {
    stdio: 'ignore',
  });
}

it('goes on answering while neither its log book nor its lines can be written, and stores when there is room', async () => {
  const { file, site } = buildLodge(folder, 1, 60);
  expect(`${site.id}/${site.circuits[0].id}`).toBe(A);
  const db = join(folder, 'log.db');
  const keys = openKeys(secretFileOf(db));
  const port = await freePort();
  const args = ['serve', file, '--broker', broker.url, '--db', db, '--port', String(port)];
  const status = async (): Promise<StatusView> =>
    (await (await fetch(`http://127.0.0.1:${port}/api/status`)).json()) as StatusView;

  // It makes its first entries while there is room.
  host = startHost(args, 'unlimited');
  await expect.poll(status).toMatchObject({ controllers: [{ circuit: 'wing-1' }] });
  await endHost();
  const kept = await openLogbook(db);
  const before = await kept.entries();
  await kept.close();

  host = startHost(args, Math.floor(statSync(db).size / BLOCK_BYTES));
  await expect.poll(status).toMatchObject({ controllers: [{ circuit: 'wing-1' }] });
  const acks: number[] = [];
  client = await mqtt.connectAsync(broker.url, { protocolVersion: 4 });
  client.on('message', (_topic, payload) =>
    acks.push((JSON.parse(payload.toString()) as { through: number }).through),
  );
  await client.subscribeAsync(`nightproof/${A}/ack`, { qos: 1 });
  const journal = newJournal(A, '0a1b2c3d', keys);
  const texts = Array.from({ length: 900 }, () => journal.next('held', { reason: 23, arg: 0 }));
  let up = 0;
  const report = (): void => {
    const common = { v: 1, journal: '0a1b2c3d', boot: 1, up: ++up, utc: 1770000000, clock: 2, phase: 1 };
    const rest = { reason: 0, waiting: 0, bits: 3, test: 0, type: 0, since: 0, charged: 0, overdue: 0 };
    // Numbers beyond the host's: it writes down its own above them.
    const numbers = { last: texts.length, acked: 0, settings: 2000000000 + up, plan: 2000000000 + up };
    const state = signMessage(keys, A, 'state', { ...common, ...rest, ...numbers, refused: 0 });
    client?.publish(`nightproof/${A}/state`, state, { qos: 1 });
  };
  const sendAll = (): void => {
    for (const text of texts) client?.publish(`nightproof/${A}/record`, text, { qos: 1 });
    client?.publish('nightproof/lodge/stranger/record', texts[0], { qos: 1 });
  };
  for (let round = 0; round < 3; round++) {
    sendAll();
    await expect
      .poll(() => {
        report();
        return status();
      })
      .toMatchObject({ controllers: [{ contact: 'reporting' }] });
  }
  const ordered = await fetch(`http://127.0.0.1:${port}/api/circuits/wing-1/orders`, {
    method: 'POST',
    headers: { 'content-type': 'application/json' },
    body: JSON.stringify({ do: 'restore', who: 'Anna' }),
  });
  expect(await ordered.json()).toMatchObject({ ok: false });
  // One transaction holds them all or none.
  expect(Math.max(0, ...acks)).toBeLessThan(texts.length);
  expect(host?.exitCode).toBe(null);
  const acked = Math.max(0, ...acks);
  await endHost();

  host = startHost(args, 'unlimited');
  await expect.poll(status).toMatchObject({ controllers: [{ circuit: 'wing-1' }] });
  await expect
    .poll(
      () => {
        sendAll();
        return Math.max(0, ...acks);
      },
      { interval: 500 },
    )
    .toBe(texts.length);
  await endHost();
  const logbook = await openLogbook(db);
  expect(await logbook.through(A, '0a1b2c3d')).toBe(texts.length);
  expect(await logbook.entries()).toBeGreaterThanOrEqual(before + texts.length);
  expect(acked).toBeLessThan(texts.length);
  expect((await logbook.verify(keys)).valid).toBe(true);
  await logbook.close();
});
