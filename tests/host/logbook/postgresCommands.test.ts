// The commands on a log book in a database, as people call them.
import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type Database, startPostgres } from '../../support/postgres';

const PROGRAM = resolve('build/host/main.js');
const SITE = resolve('docs/examples/museum-of-tides.yaml');
const PASSWORD = 'never-to-be-seen';

let database: Database;
let folder: string;
beforeAll(async () => {
  database = await startPostgres();
  folder = mkdtempSync(join(tmpdir(), 'nightproof-postgres-commands-'));
});
afterAll(async () => {
  await database.remove();
  rmSync(folder, { recursive: true, force: true });
});

/** What a command says, which never is the password. */
function run(...args: string[]): string {
  const { status, stdout, stderr } = spawnSync(process.execPath, [PROGRAM, ...args], {
    ...{ cwd: folder, encoding: 'utf8' },
  });
  const said = `${stdout}${stderr}`;
  expect(said).not.toContain(PASSWORD);
  return `${status}: ${said}`;
}

it('keeps, verifies, copies and reports on a log book in PostgreSQL', () => {
  const db = database.url.replace('postgres@', `postgres:${PASSWORD}@`);
  const second = `${db}?schema=second`;
  const secret = 'nightproof-127.0.0.1-postgres.secret';
  expect(run('logbook', 'verify', '--db', db)).toBe(
    `1: There is no log book ${database.url}; give its file with --db.\n`,
  );
  expect(run('simulate', SITE, '--days', '2', '--db', db)).toMatch(/^0: /);
  // The secret lies in the working directory under the database's name.
  expect(existsSync(join(folder, secret))).toBe(true);
  const backup = run('logbook', 'backup', 'backup.db', '--db', db);
  expect(backup).toMatch(/^0: The backup backup.db is whole: \d+ entries/);
  const [hash] = /last hash \w+/.exec(backup) ?? ['no hash'];
  expect(run('logbook', 'restore', 'backup.db', '--secret', secret, '--db', db)).toMatch(
    /^1: There is a log book .* already, and nothing/,
  );
  const restored = run('logbook', 'restore', 'backup.db', '--secret', secret, '--db', second);
  expect(restored).toMatch(/^0: The log book .*schema=second was restored: \d+ entries/);
  expect(restored).toContain(hash);
  expect(run('logbook', 'verify', '--db', second)).toMatch(
    /^0: The log book postgres:.* is intact: \d+ entries, every chain and every signature/,
  );
  expect(run('check', SITE, '--db', db)).toMatch(/^0: .*no mistakes/);
  // Of the copy alone nobody could tell that rows could be changed.
  database.sql('ALTER TABLE second.entries DISABLE TRIGGER ALL');
  expect(run('logbook', 'backup', 'open.db', '--secret', secret, '--db', second)).toMatch(
    /^1: The backup open\.db was made, but .* is not intact:\n.*part "entries_stay" is missing or was changed/,
  );
  const days = ['--from', '2026-01-01', '--to', '2026-12-31'];
  expect(run('report', SITE, ...days, '--out', 'report.pdf', '--db', db)).toMatch(/^0: /);
});
