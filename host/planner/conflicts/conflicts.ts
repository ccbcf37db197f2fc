// What cannot be done with this wiring and these hours, in words: which circuits, which nights, and the least change
// that would solve it. Circuits late for one reason are told together.
import { TestKind } from '../../../firmware/contract/codes';
import type { Cited, RuleProfile } from '../../profiles/rule';
import { WEEKDAYS } from '../../site/civil';
import type { Circuit, Site } from '../../site/model';
import { testName } from '../../words/codes';
import { dayWord } from '../../words/when';
import { DAY_SEC } from '../nights/nights';
import type { Conflict, Shortfall } from '../plan/plan';
import { circuitName, circuitsNamed, listed, nightWord, spelled } from './conflictWords';
import { type Interval, intervalOf, type Reason, reasonFor } from './lateReasons';
import { crowdedAreas, type Judged, oddGroups } from './wiring';

/** So many conflicts of one sort are told one by one; more than that come together as one. */
const TOLD_MAX = 20;

function cited({ source, clause }: Cited<unknown>): string {
  return clause ? `${source}, ${clause}` : source;
}

function ruleWords(kind: TestKind, profile: RuleProfile): string {
  const { latestDays } = kind === TestKind.Brief ? profile.brief : profile.full;
  return `${testName(kind)} at least every ${latestDays.value} days (${cited(latestDays)})`;
}

/** Late tests of one kind that are due at the same time for the same reason. */
interface Late {
  kind: TestKind;
  reason: Reason;
  circuits: Circuit[];
  interval: Interval;
}

function lateTests(shortfalls: Shortfall[], j: Judged): Late[] {
  const byId = new Map(j.works.map((work) => [work.circuit.id, work]));
  const late = new Map<string, Late>();
  for (const shortfall of shortfalls) {
    const work = byId.get(shortfall.circuit)!;
    const reason = reasonFor(work, shortfall, j);
    const { kind } = shortfall;
    // One circuit's further late tests say nothing new; circuits of one reason are told in one sentence.
    const rivals = reason.why === 'turns' ? reason.rivals.map(({ id }) => id).join() : '';
    const key = [reason.why, kind, 'dates' in reason ? reason.dates.join() : '', rivals].join(' ');
    const known = late.get(key);
    if (!known) late.set(key, { kind, reason, circuits: [work.circuit], interval: intervalOf(shortfall, j) });
    else if (!known.circuits.includes(work.circuit)) known.circuits.push(work.circuit);
  }
  return [...late.values()];
}

type Words = Pick<Conflict, 'sentence' | 'remedy'>;

