import { closeSync, existsSync, mkdtempSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import { sign } from '../../../firmware/contract/signature';
import { entryHash } from '../../../host/logbook/chain';
import { openLogbook } from '../../../host/logbook/engines/open';
import { newReader } from '../../../host/logbook/engines/sqlite/read';
import { type Appended, LogbookError } from '../../../host/logbook/logbook';
import { watchChain } from '../../../host/logbook/watch';
import type { Db } from '../../../host/sqlite';
import { logbookCases } from './cases';
import { KEYS, newJournal } from './records';

let folder: string;
let file: string;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-logbook-'));
  file = join(folder, 'log.db');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

const outcomes = (results: Appended[]): string[] => results.map(({ outcome }) => outcome);

/** Does what only someone with the file and bad intentions would do. */
function tamper(sql: string, ...values: unknown[]): void {
  const db = new Database(file);
  db.exec('DROP TRIGGER entries_fixed; DROP TRIGGER entries_stay;');
  db.prepare(sql).run(...values);
  db.close();
}

async function fill(records: number): Promise<void> {
  const logbook = await openLogbook(file);
  const first = newJournal('demo/first');
  const second = newJournal('demo/second');
  for (let i = 0; i < records; i++) await logbook.appendBatch([first.record(), second.record()]);
  await logbook.close();
}

logbookCases({
  name: 'SQLite in a file',
  isKept: true,
  async place() {
    const own = mkdtempSync(join(tmpdir(), 'nightproof-logbook-'));
    const remove = async () => rmSync(own, { recursive: true, force: true });
    return { open: () => openLogbook(join(own, 'log.db')), remove };
  },
});

describe('a full disk', () => {
  it('acknowledges nothing of a batch when the disk is full, says so, and recovers', async () => {
    const logbook = await openLogbook(file, { pagesMax: 40 });
    const journal = newJournal('demo/a');
    const records = Array.from({ length: 400 }, () => journal.record());
    await expect(logbook.appendBatch(records)).rejects.toThrow(
      /^The disk of the log book .* is full\. .*\.$/,
    );
    expect(await logbook.entries()).toBe(0);
    expect(await logbook.through('demo/a', '0a1b2c3d')).toBe(0);
    expect(outcomes(await logbook.appendBatch(records.slice(0, 2)))).toEqual(['stored', 'stored']);
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 2 });
    await logbook.close();
  });
});

describe('the entries of one kind', () => {
  /** Which way SQLite goes for the first slice of a kind, and what it finds. */
  function wayOf(db: Db, kind: string): { way: string; found: number[] } {
    let way = '';
    const watched = {
      prepare(sql: string) {
        const statement = db.prepare(sql);
        const all = (...values: unknown[]) => {
          const steps = db.prepare(`EXPLAIN QUERY PLAN ${sql}`).all(...values) as { detail: string }[];
          way = steps.map(({ detail }) => detail).join('; ');
          return statement.all(...values);
        };
        return { all, get: (...values: unknown[]) => statement.get(...values) };
      },
    } as unknown as Db;
    const found = newReader(watched).after(0, 3, kind);
    return { way, found: found.map(({ entry }) => entry) };
  }

  it('are found by the index where there are few, and along the entries, unsorted, where there are many', async () => {
    await (await openLogbook(file)).close();
    const db = new Database(file);
    db.exec(`INSERT INTO controllers VALUES (1, 'demo/a');
      INSERT INTO entries WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 5000)
      SELECT i, 1, 'j', i, CASE WHEN i % 2500 = 0 THEN 'listed' ELSE 'result' END, 0, 0, '', '' FROM n`);
    const [rare, frequent] = ['listed', 'result'].map((kind) => wayOf(db, kind));
    db.close();
    expect(rare).toEqual({ way: expect.stringContaining('entries_by_kind'), found: [2500, 5000] });
    expect(frequent.found).toEqual([1, 2, 3]);
    expect(frequent.way).not.toMatch(/entries_by_kind|TEMP B-TREE/);
  });
});

