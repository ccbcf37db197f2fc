// What a SQLite log book does when its file is old, full or damaged.
import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { entryHash } from '../../../host/logbook/chain';
import { openLogbook } from '../../../host/logbook/engines/open';
import { VERSIONS } from '../../../host/logbook/engines/sqlite/schema';
import { isWhole } from '../../support/depth';
import { KEYS, newJournal } from './records';

let folder: string;
let file: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-logbook-'));
  file = join(folder, 'log.db');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const ORDER = { at: 1780000000, do: 2, arg: 3600, who: 'Anna' };

it('files nothing under a controller whose first order did not fit on the disk', async () => {
  const logbook = await openLogbook(file, { pagesMax: 60 });
  const long = { ...ORDER, address: 'demo/a', who: 'A'.repeat(300_000) };
  await expect(logbook.orders.take(long)).rejects.toThrow(/is full/);
  const [b, a] = [newJournal('demo/b'), newJournal('demo/a')];
  await logbook.appendBatch([b.record(), a.record()]);
  expect((await logbook.after(0, 10)).map(({ address }) => address)).toEqual(['demo/b', 'demo/a']);
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 2 });
  await logbook.close();
});

it('has the same tree after a batch that did not fit on the disk', async () => {
  const logbook = await openLogbook(file, { pagesMax: 60 });
  const journal = newJournal('demo/a');
  await logbook.appendBatch([journal.record()]);
  const before = await logbook.tree.root();
  const records = Array.from({ length: 900 }, () => journal.record());
  await expect(logbook.appendBatch(records)).rejects.toThrow(/is full/);
  expect(await logbook.tree.root()).toEqual(before);
  await logbook.appendBatch(records.slice(0, 1));
  const root = await logbook.tree.root();
  await logbook.close();
  const again = await openLogbook(file);
  expect(await again.tree.root()).toEqual(root);
  await again.close();
});

it('makes tiles again that are missing or contradict themselves', async () => {
  const logbook = await openLogbook(file);
  const journal = newJournal('demo/a');
  await logbook.appendBatch(Array.from({ length: 600 }, () => journal.record()));
  const root = await logbook.tree.root();
  await logbook.close();
  for (const sql of [
    'DELETE FROM tiles WHERE number = 1',
    'UPDATE tiles SET hashes = zeroblob(8192) WHERE number = 0',
    'UPDATE tiles SET root = zeroblob(32) WHERE number = 0',
  ]) {
    const db = new Database(file);
    db.exec(sql);
    db.close();
    const again = await openLogbook(file);
    expect([sql, await again.tree.root()]).toEqual([sql, root]);
    await again.close();
  }
});

/** A log book as version 1 left it: a record, evidence and two orders, one of them answered. */
function makeVersion1(): string {
  const db = new Database(file);
  db.exec(`${VERSIONS[0]} PRAGMA application_id = ${0x4e504c42}; PRAGMA user_version = 1;`);
  const { journal, seq, kind, test, at, body } = newJournal('demo/a').record();
  const hash = entryHash('0'.repeat(64), 'demo/a', body);
  db.exec("INSERT INTO controllers VALUES (1, 'demo/a'), (2, 'demo/b')");
  db.prepare('INSERT INTO entries VALUES (1, 1, ?, ?, ?, ?, ?, ?, ?)').run(
    ...[journal, seq, kind, test, at, body, hash],
  );
  db.exec(
    "INSERT INTO evidence VALUES (1, 5, 1, 'j', 4, 'Odd.', 'text'), (2, 6, 2, 'k', 9, 'Odder.', 'other')",
  );
  db.exec(
    "INSERT INTO orders VALUES (2, 70, 1, 0, 'Ben', 900, ''), (1, 71, 2, 60, 'Anna', 800, 'It accepted.')",
  );
  db.close();
  return hash;
}

it('brings a log book of version 1 forward: all that it kept becomes entries, the chain goes on', async () => {
  const hash = makeVersion1();
  const logbook = await openLogbook(file);
  const entries = await logbook.after(0, 100);
  expect(entries[0].hash).toBe(hash);
  expect(entries.slice(1).map(({ address, kind, at }) => [address, kind, at])).toEqual([
    ['demo/a', 'kept', 5],
    ['demo/b', 'kept', 6],
    ['demo/a', 'ordered', 800],
    ['demo/a', 'answered', 800],
    ['demo/b', 'ordered', 900],
  ]);
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 6 });
  expect(await logbook.tree.size()).toBe(6);
  expect(await logbook.evidenceCount()).toBe(2);
  expect(await logbook.orders.take({ ...ORDER, address: 'demo/b', at: 0 })).toBe(71);
  await logbook.close();
  const again = await openLogbook(file);
  expect(await again.entries()).toBe(7);
  await again.close();
});

it('never ends the process at a flipped bit, and tells or reads on', async () => {
  const logbook = await openLogbook(file);
  const journal = newJournal('demo/a');
  await logbook.appendBatch(Array.from({ length: 270 }, () => journal.record()));
  for (let n = 0; n < 20; n++) {
    const counter = await logbook.orders.take({ ...ORDER, address: 'demo/a' });
    await logbook.orders.answer('demo/a', counter, 'The controller has accepted it.', ORDER.at);
    await logbook.keep({ address: 'demo/a', at: ORDER.at, why: 'Odd.', body: `{"n":${n}}` });
    await logbook.memory.remember(`plan ${n}`, 'x'.repeat(200));
    await logbook.checkpoints.add({ size: n + 1, at: n, text: 'checkpoint\n'.repeat(9) });
    await logbook.checkpoints.cosign(n + 1, 'line\n');
  }
  await logbook.close();
  const flips = isWhole ? 400 : 60;
  const script = 'tests/host/logbook/flips.ts';
  const out = execFileSync(process.execPath, ['--import', 'tsx', script, file, String(flips)], {
    encoding: 'utf8',
  });
  const { told, read, unread } = JSON.parse(out) as Record<string, number>;
  expect(told + read + unread).toBe(flips);
  expect(told).toBeGreaterThan(0);
  expect(read).toBeGreaterThan(0);
});
