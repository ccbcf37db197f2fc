import { closeSync, mkdtempSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { sign } from '../../../firmware/contract/signature';
import { verifyCommand } from '../../../host/cli/logbook';
import { entryHash } from '../../../host/logbook/chain';
import { type Appended, LogbookError } from '../../../host/logbook/logbook';
import { openLogbook } from '../../../host/logbook/sqlite/open';
import { watchChain } from '../../../host/logbook/watch';
import { KEYS, newJournal } from './records';

let folder: string;
let file: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-logbook-'));
  file = join(folder, 'log.db');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const outcomes = (results: Appended[]): string[] => results.map(({ outcome }) => outcome);

/** Does what only somebody with the file and bad intentions does. */
function tamper(sql: string, ...values: unknown[]): void {
  const db = new Database(file);
  db.exec('DROP TRIGGER entries_fixed; DROP TRIGGER entries_stay;');
  db.prepare(sql).run(...values);
  db.close();
}

function fill(records: number): void {
  const logbook = openLogbook(file);
  const first = newJournal('demo/first');
  const second = newJournal('demo/second');
  for (let i = 0; i < records; i++) logbook.appendBatch([first.record(), second.record()]);
  logbook.close();
}

describe('storing', () => {
  it('stores a record once and tells the second copy for a duplicate', () => {
    const logbook = openLogbook(':memory:');
    const record = newJournal('demo/a').record();
    expect(outcomes(logbook.appendBatch([record, record]))).toEqual(['stored', 'duplicate']);
    expect(outcomes(logbook.appendBatch([record]))).toEqual(['duplicate']);
    expect(logbook.entries()).toBe(1);
    logbook.close();
  });

  it('keeps the first of two different records under one number, and the second as evidence', () => {
    const logbook = openLogbook(':memory:');
    const record = newJournal('demo/a').record();
    const other = newJournal('demo/a').record('intent', { plan: 1, test: 3, type: 1 });
    expect(outcomes(logbook.appendBatch([record, other, other]))).toEqual(['stored', 'conflict', 'conflict']);
    expect(logbook.page({ limit: 10 }).map((e) => e.body)).toEqual([record.body]);
    expect(logbook.evidence(10).map((e) => e.body)).toEqual([other.body]);
    logbook.close();
  });

  it('advances only without a gap, whatever the order of arrival', () => {
    const logbook = openLogbook(':memory:');
    const journal = newJournal('demo/a');
    const [one, two, three, four] = [1, 2, 3, 4].map(() => journal.record());
    logbook.appendBatch([three]);
    expect(logbook.through('demo/a', '0a1b2c3d')).toBe(0);
    expect(logbook.lastOf('demo/a', '0a1b2c3d')).toBe(3);
    logbook.appendBatch([one]);
    expect(logbook.through('demo/a', '0a1b2c3d')).toBe(1);
    expect(logbook.through('demo/a', '0a1b2c3d', 2)).toBe(3);
    logbook.appendBatch([four, two]);
    expect(logbook.through('demo/a', '0a1b2c3d')).toBe(4);
    expect(logbook.evidenceCount()).toBe(0);
    expect(logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 4 });
    logbook.close();
  });

  it('stores a record that does not follow from the one before it, and flags it', () => {
    const logbook = openLogbook(':memory:');
    const journal = newJournal('demo/a');
    const stranger = newJournal('demo/a');
    stranger.record('intent', { plan: 1, test: 3, type: 1 });
    expect(outcomes(logbook.appendBatch([journal.record(), stranger.record()]))).toEqual([
      'stored',
      'stored',
    ]);
    expect(logbook.evidence(10)).toMatchObject([{ seq: 2, address: 'demo/a' }]);
    expect(logbook.verify(KEYS).broken).toMatchObject({ entry: 2 });
    logbook.close();
  });

  it('remembers everything over a restart, also what came out of order', () => {
    const journal = newJournal('demo/a');
    const [one, two, three] = [1, 2, 3].map(() => journal.record());
    const before = openLogbook(file);
    before.appendBatch([three, one]);
    before.close();
    const after = openLogbook(file);
    expect(after.through('demo/a', '0a1b2c3d')).toBe(1);
    expect(outcomes(after.appendBatch([two, three]))).toEqual(['stored', 'duplicate']);
    expect(after.through('demo/a', '0a1b2c3d')).toBe(3);
    expect(after.verify(KEYS).valid).toBe(true);
    after.close();
  });

  it('chains its entries so that anybody can recompute them with SHA-256 alone', () => {
    const logbook = openLogbook(':memory:');
    const journal = newJournal('demo/a');
    const made = logbook.appendBatch([journal.record(), journal.record()]);
    const [one, two] = logbook.after(0, 10);
    expect(made).toEqual([one, two].map((entry) => ({ outcome: 'stored', entry })));
    expect(one.hash).toBe(entryHash('0'.repeat(64), 'demo/a', one.body));
    expect(two.hash).toBe(entryHash(one.hash, 'demo/a', two.body));
    expect(logbook.verify()).toMatchObject({ valid: true, finalHash: two.hash });
    logbook.close();
  });

  it('goes on correctly after another process has written to the same file', () => {
    const one = openLogbook(file);
    const two = openLogbook(file);
    const journal = newJournal('demo/a');
    const records = [1, 2, 3, 4].map(() => journal.record());
    one.appendBatch([records[0]]);
    two.appendBatch([records[1]]);
    expect(outcomes(one.appendBatch([records[1], records[2]]))).toEqual(['duplicate', 'stored']);
    expect(outcomes(two.appendBatch([records[3]]))).toEqual(['stored']);
    expect(two.verify(KEYS)).toMatchObject({ valid: true, entries: 4 });
    one.close();
    two.close();
  });

  it('acknowledges nothing of a batch when the disk is full, says so, and recovers', () => {
    const logbook = openLogbook(file, { pagesMax: 40 });
    const journal = newJournal('demo/a');
    const records = Array.from({ length: 400 }, () => journal.record());
    expect(() => logbook.appendBatch(records)).toThrow(/^The disk of the log book .* is full\. .*\.$/);
    expect(logbook.entries()).toBe(0);
    expect(logbook.through('demo/a', '0a1b2c3d')).toBe(0);
    expect(outcomes(logbook.appendBatch(records.slice(0, 2)))).toEqual(['stored', 'stored']);
    expect(logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 2 });
    logbook.close();
  });
});

