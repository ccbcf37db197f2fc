// `duties` and `inspected` as a person uses them, on a log book that a host has made.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { type InspectedOptions, inspectedCommand } from '../../../host/cli/inspected';
import { readSite } from '../../../host/cli/siteFile';
import { openKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { run } from '../../system/support/cli';
import { SMALL } from '../site/small';

let folder: string;
let site: string;
let db: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-duties-'));
  site = join(folder, 'site.yaml');
  db = join(folder, 'log.db');
  writeFileSync(site, SMALL);
  openKeys(secretFileOf(db));
  await (await openLogbook(db)).close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const inspected = (...more: string[]) =>
  run('inspected', site, '--db', db, '--who', 'Ωνάση', '--duty', ...more);

it('lists what is due, takes what was seen, and lists what was found', async () => {
  expect(await run('duties', site, '--db', db)).toMatchObject({
    code: 0,
    stdout: expect.stringMatching(
      /^due today: handover\n[\s\S]+\n {4}clean: Luminaires and signs are clean\./,
    ),
  });
  expect(await inspected('handover', '--rest-in-order', '--at', '2020-01-31T09:00')).toMatchObject({
    code: 0,
    stderr: '',
  });
  const walk = await inspected(
    ...[
      'walk',
      '--at',
      '2020-02-01T10:00',
      '--not-applicable',
      'lit',
      '--found',
      'clean A-1 A-1: dusty',
      '--rest-in-order',
    ],
  );
  expect(walk).toMatchObject({ code: 0, stderr: '' });
  expect(walk.stdout).toMatch(
    /^Ωνάση did "Walk past every luminaire" for the whole site on Sat 1 Feb 2020, 10:00, entered later: 4 of 6 points in order; 1 not applicable; not in order: Luminaires and signs are clean \(A-1: dusty\)\.\n$/,
  );
  const listed = await run('duties', site, '--db', db);
  expect(listed.code).toBe(1);
  expect(listed.stdout).toMatch(
    /^overdue by \d+ days: walk\n.+every month; last on Sat 1 Feb 2020 by Ωνάση \(entry 2\)\./,
  );
  expect(listed.stdout).toMatch(
    /\nA-1: dusty \(not so: Luminaires and signs are clean\. Found by Ωνάση, since /,
  );
  const { due, findings } = JSON.parse((await run('duties', site, '--db', db, '--json')).stdout);
  expect(due[0]).toMatchObject({ due: '2020-03-01', state: 'overdue', duty: { id: 'walk' } });
  expect(findings).toHaveLength(1);
  const withdraw = ['withdraw', site, '--db', db, '--entry', '2', '--who', 'Anna', '--why', 'another house'];
  expect(await run(...withdraw)).toMatchObject({
    code: 0,
    stderr: '',
    stdout: 'Anna withdrew entry 2: another house.\n',
  });
  expect(await run(...withdraw)).toMatchObject({
    ...{
      code: 1,
      stdout: '',
      stderr: expect.stringMatching(/^Entry 2 was withdrawn before, by Anna on .+\.\n$/),
    },
  });
  expect((await run('duties', site, '--db', db)).stdout).toContain('every month; never entered.');
  expect(await run('logbook', 'verify', '--db', db)).toMatchObject({ code: 0 });
});

it('refuses in one sentence what cannot be stored', async () => {
  const outcome = await inspected('walk', '--rest-in-order', '--found', 'clean');
  const sentence = 'Say what is not in order: "Luminaires and signs are clean."\n';
  expect(outcome).toMatchObject({ code: 1, stdout: '', stderr: sentence });
});

it.each<[Partial<InspectedOptions>, RegExp]>([
  [{ duty: 'wlak' }, /^This site has no duty "wlak"; did you mean "walk"\?$/],
  [{ found: ['shiny: no'] }, /^The duty "walk" has no point "shiny"; choose from: present, clean,/],
  [{ found: ['clean: a'], notApplicable: ['clean'] }, /^The point "clean" is given twice/],
  [{ found: ['Clean'] }, /^Write --found as "POINT LUMINAIRE \.\.\.: what was found", not "Clean"\.$/],
  [
    { restInOrder: false, found: ['clean: a'] },
    /^No answer for: present, unobstructed,.+add --rest-in-order\.$/,
  ],
  [{ at: 'today' }, /^--at must be the time it was done as YYYY-MM-DDTHH:MM/],
  [{ area: 'hall', circuit: 'one' }, /^Give one of --area, --circuit and --luminaire/],
])('says in one sentence what is wrong: %j', async (more, sentence) => {
  const options = {
    site: readSite(site),
    db,
    duty: 'walk',
    who: 'Anna',
    found: [],
    notApplicable: [],
    restInOrder: true,
    words: '',
  };
  await expect(inspectedCommand({ ...options, ...more })).rejects.toThrow(sentence);
});
