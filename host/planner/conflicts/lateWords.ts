// Late tests in words: which test of which circuits has no night, why, and the least change that would help.
import { TestKind } from '../../../firmware/contract/codes';
import { limitedSec } from '../../../firmware/contract/limits';
import { WEEKDAYS } from '../../site/civil';
import type { Circuit, Site } from '../../site/model';
import { NOON_WORDS, slotNeedSec, spansNoon } from '../../site/windows';
import { testName } from '../../words/codes';
import { lengthAtLeast, lengthWord } from '../../words/length';
import { dayWord } from '../../words/when';
import type { Conflict } from '../plan/plan';
import { circuitName, circuitsNamed, listed, nightWord } from './conflictWords';
import type { Reason } from './lateReasons';
import type { Late } from './lateTests';
import { type Judged, mostInTime } from './wiring';

type Words = Pick<Conflict, 'sentence' | 'remedy'>;

/** The common beginning: which test of which circuits has no night between which days. */
function head({ kind, circuits, tests, interval }: Late, j: Judged): string {
  const night = (number: number) => nightWord(number, j.noon, j.site.timeZone);
  const what =
    tests === 1
      ? `the ${testName(kind)}`
      : `${tests.toLocaleString('en')} ${testName(kind).replace(/\btest\b/, 'tests')}`;
  return (
    `No night can be found for ${what} of ${circuitsNamed([...circuits])}, ${tests === 1 ? '' : 'the first '}from ` +
    `${night(interval.first)} to ${night(interval.last)}`
  );
}

/** Sites up to this many circuits are planned anew to see whether a change would help. */
const TRIED_CIRCUITS = 100;

/** A change of the site with what to tell people who should make it. */
interface Change {
  site: Site;
  remedy: string;
}

/** The first change after which none of the late tests is late any more; undefined when none is known to help. */
function helping({ kind, circuits }: Late, changes: Change[], j: Judged): string | undefined {
  if (j.site.circuits.length > TRIED_CIRCUITS) return undefined;
  const ids = new Set([...circuits].map(({ id }) => id));
  return changes.find(
    ({ site }) => !j.lateOn(site).some((late) => late.kind === kind && ids.has(late.circuit)),
  )?.remedy;
}

function isOpenDaily(site: Site): boolean {
  return WEEKDAYS.every((day) => site.windows.some(({ days }) => days.includes(day)));
}

/** Every window on every day of the week; none where each day has one. */
function moreDays(site: Site): Change[] {
  if (isOpenDaily(site)) return [];
  const windows = site.windows.map((window) => ({ ...window, days: [...WEEKDAYS] }));
  return [
    { site: { ...site, windows }, remedy: 'Open the test window on more days of the week (testWindows).' },
  ];
}

function moreAtOnce(site: Site): Change[] {
  return [1, 2, 4].map((more) => ({
    site: { ...site, openingsAtOnce: site.openingsAtOnce + more },
    remedy: `Allow ${site.openingsAtOnce + more} circuits at once (openingsAtOnce: ${site.openingsAtOnce + more}).`,
  }));
}

function closerStarts(site: Site): Change[] {
  return [2, 4]
    .map((part) => Math.floor(site.staggerSec / part))
    .filter((staggerSec) => staggerSec > 0)
    .map((staggerSec) => ({
      site: { ...site, staggerSec },
      remedy: `Let tests start closer together (staggerSeconds: ${staggerSec}).`,
    }));
}

/** One barred date less, or two neighbouring ones. */
function fewerDates(site: Site, dates: string[]): Change[] {
  const runs = [...dates.map((date) => [date]), ...dates.slice(1).map((date, i) => [dates[i], date])];
  return runs.slice(0, 16).map((run) => ({
    site: { ...site, noTestDates: site.noTestDates.filter((date) => !run.includes(date)) },
    remedy: `Allow tests on ${listed(run)} (noTestDates).`,
  }));
}

/** How the circuits of one area would have to be fewer. */
function lessNeighbours(kind: TestKind, rivals: Circuit[], j: Judged): string {
  const most = mostInTime(j);
  return kind === TestKind.Brief && rivals.length > most
    ? `Have at most ${most} circuits light one area and those next to it, for example by joining ` +
        `${circuitName(rivals[0])} and ${circuitName(rivals[1])} on one controller.`
    : `Move part of circuit ${circuitName(rivals[0])} to another controller, so that fewer circuits are neighbours.`;
}

/** The limited test instead, where it would fit. */
function limitedWords({ kind, circuits }: Late, longestSec: number): string {
  const isHelp = [...circuits].every(
    ({ shared, ratedSec }) => !shared && slotNeedSec(limitedSec(ratedSec)) <= longestSec,
  );
  if (kind !== TestKind.Full || !isHelp) return '';
  return (
    '; or, where people are there day and night and the rule accepts a limited duration test (2/3), mark the ' +
    `${circuits.size === 1 ? 'circuit' : 'circuits'} alwaysOccupied`
  );
}

