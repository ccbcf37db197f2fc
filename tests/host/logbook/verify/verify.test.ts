// What `logbook verify` says of files that somebody has changed: every fault, what it speaks against, and where.
import {
  closeSync,
  mkdtempSync,
  openSync,
  readFileSync,
  rmSync,
  statSync,
  truncateSync,
  writeSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sign } from '../../../../firmware/contract/signature';
import { openLogbook } from '../../../../host/logbook/engines/open';
import { toBase64 } from '../../../../host/proof/bytes';
import { signCheckpoint } from '../../../../host/proof/ed25519';
import { KEYS, newJournal } from '../records';
import { cut, rewrite } from './attacker';
import { attack, copyBook, rootOf, SIGNER, verified, writeBook } from './book';

let folder: string;
let whole: string;
let file = '';

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-verify-'));
  whole = join(folder, 'whole.db');
  await writeBook(whole, 60);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

let copies = 0;
/** A fresh copy of the whole log book: the driver may keep a closed file open for a while. */
function fresh(): string {
  rmSync(file, { force: true });
  file = join(folder, `changed${copies++}.db`);
  copyBook(whole, file);
  return file;
}

/** What is found in a copy after `work`. */
async function changed(work: (db: Database.Database) => void, more?: Parameters<typeof verified>[1]) {
  attack(fresh(), work);
  return verified(file, more);
}

describe('a whole log book', () => {
  it('is whole, and its root is that of the definition', async () => {
    const report = await verified(whole);
    expect(report).toMatchObject({ valid: true, faults: [], counts: {}, unchecked: [], signatures: true });
    const { size, root } = rootOf(whole);
    expect(report).toMatchObject({ size, entries: size, root: toBase64(root) });
  });

  it('is not called checked without the secret', async () => {
    fresh();
    const { valid, signatures, unchecked } = await verified(file, { secret: false });
    expect({ valid, signatures }).toEqual({ valid: true, signatures: false });
    expect(unchecked).toEqual([
      expect.stringMatching(/^The signatures of controllers and host were not checked/),
    ]);
  });

  it('is whole while a host writes to it', async () => {
    fresh();
    const logbook = await openLogbook(file);
    await logbook.appendBatch([newJournal('demo/new').record()]);
    expect(await verified(file)).toMatchObject({ valid: true, entries: rootOf(whole).size! + 1 });
    await logbook.close();
  });
});

