// The host, started from the command line, is killed without warning again and again while controllers hand
// over months of records. What was acknowledged to a controller must be safe at that very moment.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout } from 'node:timers/promises';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { openKeys, secretFileOf } from '../../host/keys';
import type { Fleet } from '../../simulator/fleet';
import { LiveFleet } from '../../simulator/live';
import { freePort, type MosquittoBroker, startMosquitto } from '../support/brokers';
import { Command, run } from './support/cli';
import { buildLodge } from './support/lodge';
import { isHandedOver } from './support/night';
import { readLines } from './support/records';
import { strandedFleet } from './support/stranded';

const CIRCUITS = 8;
const DAYS = 350;
/** Controllers that hand over until the host is killed, which is when half of the last one's are acknowledged. */
const OPEN = [2, 3, 4, 5, 6];
/** How long to wait for a log book that does not answer, ms, instead of half a minute. */
const PATIENCE_MS = 300;

let folder: string;
let broker: MosquittoBroker;
let host: Command | undefined;
let live: LiveFleet | undefined;

beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-host-kill-'));
  broker = await startMosquitto();
});
afterEach(async () => {
  live?.stop();
  await host?.end('SIGKILL');
  await broker.kill();
  rmSync(folder, { recursive: true, force: true });
});

function acked(fleet: Fleet): number {
  return fleet.nodes.reduce((sum, node) => sum + (node.controller?.journal.acked ?? 0), 0);
}

/**
 * The first `open` controllers do not wait long for the log book; the others keep their records for themselves. A host
 * takes all that waits for it in one go, so what is never sent is what makes a kill one during ingest.
 */
function hold(fleet: Fleet, open: number): void {
  for (const [i, { controller: c }] of fleet.nodes.entries()) {
    if (!c) continue;
    const { link } = c;
    if (i < open) link.ackBy = Math.min(link.ackBy, link.now + PATIENCE_MS);
    else [link.journal.sendSeq, link.ackBy] = [link.journal.last + 1, Number.POSITIVE_INFINITY];
  }
}

/** Resolves when a running host has acknowledged `count` records of the fleet; false if the host ends first. */
async function untilAcked(fleet: Fleet, count: number, running: Command): Promise<boolean> {
  let ended = false;
  void running.ended.then(() => {
    ended = true;
  });
  while (!ended && acked(fleet) < count) await setTimeout(5);
  return !ended;
}

/** Record numbers in the log book by circuit, sorted: records from while the host was down come later. */
async function stored(db: string): Promise<Map<string, number[]>> {
  const found = new Map<string, number[]>();
  for (const { circuit, entry } of await readLines(db))
    found.set(circuit, [...(found.get(circuit) ?? []), entry.seq]);
  for (const seqs of found.values()) seqs.sort((a, b) => a - b);
  return found;
}

function upTo(n: number): number[] {
  return Array.from({ length: n }, (_, i) => i + 1);
}

it('a host killed again and again during ingest loses no record and stores none twice', async () => {
  const { site, file } = buildLodge(folder, CIRCUITS, 60);
  const db = join(folder, 'host.db');
  const fleet = strandedFleet(site, openKeys(secretFileOf(db)), DAYS);
  const total = fleet.nodes.reduce((sum, node) => sum + (node.controller?.journal.last ?? 0), 0);
  expect(acked(fleet)).toBe(0);
  const args = ['serve', file, '--broker', broker.url, '--db', db, '--port', String(await freePort())];
  const place = { host: '127.0.0.1', port: broker.port };
  let open = 0;
  hold(fleet, open);
  live = new LiveFleet({ fleet, broker: place, pace: 1, onRound: () => hold(fleet, open) });
  for (const more of OPEN) {
    const running = new Command(args);
    host = running;
    open = more;
    expect(await untilAcked(fleet, ((open - 0.5) / CIRCUITS) * total, running)).toBe(true);
    expect(await running.end('SIGKILL')).toMatchObject({ code: null, signal: 'SIGKILL' });
    const safe = await stored(db);
    // Killed during ingest: not all of them were there.
    expect([...safe.values()].flat().length).toBeLessThan(total);
    for (const { spec, controller } of fleet.nodes)
      expect(safe.get(spec.circuit) ?? []).toEqual(
        expect.arrayContaining(upTo(controller?.journal.acked ?? 0)),
      );
  }
  host = new Command(args);
  open = CIRCUITS;
  await expect.poll(() => isHandedOver(fleet.nodes)).toBe(true);
  live.stop();
  expect(await host.end('SIGINT')).toMatchObject({ code: 0, stderr: '' });

  const found = await stored(db);
  for (const { spec, controller } of fleet.nodes)
    expect(found.get(spec.circuit), spec.circuit).toEqual(upTo(controller?.journal.last ?? 0));
  const verified = await run('logbook', 'verify', '--db', db);
  expect(verified).toMatchObject({ code: 0, stderr: '' });
  expect(verified.stdout).toMatch(/every chain and every signature/);
});