/** The common beginning: which test of which circuits has no night between which days. */
function head({ kind, circuits, interval }: Late, j: Judged): string {
  const night = (number: number) => nightWord(number, j.noon, j.site.timeZone);
  return (
    `No night can be found for the ${testName(kind)} of ${circuitsNamed(circuits)} from ${night(interval.first)} to ` +
    `${night(interval.last)}`
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
  const ids = new Set(circuits.map(({ id }) => id));
  return changes.find(
    ({ site }) => !j.lateOn(site).some((late) => late.kind === kind && ids.has(late.circuit)),
  )?.remedy;
}

/** Every window on every day of the week. */
function moreDays(site: Site): Change[] {
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
  const most = Math.floor(j.placing.profile.brief.latestDays.value / j.spacing);
  return kind === TestKind.Brief && rivals.length > most
    ? `Have at most ${most} circuits light one area and those next to it, for example by joining ` +
        `${circuitName(rivals[0])} and ${circuitName(rivals[1])} on one controller.`
    : `Move part of circuit ${circuitName(rivals[0])} to another controller, so that fewer circuits are neighbours.`;
}

const words: { [W in Reason['why']]: (late: Late, reason: Extract<Reason, { why: W }>, j: Judged) => Words } =
  {
    overdue: ({ kind, circuits }, _, j) => {
      const next = j.tests.find((test) => test.kind === kind && test.circuit === circuits[0].id);
      const when = next
        ? `its first night in this plan is ${dayWord(next.start, j.site.timeZone)}`
        : 'no night is planned yet';
      return {
        sentence: `The ${testName(kind)} of ${circuitsNamed(circuits)} was due before this plan starts; ${when}.`,
        remedy: 'If it cannot wait, record that someone is working there (attend) and start it on demand.',
      };
    },
    length: (late, { needSec, longestSec }, j) => ({
      sentence:
        `${head(late, j)}: with its margin it takes ${spelled(needSec)}, but the longest test window in that time is ` +
        `${spelled(longestSec)}.`,
      remedy:
        `Make one test window at least ${spelled(needSec)} long (testWindows)` +
        (late.kind === TestKind.Full
          ? ', or, if your rule accepts a limited duration test (2/3), mark the circuit alwaysOccupied.'
          : '.'),
    }),
    opening: (late, { needSec, rechargeSec }, j) => ({
      sentence:
        `${head(late, j)}: batteries must be full whenever the building opens, and after a test window it never stays closed ` +
        `for the ${spelled(needSec + rechargeSec)} that test and recharge take.`,
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
        helping(late, moreDays(j.site), j) ?? 'Add test windows on more days of the week (testWindows).',
    }),
    turns: (late, { rivals, cycle }, j) => {
      const others =
        rivals.length > 1
          ? `${circuitsNamed(rivals)} are all neighbours of each other, so`
          : 'Neighbours take turns, so';
      return {
        sentence: `${head(late, j)}: ${others} each gets only one night in ${cycle}, and none of those nights has a test window.`,
        remedy: helping(late, moreDays(j.site), j) ?? lessNeighbours(late.kind, rivals, j),
      };
    },
    caps: (late, { atOnce }, j) => ({
      sentence:
        `${head(late, j)}: other circuits already use those nights, with at most ${atOnce} at once and ` +
        `${spelled(j.site.staggerSec)} between two starts.`,
      remedy:
        helping(late, [...moreAtOnce(j.site), ...moreDays(j.site)], j) ??
        'Add a test window on more days of the week and allow more circuits at once (testWindows, openingsAtOnce).',
    }),
    own: (late, _, j) => ({
      sentence: `${head(late, j)}: its own nights in that time are taken by its other tests or too close to them.`,
      remedy:
        helping(late, moreDays(j.site), j) ?? 'Add a test window on more days of the week (testWindows).',
    }),
  };

function lateConflict(late: Late, j: Judged): Conflict {
  const { reason, circuits, kind, interval } = late;
  const tell = words[reason.why] as (late: Late, reason: Reason, j: Judged) => Words;
  return {
    circuits: circuits.map(({ id }) => id),
    areas: [...new Set(circuits.flatMap(({ areas }) => areas))].sort(),
    rule:
      reason.why === 'opening' && j.placing.profile.fullBeforeOpening
        ? `batteries full whenever the building opens (${cited(j.placing.profile.fullBeforeOpening)})`
        : ruleWords(kind, j.placing.profile),
    from: j.noon + interval.first * DAY_SEC,
    until: j.noon + (interval.last + 1) * DAY_SEC,
    ...tell(late, reason, j),
  };
}

/** Many conflicts of one sort as the first of them and one for the rest. */
function bounded(conflicts: Conflict[]): Conflict[] {
  if (conflicts.length <= TOLD_MAX) return conflicts;
  const rest = conflicts.slice(TOLD_MAX - 1);
  const circuits = [...new Set(rest.flatMap((one) => one.circuits))];
  return [
    ...conflicts.slice(0, TOLD_MAX - 1),
    {
      ...rest[0],
      circuits,
      areas: [...new Set(rest.flatMap((one) => one.areas))].sort(),
      sentence: `The same applies in ${rest.length} more cases, for circuits ${listed(circuits)}.`,
    },
  ];
}

/** Everything that could not be done in time, then what the wiring does not allow. */
export function conflictsOf(shortfalls: Shortfall[], j: Judged): Conflict[] {
  const late = lateTests(shortfalls, j).map((one) => lateConflict(one, j));
  return [late, crowdedAreas(j), oddGroups(j)].flatMap(bounded);
}
