// Backup, restore and export as people use them, beside a host that writes.
import { execFileSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterAll, beforeAll, expect, it } from 'vitest';
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
