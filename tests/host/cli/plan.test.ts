import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { parse } from 'csv-parse/sync';
import ICAL from 'ical.js';
import { afterAll, describe, expect, it } from 'vitest';
import { planText } from '../../../host/cli/planText';
import { createDesired } from '../../../host/house/desired/desired';
import { openKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { loadMemory } from '../../../host/logbook/memory';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { loadSite } from '../../../host/site/load';
import { CAUTION } from '../../../host/words/caution';
import { type Outcome, runCommand } from '../../support/command';
import { HOUSE } from '../house/site';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-plan-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const plan = (...args: string[]): Outcome => runCommand(['plan', '--from', '2026-01-05', ...args]);

describe('the command', () => {
  it('prints one JSON object, and writes the same tests as calendar and table', () => {
    const [ics, csv] = [join(folder, 'plan.ics'), join(folder, 'plan.csv')];
    const { code, stdout, stderr } = plan('--months', '6', '--json', '--ics', ics, '--csv', csv);
    expect([code, stderr]).toEqual([0, '']);
    const told = JSON.parse(stdout);
    expect(Object.keys(told)).toEqual([
      ...['tests', 'exposureHours', 'naiveExposureHours', 'bestFixedNightHours', 'lowerBoundHours'],
      ...['conflicts', 'seconds'],
    ]);
    expect(Object.keys(told.tests[0])).toEqual(['circuit', 'kind', 'start', 'end', 'recharged']);
    expect(told.tests.length).toBeGreaterThan(80);
    const rows: Record<string, string>[] = parse(readFileSync(csv), { columns: true });
    const { tests } = told;
    expect(
      rows.map(({ circuit, kind, start, end, recharged }) => ({ circuit, kind, start, end, recharged })),
    ).toEqual(tests);
    const events = new ICAL.Component(ICAL.parse(readFileSync(ics, 'utf8'))).getAllSubcomponents('vevent');
    const starts = events.map((event) => `${event.getFirstPropertyValue('dtstart')}`);
    expect(starts).toEqual(tests.flatMap((test: { start: string; end: string }) => [test.start, test.end]));
    const last = tests[tests.length - 1].start;
    expect(last > '2026-06-18' && last < '2026-07-05').toBe(true);
  });

  it.each([
    ['a date that does not exist', ['--from', '2026-02-30'], /^--from must be a real date.*"2026-02-30"\.$/],
    ['months out of range', ['--months', '0'], /--months must be a whole number from 1 to 60\./],
    ['a folder that is not there', ['--ics', join(folder, 'none', 'a.ics')], /there is no such folder/],
    ['a file that is there', ['--csv', join(folder, 'kept.csv')], /kept\.csv: this file already exists/],
    ['a site file that is not there', [join(folder, 'no.yaml')], /no\.yaml/],
  ])('refuses %s with one sentence and writes nothing', (_what, args, sentence) => {
    writeFileSync(join(folder, 'kept.csv'), 'kept');
    const before = readdirSync(folder);
    const { code, stdout, stderr } = runCommand(['plan', ...args]);
    expect([code, stdout]).toEqual([1, '']);
    expect(stderr.split('\n')[0]).toMatch(sentence);
    expect(stderr).not.toMatch(/^ {4}at /m);
    expect(readdirSync(folder)).toEqual(before);
    expect(readFileSync(join(folder, 'kept.csv'), 'utf8')).toBe('kept');
  });
});

describe('what a new plan would change', () => {
  it('is computed from the log book, and nothing is written to it', async () => {
    const db = join(folder, 'house.db');
    openKeys(secretFileOf(db));
    const logbook = await openLogbook(db);
    const loaded = loadSite('docs/examples/museum-of-tides.yaml');
    if (!('site' in loaded)) throw new Error('The demonstration site has mistakes.');
    // A plan made with other dates without tests than the site file has now.
    const site = { ...loaded.site, noTestDates: [] };
    const memory = await loadMemory(logbook.memory, () => {});
    createDesired({ site, memory }).refresh(Math.floor(Date.now() / 1000));
    await memory.written();
    const before = memory.recall('plan');
    await logbook.close();
    const { code, stdout, stderr } = runCommand(['plan', '--changes', '--db', db]);
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^(Nothing changes\.|Circuit [a-z-]+: .*)\n/);
    const json = JSON.parse(runCommand(['plan', '--changes', '--db', db, '--json']).stdout);
    expect(json.changes.length > 0).toBe(!stdout.startsWith('Nothing'));
    const again = await openLogbook(db);
    expect((await again.memory.all()).get('plan')).toBe(before);
    await again.close();
  });

  it('is impossible without a log book or a plan in it', async () => {
    const none = runCommand(['plan', '--changes', '--db', join(folder, 'none.db')]);
    expect([none.code, none.stdout]).toEqual([1, '']);
    expect(none.stderr).toMatch(/^There is no log book .*none\.db; give its file with --db\.\n$/);
    const empty = join(folder, 'empty.db');
    await (await openLogbook(empty)).close();
    const { code, stderr } = runCommand(['plan', '--changes', '--db', empty]);
    expect(code).toBe(1);
    expect(stderr).toMatch(/empty\.db holds no plan yet; run `plan` without --changes to see one\.\n$/);
  });
});

