// `outlook` as a user calls it, on a real log book of eight years in an invented building whose batteries are
// the simulator's own.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { outlookCommand } from '../../../host/cli/outlook';
import { readSite } from '../../../host/cli/siteFile';
import { noteLists } from '../../../host/house/notes/listing';
import { openKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { loadSite } from '../../../host/site/load';
import { newRandom } from '../../../simulator/random';
import { runCommand } from '../../support/command';
import { newJournal, resultFields } from '../logbook/records';
import { PLANT } from '../outlook/fleets';

const DAY_SEC = 86_400;
const YEAR_SEC = 365.25 * DAY_SEC;
const RATED = 3600;
const YEARS = 8;
const CIRCUITS = ['north', 'south', 'west'];
const LAMPS = 14;
/** Ages are what matters, so the years end today. */
const NOW = Math.floor(Date.now() / 1000);
const START = NOW - YEARS * YEAR_SEC;

const folder = mkdtempSync(join(tmpdir(), 'nightproof-outlook-'));
const db = join(folder, 'log.db');
const file = join(folder, 'works.yaml');
const outlook = (...args: string[]) => runCommand(['outlook', file, '--db', db, ...args]);

const dateOf = (utcSec: number) => new Date(utcSec * 1000).toISOString().slice(0, 10);

interface LampStory {
  id: string;
  fitted: number[];
  /** Of its yearly tests: seconds lit. */
  lit: number[];
}

function storyOf(id: string, draw: () => (years: number) => number): LampStory {
  let battery = draw();
  const story: LampStory = { id, fitted: [START - 30 * DAY_SEC], lit: [] };
  for (let year = 1; year <= YEARS; year++) {
    const at = START + (year - 0.5) * YEAR_SEC;
    const share = battery((at - story.fitted[story.fitted.length - 1]) / YEAR_SEC);
    story.lit.push(Math.min(RATED, Math.floor(share * RATED)));
    if (share >= 1 || year === YEARS) continue;
    story.fitted.push(at + 20 * DAY_SEC);
    battery = draw();
  }
  return story;
}

function lampLine({ id, fitted }: LampStory): string {
  const dates = fitted.map(dateOf);
  const before = dates.length > 1 ? `batteriesBefore: [${dates.slice(0, -1).join(', ')}], ` : '';
  const common = 'place: Hall, area: hall, mode: non-maintained, batteryMilliamps: 100';
  return `      - { id: ${id}, ${common}, ${before}batteryFitted: ${dates.at(-1)} }`;
}

function siteText(stories: LampStory[][]): string {
  return [
    ...['id: works', 'name: The works', 'timeZone: Europe/London', 'responsible: The keeper'],
    'testWindows: [{ days: [mon], from: "00:30", to: "05:30" }]',
    ...['opening: []', 'floors: [{ id: ground, name: Ground }]'],
    ...['areas: [{ id: hall, name: Hall, floor: ground }]', 'circuits:'],
    ...CIRCUITS.flatMap((id, i) => [
      ...[
        `  - id: ${id}`,
        `    name: ${id}`,
        '    floor: ground',
        '    ratedMinutes: 60',
        '    chemistry: NiMH',
      ],
      ...['    luminaires:', ...stories[i].map(lampLine)],
    ]),
  ].join('\n');
}

function row(litSec: number): number[] {
  const isShort = litSec < RATED;
  const [verdict, reason] = isShort ? [Verdict.Fail, Reason.EndedEarly] : [Verdict.Pass, Reason.None];
  return [verdict, reason, litSec, 100, 100, 95, 0];
}

beforeAll(async () => {
  const draw = PLANT(newRandom(3));
  const stories = CIRCUITS.map((id) =>
    Array.from({ length: LAMPS }, (_, i) => storyOf(`${id[0].toUpperCase()}-${i + 1}`, draw)),
  );
  writeFileSync(file, siteText(stories));
  const loaded = loadSite(file);
  if (!('site' in loaded)) throw new Error(loaded.mistakes.map(({ message }) => message).join('\n'));
  const { site } = loaded;
  const keys = openKeys(secretFileOf(db));
  const logbook = await openLogbook(db);
  await noteLists({
    ...{
      site,
      logbook,
      keys,
      revisionOf: () => 1,
      listed: () => undefined,
      take: () => {},
      now: () => START,
    },
  });
  for (const [i, id] of CIRCUITS.entries()) {
    const journal = newJournal(`works/${id}`, `0000000${i}`, keys);
    const results = Array.from({ length: YEARS }, (_, year) => {
      const started = Math.floor(START + (year + 0.5) * YEAR_SEC);
      const lamps = stories[i].map(({ lit }) => row(lit[year]));
      return journal.record('result', resultFields(lamps, { type: TestKind.Full, started, seconds: RATED }));
    });
    await logbook.appendBatch(results);
  }
  await logbook.close();
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

describe('the battery outlook of a building with eight years of tests', () => {
  it('names months and chances, never a certainty, within 80 columns', () => {
    const { code, stdout, stderr } = outlook();
    expect({ code, stderr }).toEqual({ code: 0, stderr: '' });
    const lines = stdout.trimEnd().split('\n');
    expect(lines.filter((line) => line.length > 80)).toEqual([]);
    expect(lines[0]).toMatch(/^Battery outlook of The works on /);
    expect(stdout).toContain('never a certainty');
    const flat = stdout.replace(/\s+/g, ' ');
    expect(flat).toMatch(
      /Rests on \d+ batteries that failed from age\. Half of such batteries probably fall short/,
    );
    expect(flat).toMatch(/Of all with a forecast, about \d+\.\d probably fall short by \d{4}-\d\d-\d\d/);
    const rows = lines.filter((line) => /^ {2}[NSW]-\d+ .* %$/.test(line));
    expect(rows.length).toBeGreaterThan(CIRCUITS.length * LAMPS * 0.6);
    const chances = rows.map((line) => Number(/(\d+) %$/.exec(line)![1]));
    expect(chances).toEqual(chances.toSorted((a, b) => b - a));
  });

  it('names as many luminaires as the budget allows, those already short first', () => {
    const { stdout } = outlook('--budget', '6');
    const { types, replace } = JSON.parse(outlook('--json').stdout);
    const flat = stdout.replace(/\s+/g, ' ');
    const chosen = /The 6 batteries most likely to be short by [\d-]+: ([^.]+)\./.exec(flat)![1].split(', ');
    expect(chosen).toEqual(replace.slice(0, 6));
    const lamps = types[0].luminaires as {
      luminaire: string;
      state: string;
      forecast: { chance: number } | null;
    }[];
    const short = lamps.filter(({ state }) => state === 'failed').map(({ luminaire }) => luminaire);
    expect(new Set(replace.slice(0, short.length))).toEqual(new Set(short));
    const chanceOf = (id: string) => lamps.find(({ luminaire }) => luminaire === id)!.forecast?.chance ?? 2;
    const chances = (replace as string[]).map(chanceOf);
    expect(chances).toEqual(chances.toSorted((a, b) => b - a));
  });

  it('gives a higher chance by a later day', () => {
    const expected = (stdout: string) => Number(/about (\d+\.\d) probably/.exec(stdout)![1]);
    const later = outlook('--by', dateOf(NOW + 3 * YEAR_SEC)).stdout;
    expect(expected(later)).toBeGreaterThan(expected(outlook().stdout));
  });
});

describe('where there is nothing to say, or a mistake', () => {
  it('promises nothing for a building without results', async () => {
    const empty = join(folder, 'empty.db');
    openKeys(secretFileOf(empty));
    await (await openLogbook(empty)).close();
    const { code, stdout } = runCommand(['outlook', file, '--db', empty]);
    expect(code).toBe(0);
    expect(stdout.replace(/\s+/g, ' ')).toContain(
      'Too little data: 0 seen to last and later fall short from age; 8 are needed. Nothing is promised.',
    );
    expect(stdout).not.toMatch(/\d %/);
  });

  it('promises nothing where the dates of failed batteries are not known', () => {
    const undated = join(folder, 'undated.yaml');
    writeFileSync(undated, readFileSync(file, 'utf8').replace(/batteriesBefore: \[[^\]]*\], /g, ''));
    const { stdout } = runCommand(['outlook', undated, '--db', db]);
    expect(stdout).toMatch(/Already short in the last duration test: [NSW]-\d+/);
    expect(stdout.replace(/\s+/g, ' ')).toMatch(
      /Too little data: \d+ of \d+ failures are of batteries whose date is not in the site file/,
    );
  });

  it.each([
    ['no date', { by: 'soon' }, '--by must be a real date written YYYY-MM-DD, but is "soon".'],
    ['a past day', { by: '2020-01-01' }, '--by must be a date after today'],
    ['no log book', { db: 'nowhere.db' }, 'There is no log book nowhere.db; give its file with --db.'],
  ])('refuses %s in one sentence', async (_what, wrong, sentence) => {
    await expect(outlookCommand({ site: readSite(file), db, json: false, ...wrong })).rejects.toThrow(
      sentence,
    );
  });

  it('refuses a budget of nothing in one sentence, with an exit code', () => {
    const { code, stdout, stderr } = outlook('--budget', '0');
    expect(code).not.toBe(0);
    expect(stdout).toBe('');
    expect(stderr).toContain('--budget must be a whole number from 1 to 100000.');
    expect(stderr).not.toContain('    at ');
  });
});
