// A plan as text for a person at a terminal.
import { areaNames } from '../calendar/areas';
import { type CostedTest, costedTests, exposureFor } from '../planner/cost/costed';
import type { MadePlan, PlannedTest } from '../planner/plan/plan';
import type { Circuit, Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { type KindWord, kindWord } from '../words/codes';
import { dayWord, momentWords } from '../words/when';
import { linesOf } from './conflictLines';
import { furtherLines } from './furtherLines';

const HOURS = new Intl.NumberFormat('en', { minimumFractionDigits: 1, maximumFractionDigits: 1 });

function hoursWord(hours: number): string {
  // A large plan has a hundred thousand of these, hardly any with thousands to divide or halfway between two tenths.
  const halfway = Math.abs(((10 * hours) % 1) - 0.5);
  return hours < 999 && halfway > 1e-6 ? hours.toFixed(1) : HOURS.format(hours);
}

const SHORT: Partial<Record<KindWord, string>> = {
  brief: 'function',
  full: 'duration',
  limited: 'limited duration (2/3)',
};

const names: string[] = [];

/** The test without the word, for a column. */
function shortName(kind: number): string {
  const word = kindWord(kind);
  names[kind] ??= (SHORT[word] ?? word).padEnd(8);
  return names[kind];
}

function testLine(test: CostedTest, timeZone: string): string {
  const { kind, start, end, recharged, dark, more, exposureHours } = test;
  // Put together by hand: a large plan has a hundred thousand lines.
  const [began, ended, full] = momentWords(start, [end, recharged], timeZone);
  let line = `  ${shortName(kind)} ${began} – ${ended}, recharged ${full}`;
  if (dark !== null) line += dark ? ', dark' : ', light';
  if (more) line += ', on top of the rule';
  if (exposureHours > 0) line += `, exposure ${hoursWord(exposureHours)} h`;
  return line;
}

function circuitLines(site: Site, circuit: Circuit, tests: CostedTest[], isAll: boolean): string[] {
  const areas = areaNames(site, circuit.id).filter((area) => area !== circuit.name);
  const name = circuit.name.toLowerCase() === circuit.id ? circuit.name : `${circuit.id}, ${circuit.name}`;
  const none =
    tests.length === 0 ? [`  ${isAll ? 'No test could be planned.' : 'None in these months.'}`] : [];
  return [
    areas.length > 0 ? `${name} (${areas.join(', ')})` : name,
    ...tests.map((test) => testLine(test, site.timeZone)),
    ...none,
    '',
  ];
}

/** What a yardstick costs, and the plan's share of it. */
function yardstickWords(hours: number | null, exposureHours: number): string {
  if (hours === null) return 'no room for all tests';
  const share = hours > 0 ? `; this plan has ${Math.round((100 * exposureHours) / hours)} % of that` : '';
  return `${hoursWord(hours)} h${share}`;
}

const EXPOSURE = 'Exposure: hours with people in an area, times the share of its luminaires not ready.';

function exposureLines(made: MadePlan): string[] {
  const { exposureHours, naiveExposureHours, bestFixedNightHours, lowerBoundHours } = made;
  return [
    'Exposure in hours:',
    `  This plan:                         ${hoursWord(exposureHours)} h`,
    `  No plan can be below:              ${hoursWord(lowerBoundHours)} h`,
    `  All circuits on the same nights:   ${yardstickWords(naiveExposureHours, exposureHours)}`,
    `  All on the best night of the week: ${yardstickWords(bestFixedNightHours, exposureHours)}`,
    'The last two make the same tests under the same caps, without regard to people',
    'or neighbours; where a night is full, a test comes late.',
    ...(made.testsByCircuit.some(({ more }) => more) ? ['They leave out those of testMore.'] : []),
    '',
  ];
}

/** For every late test, conflicts explain why it is late. */
function troubleLines({ conflicts, shortfalls }: MadePlan, isAll: boolean): string[] {
  const inTime = 'Every test is planned in time.';
  return [...(shortfalls.length === 0 ? [inTime, ''] : []), ...linesOf(conflicts, isAll)];
}

export interface PlanTextOptions {
  /** What planning took, s. */
  seconds: number;
  /** Name every circuit of a conflict. */
  all: boolean;
  /** UTC second up to which tests are shown; the whole plan by default. */
  shownUntil?: number;
}

/** What a reader must know before the tests: that this is no order, and how much of the plan is shown. */
function scopeLines(site: Site, made: MadePlan, shownUntil: number): string[] {
  const lines = [
    'A forecast for a building without test history: no controller gets it. Once the host has started,',
    '`nightproof nights` shows the nights of the plan in force.',
    EXPOSURE,
  ];
  if (shownUntil < made.until)
    lines.push(
      `Planned until ${dayWord(made.until - 1, site.timeZone)}: exposure and conflicts are those of that time.`,
    );
  return lines;
}

/** Circuits to a piece of the text: few enough that it stays small, many enough that each is worth writing. */
const PIECE_CIRCUITS = 250;

/**
 * A plan as text, circuit by circuit, its cost, what could not be planned, and the caution. It comes in pieces, since
 * that of a large plan as a whole would take several times its memory.
 * @param tests that are shown, circuit by circuit in the order of the site
 */
export function* planText(
  site: Site,
  made: MadePlan,
  tests: PlannedTest[],
  { seconds, all, shownUntil = made.until }: PlanTextOptions,
): Generator<string> {
  const { timeZone } = site;
  const last = dayWord(shownUntil - 1, timeZone);
  const head = [
    `${site.name}: ${tests.length} tests of ${site.circuits.length} circuits, ${dayWord(made.from, timeZone)} to ${last}, ` +
      `planned in ${seconds} s.`,
    ...scopeLines(site, made, shownUntil),
    `Times are for ${timeZone}; each test is shown on its first planned night.`,
    ...(site.location ? [] : ['The site file gives no location, so daylight or dark is not shown.']),
    '',
  ];
  yield `${head.join('\n')}\n`;
  const isAll = shownUntil >= made.until;
  const exposure = exposureFor(site, tests, made.from);
  let lines: string[] = [];
  let at = 0;
  for (const [i, circuit] of site.circuits.entries()) {
    const from = at;
    while (at < tests.length && tests[at].circuit === circuit.id) at++;
    const own = costedTests(site, tests.slice(from, at), made.from, exposure);
    lines.push(...circuitLines(site, circuit, own, isAll));
    if (i % PIECE_CIRCUITS < PIECE_CIRCUITS - 1 && i < site.circuits.length - 1) continue;
    yield `${lines.join('\n')}\n`;
    lines = [];
  }
  const foot = [
    ...furtherLines(site, made),
    ...(site.testMore ? [''] : []),
    ...exposureLines(made),
    ...troubleLines(made, all),
    CAUTION,
  ];
  yield foot.join('\n');
}
