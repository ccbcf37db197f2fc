import { mkdirSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { loginOf } from '../../../host/broker/logins';
import { openKeys } from '../../../host/keys';
import { DEMO_SITE, run } from '../../system/support/cli';
import { SMALL } from '../site/small';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-broker-files-'));
const db = join(folder, 'x.db');
const keys = openKeys(`${db}.secret`);
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('writes files that only their owner can read, and says what to do with them', async () => {
  const out = join(folder, 'broker');
  const outcome = await run(
    'broker-files',
    DEMO_SITE,
    '--out',
    out,
    '--db',
    db,
    '--reader',
    'hall',
    'boiler-house',
  );
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  expect(outcome.stdout).toContain(`--db ${db} --broker mqtt://nightproof-host@ADDRESS:1883\n`);
  // Whoever uses the built-in broker may stop reading before the steps for another.
  expect(outcome.stdout).toMatch(
    /readers\.txt; .+built-in broker of `serve` knows .+With Mosquitto:\n +1\./s,
  );
  for (const name of ['nightproof.conf', 'passwords', 'acl', 'readers.txt'])
    expect(statSync(join(out, name)).mode & 0o777, name).toBe(0o600);
  const { password } = loginOf(keys, 'reader-boiler-house');
  expect(readFileSync(join(out, 'readers.txt'), 'utf8')).toContain(`reader-boiler-house ${password}\n`);
  expect(outcome.stdout).not.toContain(password);
  const read = (name: string) => readFileSync(join(out, name), 'utf8');
  for (const name of ['nightproof.conf', 'passwords', 'acl']) expect(read(name)).not.toContain(password);
});

it('says in one sentence what is wrong, and makes no secret', async () => {
  const place = ['--out', join(folder, 'none')];
  const none = await run('broker-files', DEMO_SITE, ...place, '--db', join(folder, 'mistyped.db'));
  expect(none).toMatchObject({ code: 1, stdout: '' });
  expect(none.stderr).toMatch(/^There is no log book [^\n]*\n$/);
  const named = await run('broker-files', DEMO_SITE, ...place, '--db', db, '--reader', 'Hall\n7');
  expect(named).toMatchObject({ code: 1, stdout: '' });
  expect(named.stderr).toMatch(/^"Hall\\n7" cannot be a reader's name; [^\n]*\n$/);
  const bare = await run('broker-files', DEMO_SITE, ...place, '--db', db, '--tls', folder);
  expect(bare).toMatchObject({ code: 1, stdout: '' });
  expect(bare.stderr).toMatch(/^--tls [^\n]*: there is no ca\.pem; [^\n]*\n$/);
});

it('writes one set of files for several buildings, and refuses two with one id', async () => {
  const [sites, books, out] = ['sites', 'books', 'shared'].map((name) => join(folder, name));
  for (const made of [sites, books]) mkdirSync(made);
  for (const id of ['east', 'west']) {
    writeFileSync(join(sites, `${id}.yaml`), SMALL.replace('id: mill', `id: ${id}`));
    openKeys(join(books, `${id}.db.secret`));
  }
  const place = ['--out', out, '--logbooks', books];
  const both = await run('broker-files', sites, ...place, '--reader', 'west/desk');
  expect(both).toMatchObject({ code: 0, stderr: '' });
  expect(both.stdout).toContain(
    `serve ${sites} --logbooks ${books} --broker mqtt://nightproof-host@ADDRESS:1883\n`,
  );
  const users = readFileSync(join(out, 'passwords'), 'utf8')
    .trim()
    .split('\n')
    .map((line) => line.split(':')[0]);
  expect(users).toEqual([
    ...['nightproof-host-east', 'east.one', 'nightproof-host-west', 'west.one', 'reader-desk'],
  ]);
  writeFileSync(join(sites, 'other.yaml'), SMALL.replace('id: mill', 'id: east'));
  const twice = await run('broker-files', sites, ...place);
  expect(twice).toMatchObject({ code: 1, stdout: '' });
  expect(twice.stderr).toMatch(/^[^\n]*east\.yaml and [^\n]*other\.yaml have the same id "east", [^\n]*\n$/);
});
