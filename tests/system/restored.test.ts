// A log book restored from an older copy under controllers that go on running: real broker, real host, and the
// controllers' own code, which has been told that its records are safe.
import { mkdtempSync, renameSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { OrderKind } from '../../firmware/contract/codes';
import { seededKeys } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import { copySqlite } from '../../host/logbook/engines/sqlite/copy';
import type { Logbook } from '../../host/logbook/logbook';
import { Rehearsal, recordsIn } from '../../host/rehearse/rehearsal';
import { type MosquittoBroker, startMosquitto } from '../support/brokers';
import { buildLodge } from './support/lodge';
import { goLive, isHandedOver, type Night } from './support/night';

const SEED = 5;
/** Days to the copy, and from there to the loss of the log book. */
const DAYS = 20;
/** Simulated seconds per second. */
const PACE = 60;

async function until(isDone: () => boolean | Promise<boolean>): Promise<void> {
  while (!(await isDone())) await new Promise((resolve) => setTimeout(resolve, 100));
}

describe('a log book restored from an older copy', () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-restored-'));
  const db = join(folder, 'log.db');
  const copy = join(folder, 'copy.db');
  const keys = seededKeys(SEED);
  const lodge = buildLodge(folder, 2, 60);
  let broker: MosquittoBroker;
  let rehearsal: Rehearsal;
  let live: Pick<Night, 'served' | 'stop'>;

  /** Records of each circuit in a log book, by number. */
  async function bodies(logbook: Logbook): Promise<Map<string, string>> {
    const found = new Map<string, string>();
    for (const e of await logbook.after(0, 100_000))
      if (/\/wing-\d$/.test(e.address) && /^[0-9a-f]{8}$/.test(e.journal))
        found.set(`${e.address} ${e.seq}`, e.body);
    return found;
  }

  let before: Map<string, string>;

  beforeAll(async () => {
    const logbook = await openLogbook(db);
    rehearsal = await Rehearsal.start({ site: lodge.site, seed: SEED, days: 3 * DAYS, keys, logbook });
    await rehearsal.runDays(DAYS);
    copySqlite(db, copy);
    await rehearsal.runDays(DAYS);
    await rehearsal.settle();
    before = await bodies(logbook);
    await logbook.close();
    for (const end of ['', '-wal', '-shm']) rmSync(db + end, { force: true });
    renameSync(copy, db);
    broker = await startMosquitto();
    live = await goLive(rehearsal, { lodge, broker, pace: PACE, db, keys });
  }, 120_000);

  afterAll(async () => {
    await live?.stop();
    await broker?.kill();
    rmSync(folder, { recursive: true, force: true });
  });

  it('gets all that is missing from the controllers, which have long passed it on', async () => {
    const restored = await openLogbook(db);
    try {
      const names = [...before.keys()];
      let now = await bodies(restored);
      expect(names.filter((name) => now.has(name)).length).toBeLessThan(before.size);
      await until(async () => {
        now = await bodies(restored);
        return names.every((name) => now.has(name));
      });
      for (const [name, body] of before) expect(now.get(name), name).toBe(body);
    } finally {
      await restored.close();
    }
  });

  it('has asked each controller once, as an entry, and all is acknowledged again', async () => {
    await until(() => isHandedOver(rehearsal.fleet.nodes));
    const { served } = live;
    const orders = await served.logbook.orders.recent(10);
    expect(orders.map((o) => [o.address, o.do]).sort()).toEqual([
      ['lodge/wing-1', OrderKind.SendAgain],
      ['lodge/wing-2', OrderKind.SendAgain],
    ]);
    const verification = await served.logbook.verify(keys);
    expect(verification.faults).toEqual([]);
    expect(await recordsIn(served.logbook)).toBeGreaterThan(before.size);
  });
});