describe('faults', () => {
  it('are all listed, each by itself, told apart by what they speak against', async () => {
    const report = await changed((db) => {
      db.exec(`UPDATE entries SET body = replace(body, '[2,4,', '[1,0,') WHERE entry = 5`);
      db.exec('UPDATE entries SET at = at + 1 WHERE entry = 9');
      db.exec('DELETE FROM entries WHERE entry IN (20, 21)');
      db.exec(`UPDATE entries SET hash = replace(hash, '0', '1') WHERE entry = 40`);
    });
    const chain = report.faults.filter(({ part }) => part === 'chain').map(({ entry, why }) => [entry, why]);
    expect(chain).toEqual([
      [5, expect.stringMatching(/^Entry 5, record .* of demo\/\w, is not the text originally written\.$/)],
      [9, expect.stringMatching(/^Entry 9, .* is filed under the wrong record\.$/)],
      [22, 'Entries 20 to 21 are missing: the entry after 19 is 22.'],
      [40, expect.stringMatching(/^Entry 40, .* is not the text originally written\.$/)],
    ]);
    expect(report.faults.filter(({ part }) => part === 'signature').map(({ entry }) => entry)).toEqual([5]);
    expect(report.counts.chain).toBe(4);
    expect(report.counts.controller).toBeGreaterThanOrEqual(2);
    expect(report.broken).toMatchObject({ entry: 5 });
  });

  it('of a time stamp that is not about its checkpoint are told', async () => {
    fresh();
    const logbook = await openLogbook(file);
    const head = { size: await logbook.tree.size(), root: await logbook.tree.root() };
    const { size } = head;
    await logbook.checkpoints.add({ size, at: 4, text: signCheckpoint(SIGNER, head) });
    await logbook.checkpoints.stamp(size, { url: 'http://stamp.example', at: 5, token: new Uint8Array(9) });
    await logbook.close();
    const why = `The time stamp of http://stamp.example at ${size} entries does not hold: it is not a reply of a time stamp server.`;
    expect((await verified(file)).faults).toEqual([{ part: 'witness', entry: size, why }]);
  });

  it('after a record that never fitted are still found, and it is not held against the log book', async () => {
    fresh();
    const logbook = await openLogbook(file);
    const [one, two] = [newJournal('demo/odd'), newJournal('demo/odd')];
    const first = one.record();
    two.record('held', { reason: 23, arg: 9 });
    const before = await logbook.entries();
    await logbook.appendBatch([first, two.record(), newJournal('demo/fine').record()]);
    const [later] = await logbook.page({ address: 'demo/fine', limit: 1 });
    await logbook.close();
    const found = await verified(file);
    expect(found).toMatchObject({ valid: true, said: 1, counts: {} });
    expect(found.faults[0]).toMatchObject({ part: 'controller', entry: before + 2, said: true });
    expect(found.faults[0].why).toMatch(/of demo\/odd, does not follow .* said so when it arrived\.$/);
    attack(file, (db) =>
      db.exec(`UPDATE entries SET body = replace(body, '"boot":1', '"boot":2') WHERE entry = ${later.entry}`),
    );
    expect(await verified(file)).toMatchObject({ valid: false, broken: { entry: later.entry } });
  });

  it('are counted when there are too many to list', async () => {
    const report = await changed((db) => db.exec(`UPDATE entries SET kind = 'x'`));
    const { size } = rootOf(whole);
    expect(report.counts.chain).toBe(size);
    expect(report.faults.filter(({ part }) => part === 'chain').length).toBeLessThanOrEqual(100);
  });

  it('of a single record that someone without the secret chained anew are its signature', async () => {
    const forge = (db: Database.Database) => {
      const rows = db.prepare('SELECT max(entry) AS n FROM entries').get() as { n: number };
      rewrite(db, rows.n - 8);
    };
    fresh();
    attack(file, forge);
    // All consistent: with the secret anyone can do that, and only what is kept elsewhere shows it.
    expect((await verified(file)).valid).toBe(true);
    const report = await verified(file, { noted: [rootOf(whole)] });
    expect(report).toMatchObject({ valid: false, counts: { witness: 1 } });
  });
});

describe('bytes', () => {
  it('that are no text are named, and end nothing', async () => {
    const report = await changed((db) => {
      db.exec(`UPDATE entries SET body = CAST(CAST(body AS BLOB) || x'ff' AS TEXT) WHERE entry = 7`);
      db.exec(`UPDATE entries SET kind = CAST(x'c328' AS TEXT) WHERE entry = 8`);
      db.exec(`UPDATE controllers SET address = CAST(x'64656d6f2fe4' AS TEXT) WHERE address = 'demo/b'`);
    });
    expect(report.faults.filter(({ part }) => part === 'storage').map(({ entry }) => entry)).toEqual([7, 8]);
    expect(report.faults.some(({ part, entry }) => part === 'chain' && entry === 7)).toBe(true);
  });

  it('of a whole page make its entries unreadable, and those after it are still checked', async () => {
    fresh();
    attack(file, (db) =>
      db.exec(`UPDATE entries SET body = replace(body, '"boot":1', '"boot":3') WHERE entry = 60`),
    );
    // A leaf of the table begins with 13 (SQLite file format, section 1.6).
    const bytes = readFileSync(file);
    let at = bytes.indexOf('"test":5,');
    while (bytes[at - (at % 4096)] !== 13) at = bytes.indexOf('"test":5,', at + 1);
    const page = Math.floor(at / 4096);
    const handle = openSync(file, 'r+');
    writeSync(handle, Buffer.alloc(512, 0xff), 0, 512, 4096 * page);
    closeSync(handle);
    const report = await verified(file);
    expect(report.counts.storage).toBeGreaterThan(0);
    expect(report.valid).toBe(false);
    expect(report.faults.some(({ part, entry }) => part === 'chain' && entry === 60)).toBe(true);
  });

  it('cut off at the end are noticed', async () => {
    fresh();
    truncateSync(file, statSync(file).size - 8192);
    expect((await verified(file)).counts.storage).toBeGreaterThan(0);
  });
});