describe('reading', () => {
  it('gives pages newest first, by circuit and by kind', () => {
    const logbook = openLogbook(':memory:');
    const [a, b] = [newJournal('demo/a'), newJournal('demo/b')];
    logbook.appendBatch([a.record(), b.record(), a.record('held', { reason: 23, arg: 0 }), b.record()]);
    const numbers = (filter: object) => logbook.page({ limit: 10, ...filter }).map((e) => e.entry);
    expect(numbers({})).toEqual([4, 3, 2, 1]);
    expect(numbers({ limit: 2 })).toEqual([4, 3]);
    expect(numbers({ before: 3 })).toEqual([2, 1]);
    expect(numbers({ address: 'demo/a' })).toEqual([3, 1]);
    expect(numbers({ address: 'demo/a', kind: 'held' })).toEqual([3]);
    expect(numbers({ address: 'demo/nobody' })).toEqual([]);
    expect(logbook.total({ address: 'demo/b' })).toBe(2);
    logbook.close();
  });

  it('numbers orders upwards even when the clock is set back', () => {
    const first = openLogbook(file);
    const order = { address: 'demo/a', do: 1, arg: 0, who: 'Anna' };
    const one = first.orders.take({ ...order, at: 1780000000 });
    first.close();
    const second = openLogbook(file);
    const two = second.orders.take({ ...order, at: 1700000000 });
    expect(two).toBeGreaterThan(one);
    second.orders.answer('demo/a', two, 'done');
    expect(second.orders.recent(1)).toMatchObject([{ counter: one }]);
    expect(second.orders.recent(2)[1]).toMatchObject({ counter: two, who: 'Anna', answer: 'done' });
    second.close();
  });

  it('remembers small texts', () => {
    const logbook = openLogbook(':memory:');
    expect(logbook.memory.recall('plan')).toBe('');
    logbook.memory.remember('plan', 'one');
    logbook.memory.remember('plan', 'two');
    expect(logbook.memory.recall('plan')).toBe('two');
    logbook.close();
  });
});

