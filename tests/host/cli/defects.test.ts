// `defects` as a user calls it, on a real log book.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { DEMO_SITE } from '../../../host/cli/arguments';
import { readSite } from '../../../host/cli/siteFile';
import { INSPECTION, siteNotes } from '../../../host/house/notes/inspected';
import { noteLists } from '../../../host/house/notes/listing';
import { writeNote } from '../../../host/house/notes/notes';
import { openKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { runCommand } from '../../support/command';
import { newJournal, resultFields } from '../logbook/records';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-defects-'));
const db = join(folder, 'log.db');
const site = readSite(DEMO_SITE);
const [circuit] = site.circuits;
const [lamp] = circuit.luminaires;
const NOW = Math.floor(Date.now() / 1000);
const defects = (...args: string[]) => runCommand(['defects', DEMO_SITE, ...args, '--db', db]);

beforeAll(async () => {
  const keys = openKeys(secretFileOf(db));
  const logbook = await openLogbook(db);
  await noteLists({
    ...{ site, logbook, keys, revisionOf: () => 1, listed: () => undefined },
    ...{ take: () => {}, now: () => NOW - 1_000_000 },
  });
  const fails = circuit.luminaires.map((_, i) =>
    i === 0 ? [2, Reason.EndedEarly, 1200, 300, 300, 0, 2] : [1, 0],
  );
  const rows = fails.map((row) => [...row, 3600, 300, 300, 290, 2].slice(0, 7));
  const fields = resultFields(rows, { type: TestKind.Full, started: NOW - 3 * 86_400 });
  await logbook.appendBatch([
    newJournal(`${site.id}/${circuit.id}`, '0a1b2c3d', keys).record('result', fields),
  ]);
  await logbook.close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('lists what is open, takes what is entered in any letters, and keeps what is not entered anew', async () => {
  expect((await defects()).stdout).toMatch(
    new RegExp(
      `^1 open defect\\.\n\n${lamp.id}, .+ \\(circuit ${circuit.id}\\)\n {2}The lamp went out .+\n {2}Open for [234] days\\.\n {2}No owner`,
    ),
  );
  const entered = await defects(lamp.id, '--owner', 'Žofie', '--interim', 'torches', '--who', 'Jürgen');
  expect(entered).toMatchObject({ code: 0, stderr: '' });
  expect(entered.stdout).toMatch(
    /^Jürgen entered for the defect of .+: owner Žofie; no due date; interim measure: torches\.\n/,
  );
  expect((await defects(lamp.id, '--due', '2032-01-31', '--who', 'Anna')).stdout).toContain(
    'owner Žofie; due 2032-01-31; interim measure: torches.',
  );
  const { open } = JSON.parse((await defects(lamp.id, '--json')).stdout);
  expect(open).toMatchObject([
    { luminaire: lamp.id, care: { owner: 'Žofie', due: '2032-01-31', who: 'Anna' } },
  ]);
});

it('lists with one part what people found in any part of the site that contains it, and nothing of others', async () => {
  const { id, area } = lamp;
  const elsewhere = site.circuits.find((one) => one.luminaires.every((other) => other.area !== area))!;
  const keys = openKeys(secretFileOf(db));
  const logbook = await openLogbook(db);
  for (const [scope, words, ...luminaires] of [
    ['site', 'dust everywhere'],
    [`area ${area}`, 'sign hidden'],
    ['site', 'dark', id],
    [`circuit ${elsewhere.id}`, 'dirty', elsewhere.luminaires[0].id],
  ]) {
    const point = { point: words, asked: 'All is well.', mark: 'not in order', luminaires, words };
    const fields = { id: `walk-${words}`, duty: 'walk', title: 'Walk', done: NOW, scope, words: '' };
    const note = { address: siteNotes(site), kind: INSPECTION, at: NOW, who: 'Anna' } as const;
    await writeNote(logbook, keys, { ...note, fields: { ...fields, points: [point] } });
  }
  await logbook.close();
  const { findings } = JSON.parse(defects(id, '--json').stdout);
  const found = findings.map((one: { words: string }) => one.words);
  expect(found).toEqual(['dust everywhere', 'sign hidden', 'dark']);
  expect(defects(elsewhere.id).stdout).toContain('2 findings of people open');
});

it.each([
  [
    'a date in the past',
    [lamp.id, '--due', '2020-01-01', '--who', 'Anna'],
    /^The due date 2020-01-01 is over; give today, .+\n$/,
  ],
  ['nothing to enter', [lamp.id, '--who', 'Anna'], /^Nothing to enter was given: add --owner, .+\n$/],
  ['no name', [lamp.id, '--owner', 'Anna'], /^Give your name with --who: the log book records it\.\n$/],
  [
    'a luminaire that is none',
    [`${lamp.id}x`],
    new RegExp(`^The site has no luminaire or circuit "${lamp.id}x"; did you mean "${lamp.id}"\\?`),
  ],
  [
    'one without a defect',
    [circuit.luminaires[1].id, '--owner', 'A', '--who', 'B'],
    /^Luminaire \S+ has no open defect\.\n$/,
  ],
])('refuses %s in one sentence', async (_slip, args, sentence) => {
  const outcome = await defects(...args);
  expect([outcome.code, outcome.stdout]).toEqual([1, '']);
  expect(outcome.stderr).toMatch(sentence);
});
