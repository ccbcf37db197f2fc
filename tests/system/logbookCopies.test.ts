// Backup, restore and export as people use them, beside a host that writes.
import { execFileSync } from 'node:child_process';
import {
  existsSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { accountsFileOf, openAccounts } from '../../host/accounts/store';
import { keepSeededKeys, secretFileOf, seededKeys } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import type { Logbook } from '../../host/logbook/logbook';
import { newJournal } from '../host/logbook/records';
import { run } from './support/cli';

const SEED = 5;
let folder: string;
let db: string;
let logbook: Logbook;
const journal = newJournal('demo/a', '0a1b2c3d', seededKeys(SEED));

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-copies-'));
  db = join(folder, 'log.db');
  keepSeededKeys(secretFileOf(db), SEED);
  logbook = await openLogbook(db);
  await logbook.appendBatch(
    Array.from({ length: 300 }, () => journal.record('held', { reason: 23, arg: 0 })),
  );
});
afterAll(async () => {
  await logbook.close();
  rmSync(folder, { recursive: true, force: true });
});

it('a backup made while records come in is whole, holds all up to one of them, and replaces nothing', async () => {
  const backup = join(folder, 'backup.db');
  let isWriting = true;
  const writing = (async () => {
    while (isWriting) {
      await logbook.appendBatch([journal.record('held', { reason: 23, arg: 1 })]);
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
  })();
  const outcome = await run('logbook', 'backup', backup, '--db', db);
  isWriting = false;
  await writing;
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  const [, count, hash] = /is whole: (\d+) entries, last hash (\w+),/.exec(outcome.stdout)!;
  expect(Number(count)).toBeGreaterThanOrEqual(300);
  // The copy ends at a moment of the log book.
  expect((await logbook.after(Number(count) - 1, 1))[0].hash).toBe(hash);
  expect(outcome.stdout).toContain(`The site secret ${db}.secret is not in it.`);
  const before = statSync(backup).mtimeMs;
  const again = await run('logbook', 'backup', backup, '--db', db);
  expect(again).toMatchObject({ code: 1, stderr: expect.stringContaining('nothing is replaced') });
  expect(statSync(backup).mtimeMs).toBe(before);
});

it('a restored backup is the same log book; a damaged one, or one in the way, is refused', async () => {
  const [backup, restored] = [join(folder, 'backup2.db'), join(folder, 'restored.db')];
  expect((await run('logbook', 'backup', backup, '--db', db)).code).toBe(0);
  const outcome = await run('logbook', 'restore', backup, '--db', restored, '--secret', secretFileOf(db));
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  expect(outcome.stdout).toMatch(/demo\/a, journal 0a1b2c3d: after record \d+/);
  const copy = await openLogbook(restored);
  expect(await copy.after(0, 10_000)).toEqual(await logbook.after(0, 10_000));
  expect(await copy.verify(seededKeys(SEED))).toMatchObject({ valid: true });
  await copy.close();
  expect(readFileSync(secretFileOf(restored))).toEqual(readFileSync(secretFileOf(db)));
  expect((await run('logbook', 'restore', backup, '--db', db)).stderr).toMatch(/log\.db exists already/);

  const file = new Database(backup);
  file.exec('DROP TRIGGER entries_fixed');
  file.exec(`UPDATE entries SET body = replace(body, '"boot":1', '"boot":2') WHERE entry = 7`);
  file.close();
  const other = join(folder, 'other.db');
  const refused = await run('logbook', 'restore', backup, '--db', other, '--secret', secretFileOf(db));
  expect(refused.code).toBe(1);
  expect(refused.stderr).toMatch(/^Nothing was restored: .*chain: Entry 7, /s);
  expect(existsSync(other)).toBe(false);
});

it('an export can be checked with sha256sum, line by line', async () => {
  const file = join(folder, 'entries.jsonl');
  expect(await run('logbook', 'export', file, '--db', db)).toMatchObject({ code: 0, stderr: '' });
  const lines = readFileSync(file, 'utf8').trimEnd().split('\n');
  expect(lines).toHaveLength(await logbook.entries());
  let before = '0'.repeat(64);
  for (const line of [...lines.slice(0, 3), ...lines.slice(3, 6)]) {
    const { address, body, hash } = JSON.parse(line);
    const text = join(folder, 'hashed');
    writeFileSync(text, `${before}\n${address}\n${body}`);
    expect(execFileSync('sha256sum', [text], { encoding: 'utf8' }).slice(0, 64)).toBe(hash);
    before = hash;
  }
  expect((await run('logbook', 'export', file, '--db', db)).code).toBe(1);
});

it('accounts go with a backup, without sessions and for their owner only, and come back with it', async () => {
  const store = openAccounts(accountsFileOf(db));
  const ada = {
    id: 'ada',
    name: 'Ada Vail',
    role: 'administrator',
    isDisabled: false,
    code: '',
    codeUntil: 0,
  } as const;
  store.put({ ...ada, password: 'set' });
  store.putSession({ hash: 'h', account: 'ada', began: 1, used: 1, proved: 1 });
  store.close();
  const [backup, restored] = [join(folder, 'with.db'), join(folder, 'again.db')];
  expect((await run('logbook', 'backup', backup, '--db', db)).stdout).toContain(accountsFileOf(backup));
  expect(statSync(accountsFileOf(backup)).mode & 0o777).toBe(0o600);
  const args = ['--db', restored, '--secret', secretFileOf(db)];
  expect((await run('logbook', 'restore', backup, ...args)).stdout).toContain('everybody signs in again');
  const copy = openAccounts(accountsFileOf(restored));
  expect([copy.of('ada')?.password, copy.session('h')]).toEqual(['set', undefined]);
  copy.close();
  expect(statSync(accountsFileOf(restored)).mode & 0o777).toBe(0o600);
});

it('accounts that cannot be copied hide neither the backup nor what was found of it', async () => {
  const own = accountsFileOf(db);
  rmSync(own, { force: true });
  writeFileSync(own, 'These are no accounts. '.repeat(400));
  const backup = join(folder, 'alone.db');
  const { code, stdout, stderr } = await run('logbook', 'backup', backup, '--db', db);
  rmSync(own);
  expect([code, existsSync(backup), existsSync(accountsFileOf(backup))]).toEqual([1, true, false]);
  expect(stdout).toContain(`The backup ${backup} is whole`);
  expect(stderr).toMatch(/^The accounts in .* cannot be copied: [^\n]*\n$/);
});

it('all log books of a folder go into a new one, verified, and come back from it', async () => {
  const [books, backup, again] = ['books', 'all', 'again'].map((name) => join(folder, name));
  mkdirSync(books);
  for (const id of ['east', 'west']) {
    keepSeededKeys(secretFileOf(join(books, `${id}.db`)), SEED);
    const book = await openLogbook(join(books, `${id}.db`));
    await book.appendBatch([
      newJournal(`${id}/a`, '0a1b2c3d', seededKeys(SEED)).record('held', { reason: 23, arg: 0 }),
    ]);
    await book.close();
  }
  const shared = openAccounts(join(books, 'nightproof.accounts'));
  shared.put({
    ...{ id: 'ada', name: 'Ada Vail', role: 'administrator', isDisabled: false },
    password: 'set',
    code: '',
    codeUntil: 0,
  });
  shared.close();
  const made = await run('logbook', 'backup', backup, '--logbooks', books);
  expect(made).toMatchObject({ code: 0, stderr: '' });
  expect(made.stdout.match(/is whole: 1 entries/g)).toHaveLength(2);
  expect(readdirSync(backup).sort()).toEqual(['east.db', 'nightproof.accounts', 'west.db']);
  expect((await run('logbook', 'backup', backup, '--logbooks', books)).stderr).toMatch(/exists already/);
  mkdirSync(again);
  for (const id of ['east', 'west']) keepSeededKeys(secretFileOf(join(again, `${id}.db`)), SEED);
  expect(await run('logbook', 'restore', backup, '--logbooks', again)).toMatchObject({ code: 0, stderr: '' });
  const book = await openLogbook(join(again, 'west.db'));
  expect(await book.entries()).toBe(1);
  await book.close();
  expect(statSync(join(again, 'nightproof.accounts')).mode & 0o777).toBe(0o600);
});