describe('verifying', () => {
  it('refuses to change or delete an entry', () => {
    fill(2);
    const db = new Database(file);
    expect(() => db.exec("UPDATE entries SET body = 'x'")).toThrow(/append-only/);
    expect(() => db.exec('DELETE FROM entries')).toThrow(/append-only/);
    db.close();
  });

  it.each([
    [
      'a changed body',
      'UPDATE entries SET body = replace(body, \'"boot":1\', \'"boot":2\') WHERE entry = 5',
      5,
    ],
    ['a changed kind', "UPDATE entries SET kind = 'held' WHERE entry = 4", 4],
    ['a changed time', 'UPDATE entries SET at = at + 1 WHERE entry = 7', 7],
    ['a changed number', 'UPDATE entries SET seq = 99 WHERE entry = 6', 6],
    ['a changed controller', 'UPDATE entries SET controller = 3 - controller, seq = 88 WHERE entry = 3', 3],
    ['a removed entry', 'DELETE FROM entries WHERE entry = 4', 5],
  ])('names the first broken record for %s', (_what, sql, entry) => {
    fill(5);
    tamper(sql);
    const logbook = openLogbook(file);
    const found = logbook.verify(KEYS);
    expect(found.valid).toBe(false);
    expect(found.broken?.entry).toBe(entry);
    expect(found.broken?.why).toMatch(/^Entry .*\.$/);
    logbook.close();
  });

  it('finds a forged record although all hashes were made to fit', () => {
    fill(1);
    const db = new Database(file);
    db.exec('DROP TRIGGER entries_fixed');
    const rows = db.prepare('SELECT entry, body FROM entries ORDER BY entry').all() as { body: string }[];
    const text = rows[1].body.replace(/,"mac".*/, '').replace('"boot":1', '"boot":7');
    const forged = sign(KEYS.keyOf('demo/first'), 'record', 'demo/second', text);
    const hash = entryHash(entryHash('0'.repeat(64), 'demo/first', rows[0].body), 'demo/second', forged);
    db.prepare('UPDATE entries SET body = ?, hash = ? WHERE entry = 2').run(forged, hash);
    db.close();
    const logbook = openLogbook(file);
    expect(logbook.verify().valid).toBe(true);
    expect(logbook.verify(KEYS).broken?.why).toContain("does not carry its controller's signature");
    logbook.close();
  });

  it('names a gap in what a controller wrote', () => {
    const logbook = openLogbook(':memory:');
    const journal = newJournal('demo/a');
    const records = [1, 2, 3, 4].map(() => journal.record());
    logbook.appendBatch([records[0], records[1], records[3]]);
    expect(logbook.verify(KEYS).broken).toEqual({
      entry: 3,
      why: 'The log book lacks record 3 of journal 0a1b2c3d of demo/a, which comes before entry 3.',
    });
    logbook.close();
  });

  it('notices while running that an entry to come was changed', () => {
    fill(3);
    const logbook = openLogbook(file);
    expect(watchChain(logbook).look()).toBe(true);
    tamper('UPDATE entries SET body = replace(body, \'"boot":1\', \'"boot":2\') WHERE entry = 5');
    expect(watchChain(logbook).look()).toBe(false);
    logbook.close();
  });
});

describe('opening', () => {
  it('says in one sentence what is wrong with a foreign, damaged or newer file', () => {
    const text = join(folder, 'text.db');
    writeFileSync(text, 'This is not a database, and it is long enough to look like one. '.repeat(20));
    expect(() => openLogbook(text)).toThrow(/^.*text.db is not a log book; .*\.$/);
    const other = join(folder, 'other.db');
    new Database(other).exec('CREATE TABLE t (a)');
    expect(() => openLogbook(other)).toThrow(/database of another program/);
    fill(1);
    new Database(file).exec('PRAGMA user_version = 99');
    expect(() => openLogbook(file)).toThrow(/newer version/);
    expect(() => openLogbook(join(folder, 'no', 'such', 'folder.db'))).toThrow(LogbookError);
  });

  it('says that a file with torn pages is damaged', () => {
    fill(60);
    const db = new Database(file);
    db.pragma('wal_checkpoint(TRUNCATE)');
    db.close();
    const handle = openSync(file, 'r+');
    writeSync(handle, Buffer.alloc(3000, 0x5a), 0, 3000, 4096 * 12);
    closeSync(handle);
    expect(() => openLogbook(file)).toThrow(/^The log book .* is damaged\. .*\.$/);
  });

  it('verifies from the command line with one sentence and the right exit code', () => {
    fill(2);
    const spoken: string[] = [];
    const write = (text: string | Uint8Array): boolean => spoken.push(String(text)) > 0;
    const [out, err] = [process.stdout.write, process.stderr.write];
    process.stdout.write = write as typeof out;
    process.stderr.write = write as typeof err;
    let codes: number[];
    try {
      codes = [verifyCommand(file, true), verifyCommand(join(folder, 'none.db'), false)];
    } finally {
      process.stdout.write = out;
      process.stderr.write = err;
    }
    expect(codes).toEqual([0, 1]);
    expect(JSON.parse(spoken[0])).toMatchObject({ valid: true, entries: 4, signatures: false });
    expect(spoken[1]).toMatch(/^There is no log book .*\.\n$/);
  });
});
