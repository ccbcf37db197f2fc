import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { loginOf } from '../../../host/broker/logins';
import { openKeys } from '../../../host/keys';
import { DEMO_SITE, run } from '../../system/support/cli';

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
  expect(outcome.stdout).toContain(`--broker mqtt://nightproof-host@ADDRESS:1883 --db ${db}`);
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