describe('the printed plan', () => {
  const FROM = Date.parse('2026-01-04T23:00Z') / 1000;
  const made = makePlan(HOUSE, profileOf('en50172'), FROM, 365);
  const lines = (site: typeof HOUSE, more: Partial<typeof made> = {}): string[] =>
    [...planText(site, { ...made, ...more }, made.testsByCircuit, { seconds: 0.1, all: false })]
      .join('')
      .split('\n');

  it('lists every test under its circuit in local time, with the end of recharge and whether it is dark', () => {
    const text = lines({ ...HOUSE, location: { latitude: 52, longitude: 13 } });
    const rows = text.filter((line) => /^ {2}(function|duration)/.test(line));
    expect(rows.length).toBe(made.tests.length);
    for (const row of rows)
      expect(row).toMatch(
        /^ {2}\w+ +\w{3} \d+ \w+ 202\d, \d\d:\d\d – .*, recharged .*\d\d:\d\d, (dark|light)/,
      );
    expect(text.indexOf('a (Hall)')).toBeGreaterThan(0);
    expect(text[text.length - 1]).toBe(CAUTION);
    expect(text).toContain('Every test is planned in time.');
    expect(text).toContain('What the wiring does not allow in any night:');
    expect(text.join('\n')).toMatch(/^1\. {2}Circuit a feeds 2 of 3 luminaires of Hall\. /m);
    expect(lines(HOUSE, { conflicts: [] })).toContain('Every test is planned in time.');
  });

  it('says that light is unknown without a location', () => {
    const text = lines(HOUSE).join('\n');
    expect(text).toMatch(/gives no location/);
    expect(text).not.toMatch(/, (dark|light)$/m);
  });

  it('compares its exposure with other ways to plan and the bound', () => {
    const hours = { exposureHours: 12, naiveExposureHours: 2400, lowerBoundHours: 11.5 };
    const text = lines(HOUSE, { ...hours, bestFixedNightHours: null });
    expect(text).toContain('  This plan:                         12.0 h');
    expect(text).toContain('  No plan can be below:              11.5 h');
    expect(text).toContain('  All circuits on the same nights:   2,400.0 h; this plan has 1 % of that');
    expect(text).toContain('  All on the best night of the week: no room for all tests');
    const none = lines(HOUSE, { ...hours, naiveExposureHours: 0 });
    expect(none).toContain('  All circuits on the same nights:   0.0 h');
  });

  it('explains in sentences what cannot be planned', () => {
    const [test] = made.tests;
    const text = lines(HOUSE, {
      shortfalls: [{ circuit: 'a', kind: test.kind, dueNight: 20500, lateNights: 3 }],
      conflicts: [
        {
          ...{
            about: 'late',
            circuits: ['a', 'b'],
            areas: ['hall'],
            rule: 'some rule',
            from: FROM,
            until: FROM,
          },
          ...{ sentence: 'Both stand in the hall.', remedy: 'Wire them apart.' },
        },
      ],
    });
    expect(text.slice(text.indexOf('What cannot be done in time:'), -1)).toEqual([
      ...['What cannot be done in time:', '', '1.  Both stand in the hall.', '    Rule: some rule.'],
      ...['    What to do: Wire them apart.', ''],
    ]);
    expect(text).not.toContain('Every test is planned in time.');
  });
});