describe('the file', () => {
  it('without its own protection, or with a stranger in it, is named', async () => {
    fresh();
    const db = new Database(file);
    db.exec('DROP TRIGGER entries_fixed; DROP INDEX entries_by_kind; CREATE TABLE mine (a)');
    db.close();
    expect((await verified(file)).faults.map(({ part, why }) => [part, why])).toEqual([
      ['storage', expect.stringContaining('"entries_by_kind" is missing or was changed')],
      ['storage', expect.stringContaining('"entries_fixed" is missing or was changed')],
      ['storage', expect.stringContaining('holds a part "mine"')],
    ]);
  });

  it('is compared with its indexes', async () => {
    fresh();
    const db = new Database(file);
    db.exec('PRAGMA writable_schema = ON');
    // What an index says is built from another column than what it is asked for.
    db.exec(`UPDATE sqlite_master SET sql = replace(sql, '(kind, controller', '(journal, controller')
             WHERE name = 'entries_by_kind'`);
    db.close();
    expect((await verified(file)).faults.some(({ why }) => /entries_by_kind/.test(why))).toBe(true);
  });
});

describe('a file that a host has open', () => {
  it('lacks its newest entries when it is copied alone, and that is said; after the host has ended it is whole', async () => {
    fresh();
    const [alone, ended] = [join(folder, 'alone.db'), join(folder, 'ended.db')];
    const logbook = await openLogbook(file);
    await logbook.mark(true);
    expect((await verified(file)).valid).toBe(true);
    await logbook.appendBatch([newJournal('demo/new').record()]);
    copyBook(file, alone);
    const report = await verified(alone);
    expect(report).toMatchObject({ valid: false, counts: { storage: 1 }, entries: rootOf(whole).size });
    expect(report.faults[0].why).toMatch(/copied while a host was using it, .*-wal, .* is missing\./);
    await logbook.mark(false);
    await logbook.close();
    copyBook(file, ended);
    expect(await verified(ended)).toMatchObject({ valid: true, entries: rootOf(whole).size! + 1 });
  });
});

describe('what was noted elsewhere', () => {
  it('is still contained, with and without its size, in a log book that has grown', async () => {
    const small = rootOf(whole, 41);
    const { size: _, ...bare } = small;
    for (const noted of [[small], [bare], [rootOf(whole)], [small, bare]])
      expect((await verified(whole, { noted })).valid).toBe(true);
  });

  it('shows that the newest entries were taken away', async () => {
    const noted = [rootOf(whole)];
    const report = await changed((db) => cut(db, 3), { noted });
    expect(report).toMatchObject({ valid: false, broken: { entry: noted[0].size! - 2 } });
    expect(report.faults[0].why).toMatch(
      /^The log book ends at \d+ entries .*: entries \d+ to \d+ are missing\.$/,
    );
    expect((await changed((db) => cut(db, 3))).valid).toBe(true);
  });

  it('shows that everything was written anew by someone with all secrets', async () => {
    const noted = [rootOf(whole, 30)];
    const { size: _, ...bare } = noted[0];
    expect((await changed((db) => void rewrite(db, 10))).valid).toBe(true);
    expect(await changed((db) => void rewrite(db, 10), { noted })).toMatchObject({
      ...{ valid: false, broken: { entry: 1 }, counts: { witness: 1 } },
    });
    expect(await changed((db) => void rewrite(db, 10), { noted: [bare] })).toMatchObject({ valid: false });
    // What was changed only after the noted root is not shown by it.
    expect((await changed((db) => void rewrite(db, 31), { noted })).valid).toBe(true);
  });
});

it('a forged record signed with another controller’s key is its signature, and nothing else', async () => {
  fresh();
  const logbook = await openLogbook(file);
  const bare = newJournal('demo/z')
    .next('start', { cause: 0, firmware: '0.1.0' })
    .replace(/,"mac".*/, '');
  const body = sign(KEYS.keyOf('demo/a'), 'record', 'demo/z', bare);
  const head = { address: 'demo/z', journal: '0a1b2c3d', seq: 1, kind: 'start', test: 0, at: 1770000060 };
  await logbook.appendBatch([{ ...head, body }]);
  const entry = await logbook.entries();
  await logbook.close();
  expect(await verified(file)).toMatchObject({ counts: { signature: 1 }, broken: { entry } });
});