/** Who takes turns with the late circuits. */
function rivalWords({ circuits }: Late, rivals: Circuit[]): string {
  if (rivals.length === 1) return 'neighbours take turns, so';
  const isThey = rivals.length === circuits.size && rivals.every((one) => circuits.has(one));
  if (isThey) return 'they are all neighbours of each other, so';
  if (circuits.size <= rivals.length) return `${circuitsNamed(rivals)} are all neighbours of each other, so`;
  return `up to ${rivals.length} of them are all neighbours of each other, e.g. ${listed(rivals.map(({ id }) => id))}, so`;
}

const words: { [W in Reason['why']]: (late: Late, reason: Extract<Reason, { why: W }>, j: Judged) => Words } =
  {
    overdue: ({ kind, circuits }, _, j) => {
      const [first] = circuits;
      const next = j.tests.find((test) => test.kind === kind && test.circuit === first.id);
      const when = next
        ? `${circuits.size > 1 ? `the first night of ${circuitName(first)}` : 'its first night'} in this plan is ` +
          dayWord(next.start, j.site.timeZone)
        : 'no night is planned yet';
      return {
        sentence: `The ${testName(kind)} of ${circuitsNamed([...circuits])} was due before this plan starts; ${when}.`,
        remedy: 'If it cannot wait, record that someone is working there (attend) and start it on demand.',
      };
    },
    length: (late, { needSec, longestSec }, j) => ({
      sentence:
        `${head(late, j)}: with its margin it takes ${lengthAtLeast(needSec)}, but the longest test window in that time is ` +
        `${lengthWord(longestSec)}${j.site.windows.some(spansNoon) ? ` (${NOON_WORDS})` : ''}.`,
      remedy: `Make one test window at least ${lengthAtLeast(needSec)} long (testWindows)${limitedWords(late, longestSec)}.`,
    }),
    opening: (late, { needSec, rechargeSec }, j) => ({
      sentence:
        `${head(late, j)}: batteries must be full whenever the building opens, and after a test window it never stays closed ` +
        `for the ${lengthAtLeast(needSec + rechargeSec)} that test and recharge take.`,
      remedy:
        'Close the building on one day in that time (closedDates): the test is then planned for the night before.',
    }),
    barred: (late, { dates }, j) => ({
      sentence: `${head(late, j)}: no tests are allowed on ${listed(dates)}, which rules out the nights it could use.`,
      remedy:
        helping(late, fewerDates(j.site, dates), j) ??
        `Allow tests on some of these dates (noTestDates): ${listed(dates)}.`,
    }),
    windows: (late, _, j) => ({
      sentence: `${head(late, j)}: the test windows leave too few nights.`,
      remedy:
        helping(late, moreDays(j.site), j) ??
        (isOpenDaily(j.site)
          ? 'Make the test windows longer (testWindows).'
          : 'Add test windows on more days of the week (testWindows).'),
    }),
    turns: (late, { cycle }, j) => {
      const [rivals] = [...late.rivals.values()].sort((a, b) => b.length - a.length);
      return {
        sentence:
          `${head(late, j)}: ${rivalWords(late, rivals)} each gets only one night in ${cycle}` +
          `${late.circuits.size > rivals.length ? ' or fewer' : ''}, and none of those nights has a test window.`,
        remedy: helping(late, moreDays(j.site), j) ?? lessNeighbours(late.kind, rivals, j),
      };
    },
    caps: (late, { atOnce }, j) => ({
      sentence:
        `${head(late, j)}: other circuits already use those nights, with at most ${atOnce} at once and ` +
        `${lengthWord(j.site.staggerSec)} between two starts.`,
      remedy:
        helping(late, [...moreAtOnce(j.site), ...closerStarts(j.site), ...moreDays(j.site)], j) ??
        (isOpenDaily(j.site)
          ? 'Allow more circuits at once and let them start closer together (openingsAtOnce, staggerSeconds).'
          : 'Add a test window on more days of the week and allow more circuits at once (testWindows, openingsAtOnce).'),
    }),
    own: (late, _, j) => ({
      sentence: `${head(late, j)}: its own nights in that time are taken by its other tests or too close to them.`,
      remedy:
        helping(late, moreDays(j.site), j) ??
        (isOpenDaily(j.site)
          ? 'Have fewer circuits light one area and those next to it, so that each gets more nights.'
          : 'Add a test window on more days of the week (testWindows).'),
    }),
  };

/** What is late and why, and what to do about it. */
export function lateWords(late: Late, j: Judged): Words {
  const tell = words[late.reason.why] as (late: Late, reason: Reason, j: Judged) => Words;
  return tell(late, late.reason, j);
}
