import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { openLogbook } from '../../../host/logbook/engines/open';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { KEYS } from '../logbook/records';
import { type Sender, startSender } from './sender';

const PROGRAM = new URL('./ingestProcess.ts', import.meta.url).pathname;
const SITE = 'demo';

let folder: string;
let db: string;
let broker: MosquittoBroker;
let host: ChildProcess | undefined;
let senders: Sender[] = [];

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-kill-'));
  db = join(folder, 'log.db');
  broker = await startMosquitto();
});

afterEach(async () => {
  for (const sender of senders) sender.stop();
  await endHost('SIGKILL');
  await broker.kill();
  rmSync(folder, { recursive: true, force: true });
});

async function startHost(): Promise<void> {
  host = spawn(process.execPath, ['--import', 'tsx', PROGRAM, db, broker.url, SITE], {
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  if (host.stdout) await once(host.stdout, 'data');
}

async function endHost(signal: NodeJS.Signals): Promise<void> {
  const ending = host;
  host = undefined;
  if (!ending || ending.exitCode !== null || ending.signalCode !== null) return;
  const ended = once(ending, 'exit');
  ending.kill(signal);
  await ended;
}

function startSenders(controllers: number, records: number): void {
  senders = Array.from({ length: controllers }, (_, i) =>
    startSender(broker.url, `${SITE}/circuit-${i}`, records),
  );
}

async function expectAll(records: number): Promise<void> {
  const logbook = await openLogbook(db);
  expect(await logbook.entries()).toBe(records * senders.length);
  for (const { address } of senders) expect(await logbook.through(address, '0a1b2c3d')).toBe(records);
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
  expect(await logbook.evidenceCount()).toBe(0);
  await logbook.close();
}

it('loses no record and stores none twice when the host is killed again and again during ingest', async () => {
  const records = 1500;
  startSenders(4, records);
  for (let kill = 1; kill <= 6; kill++) {
    await startHost();
    await senders[kill % 4].until(200 * kill);
    await endHost('SIGKILL');
    const logbook = await openLogbook(db);
    // What was acknowledged to a controller is safe at the very moment the host died.
    for (const { address, acked } of senders)
      expect(await logbook.through(address, '0a1b2c3d')).toBeGreaterThanOrEqual(acked());
    await logbook.close();
  }
  await startHost();
  await Promise.all(senders.map((sender) => sender.until(records)));
  await endHost('SIGKILL');
  expectAll(records);
});

it('loses no record and stores none twice when the broker is killed during ingest and restarted', async () => {
  const records = 1200;
  startSenders(3, records);
  await startHost();
  for (let kill = 1; kill <= 3; kill++) {
    await senders[kill - 1].until(250 * kill);
    await broker.kill();
    await broker.start();
  }
  await Promise.all(senders.map((sender) => sender.until(records)));
  await endHost('SIGKILL');
  expectAll(records);
});
