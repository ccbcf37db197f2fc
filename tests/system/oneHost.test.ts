// Two hosts on one log book: the second is told where the first is; a first one that was killed leaves no lock.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { freePort } from '../support/brokers';
import { Command, run } from './support/cli';
import { buildLodge } from './support/lodge';

let folder: string;
const hosts: Command[] = [];
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-one-host-'));
});
afterEach(async () => {
  for (const host of hosts) await host.end('SIGKILL');
  rmSync(folder, { recursive: true, force: true });
});

it('refuses a second host on a log book and names the page of the first, until that is killed', async () => {
  const { file } = buildLodge(folder, 1, 60);
  const db = join(folder, 'log.db');
  const start = async (): Promise<Command> => {
    const ports = ['--port', `${await freePort()}`, '--broker-port', `${await freePort()}`];
    const host = new Command(['serve', file, '--db', db, ...ports]);
    hosts.push(host);
    return host;
  };
  const first = await start();
  const [, page] = await first.saying(/page (http\S+),/);
  const second = await (await start()).ended;
  expect(second).toMatchObject({ code: 1, stdout: '' });
  expect(second.stderr).toBe(
    `Another host is using the log book ${db}: its page is ${page}. Stop that host, or give another log book ` +
      'with --db.\n',
  );
  // Whoever only reads, or enters a note, is not kept out.
  expect(await run('check', file, '--db', db)).toMatchObject({ code: 0 });
  const repaired = ['--luminaire', 'W1-01', '--who', 'Anna', '--part', 'lamp', '--db', db];
  expect(await run('repaired', file, ...repaired)).toMatchObject({
    ...{ code: 0, stderr: '' },
    stdout: expect.stringContaining('(lamp changed); a duration test is due by'),
  });

  await first.end('SIGKILL');
  const third = await start();
  const [, other] = await third.saying(/page (http\S+),/);
  expect(other).not.toBe(page);
  expect((await (await start()).ended).stderr).toContain(`its page is ${other}.`);
  expect(await third.end('SIGINT')).toMatchObject({ code: 0 });
});