describe('verifying', () => {
  it('refuses to change or delete an entry', async () => {
    await fill(2);
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
  ])('names the first broken record for %s', async (_what, sql, entry) => {
    await fill(5);
    tamper(sql);
    const logbook = await openLogbook(file);
    const found = await logbook.verify(KEYS);
    expect(found.valid).toBe(false);
    expect(found.broken?.entry).toBe(entry);
    expect(found.broken?.why).toMatch(/^Entry .*\.$/);
    await logbook.close();
  });

  it('finds a forged record even if all hashes were made to fit', async () => {
    await fill(1);
    const db = new Database(file);
    db.exec('DROP TRIGGER entries_fixed');
    const rows = db.prepare('SELECT entry, body FROM entries ORDER BY entry').all() as { body: string }[];
    const text = rows[1].body.replace(/,"mac".*/, '').replace('"boot":1', '"boot":7');
    const forged = sign(KEYS.keyOf('demo/first'), 'record', 'demo/second', text);
    const hash = entryHash(entryHash('0'.repeat(64), 'demo/first', rows[0].body), 'demo/second', forged);
    db.prepare('UPDATE entries SET body = ?, hash = ? WHERE entry = 2').run(forged, hash);
    db.close();
    const logbook = await openLogbook(file);
    expect((await logbook.verify()).valid).toBe(true);
    expect((await logbook.verify(KEYS)).broken?.why).toContain("does not carry its controller's signature");
    await logbook.close();
  });

  it('notices while running that a later entry was changed', async () => {
    await fill(3);
    const logbook = await openLogbook(file);
    let now = 1000;
    const problems: string[] = [];
    const watch = watchChain(logbook, { now: () => now, onProblem: (sentence) => problems.push(sentence) });
    expect(await watch.settled()).toEqual({ checked: 6, at: 1000 });
    tamper('UPDATE entries SET body = replace(body, \'"boot":1\', \'"boot":2\') WHERE entry = 5');
    now += 3600;
    expect(await watch.settled()).toMatchObject({ checked: 6, at: 4600, broken: { entry: 5 } });
    expect(await watch.settled()).toMatchObject({ broken: { entry: 5 } });
    expect(problems).toEqual([
      expect.stringMatching(/^The log book was changed\. Entry 5, .* all that is wrong\.$/),
    ]);
    await logbook.close();
  });

  it('says how far it has checked, and never that more is valid', async () => {
    await fill(1500);
    tamper('UPDATE entries SET body = replace(body, \'"boot":1\', \'"boot":2\') WHERE entry = 2900');
    const logbook = await openLogbook(file);
    let read = 0;
    let goOn = () => {};
    const slow: Pick<typeof logbook, 'after'> = {
      async after(...question) {
        read++;
        // The second slice comes only when it is let go.
        if (read === 2) await new Promise<void>((resolve) => (goOn = resolve));
        return logbook.after(...question);
      },
    };
    const watch = watchChain(slow, { now: () => 7 });
    // So much is left that nobody waits for it, however long a slice takes.
    expect(await watch.look(3000)).toEqual({ checked: 0, at: 0 });
    await vi.waitUntil(() => read === 2, { timeout: 20_000 });
    expect(await Promise.all([watch.look(3000), watch.look(3000)])).toEqual([
      { checked: 100, at: 0 },
      { checked: 100, at: 0 },
    ]);
    expect(read).toBe(2);
    goOn();
    expect(await watch.settled()).toMatchObject({ checked: 3000, at: 7, broken: { entry: 2900 } });
    await logbook.close();
  });
});

describe('opening', () => {
  it.each(['', 'sqlite:', 'sqlite://', 'file:', 'file://', 'FILE:'])(
    'takes a path, also behind "%s"',
    async (scheme) => {
      await (await openLogbook(scheme + file)).close();
      expect(existsSync(file)).toBe(true);
    },
  );

  it('says in one sentence that it knows no such engine', async () => {
    await expect(openLogbook('mysql://db.example/night')).rejects.toThrow(
      /^No log book can be kept at mysql:\/\/db\.example\/night: "mysql:" is not known here; [^.]*\.$/,
    );
  });

  it('says in one sentence what is wrong with a foreign, damaged or newer file', async () => {
    const text = join(folder, 'text.db');
    writeFileSync(text, 'This is not a database, and it is long enough to look like one. '.repeat(20));
    await expect(openLogbook(text)).rejects.toThrow(/^.*text.db is not a log book; .*\.$/);
    const other = join(folder, 'other.db');
    new Database(other).exec('CREATE TABLE t (a)');
    await expect(openLogbook(other)).rejects.toThrow(/database of another program/);
    await fill(1);
    new Database(file).exec('PRAGMA user_version = 99');
    await expect(openLogbook(file)).rejects.toThrow(/newer version/);
    await expect(openLogbook(join(folder, 'no', 'such', 'folder.db'))).rejects.toThrow(LogbookError);
  });

  it('reports a file with torn pages as damaged', async () => {
    await fill(60);
    const db = new Database(file);
    db.pragma('wal_checkpoint(TRUNCATE)');
    db.close();
    const handle = openSync(file, 'r+');
    writeSync(handle, Buffer.alloc(3000, 0x5a), 0, 3000, 4096 * 12);
    closeSync(handle);
    await expect(openLogbook(file)).rejects.toThrow(/^The log book .* is damaged\. .*\.$/);
  });
});
