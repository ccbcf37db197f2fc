import { TestKind } from '../../firmware/contract/codes';
import {
  type CircuitWork,
  ownBeside,
  ownBetween,
  type Placing,
  sortTests,
  testOn,
  tryNight,
} from './circuitWork';
import type { Night } from './nights';

/** The first full tests of a building are spread over this many days, so that none waits a year. */
const FIRST_FULL_DAYS = 70;

/** Days of distance from the wished night that a drawback is worth (a choice of ours, no source). */
const COST = { openNextDay: 10, noRetryNight: 8, takesBriefsRetry: 6, otherFullThatNight: 5 };

interface Range {
  first: number;
  last: number;
  wished: number;
}

function cost(work: CircuitWork, placing: Placing, night: Night, wished: number): number {
  const before = ownBeside(work, night, -1);
  const after = ownBeside(work, night, 1);
  return (
    Math.abs(night.night - wished) +
    (night.beforeClosed ? 0 : COST.openNextDay) +
    (!after || testOn(work, after) ? COST.noRetryNight : 0) +
    (before && testOn(work, before) ? COST.takesBriefsRetry : 0) +
    COST.otherFullThatNight * placing.calendar.longsOn(night)
  );
}

/**
 * A full test also shows every lamp lit, so where a circuit has no other night it takes the place of that
 * month's brief test (common practice, no source).
 */
function replaceBrief(work: CircuitWork, placing: Placing, night: Night): boolean {
  const brief = testOn(work, night);
  if (brief?.kind !== TestKind.Brief) return false;
  placing.calendar.remove(night, work.circuit.id);
  if (!tryNight(placing, work, work.longKind, night)) {
    tryNight(placing, work, TestKind.Brief, night);
    return false;
  }
  work.tests.splice(work.tests.indexOf(brief), 1);
  return true;
}

/** Puts a full test on the best night of a range; undefined when none can hold it. */
function placeFull(work: CircuitWork, placing: Placing, range: Range): Night | undefined {
  const nights = ownBetween(work, range.first, range.last);
  const costs = new Map(nights.map((n) => [n, cost(work, placing, n, range.wished)]));
  nights.sort((a, b) => costs.get(a)! - costs.get(b)!);
  const free = nights.find((n) => !testOn(work, n) && tryNight(placing, work, work.longKind, n));
  const chosen = free ?? nights.find((n) => replaceBrief(work, placing, n));
  if (!chosen) return undefined;
  work.tests.push({ kind: work.longKind, nights: [chosen] });
  sortTests(work);
  return chosen;
}

export function rangeAfter(placing: Placing, last: number): Range {
  const { latestDays, earlierDays } = placing.profile.full;
  const due = last + latestDays.value;
  const first = Math.max(due - earlierDays.value, placing.fromNight);
  return { first, last: Math.max(due, first), wished: due };
}

/** Nights for the first full test of which nothing is known before. */
export function firstFullRange(work: CircuitWork, placing: Placing): Range {
  const { fromNight, circuits } = placing;
  const { full, fullBeforeOpening } = placing.profile;
  const days = Math.min(FIRST_FULL_DAYS, full.latestDays.value);
  return {
    first: fromNight,
    // Nights before a closed day are rare: where no others will do, the rule's own interval is the limit.
    last: fromNight + (fullBeforeOpening?.value ? full.latestDays.value : days),
    wished: fromNight + Math.floor(((work.index + 0.5) * days) / circuits),
  };
}

/**
 * Places a circuit's full tests: the first one in its turn within ten weeks, unless an earlier one is
 * known, then one at the profile's interval, rather before a day on which the building is closed.
 */
export function placeFulls(work: CircuitWork, placing: Placing): void {
  const { untilNight } = placing;
  let last = work.lastLong;
  for (;;) {
    const range = last === undefined ? firstFullRange(work, placing) : rangeAfter(placing, last);
    if (range.first > untilNight) return;
    const late = { first: range.last + 1, last: untilNight, wished: range.last + 1 };
    const inTime = placeFull(work, placing, range);
    if (!inTime && range.last <= untilNight) {
      placing.shortfalls.push({ circuit: work.circuit.id, kind: work.longKind, dueNight: range.last });
    }
    const night = inTime ?? placeFull(work, placing, late);
    if (!night) return;
    last = night.night;
  }
}
