// What a plan's exposure is held against: the naive plan, which does as much without looking at people, and a bound
// below which no plan can be.
import { TestKind } from '../../firmware/contract/codes';
import type { Exposure } from './exposure';
import type { Night } from './nights';
import type { PlannedTest } from './plan';

/** From one night until another, both included. */
export interface Range {
  first: number;
  last: number;
}

/** A night with what a test costs there, hours; Infinity where it cannot be made. */
export interface PricedNight {
  night: number;
  hours: number;
}

/**
 * The least sum of hours of tests on some of the nights: the first one within its range, each further one within the
 * interval after the one before, until the next may come after the end. Where the nights leave a hole in which the
 * interval cannot be kept, the test after it is late.
 * @param nights in order
 * @param interval days from one test to the next
 * @param end number of the night after which nothing is planned
 */
export function cheapestSequence(nights: PricedNight[], first: Range, interval: Range, end: number): number {
  if (first.last >= end) return 0;
  const best: number[] = [];
  const at: number[] = [];
  // Places in `best` that may come before, their sums rising.
  let queue: number[] = [];
  let entered = 0;
  let late = 0;
  for (const { night, hours } of nights) {
    if (hours === Number.POSITIVE_INFINITY || night < first.first) continue;
    for (; entered < at.length && at[entered] <= night - interval.first; entered++) {
      const sum = best[entered];
      queue = queue.filter((place) => best[place] < sum);
      queue.push(entered);
    }
    while (queue.length > 0 && at[queue[0]] < night - interval.last) late = best[queue.shift()!];
    const before = night <= first.last ? 0 : queue.length > 0 ? best[queue[0]] : late;
    at.push(night);
    best.push(before + hours);
  }
  const ends = best.filter((_, i) => at[i] + interval.last >= end);
  return ends.length > 0 ? Math.min(...ends) : (best[best.length - 1] ?? 0);
}

/** Nights of the naive plan for a number of tests: each the last permitted one within its interval. */
function naiveNights(
  nights: Night[],
  fromNight: number,
  untilNight: number,
  days: number,
  count: number,
): Night[] {
  const step = Math.min(days, Math.floor((untilNight - fromNight) / Math.max(1, count)));
  return Array.from({ length: count }, (_, k) => {
    const due = fromNight + (k + 1) * step;
    return nights.findLast((night) => night.night <= due) ?? nights[0];
  });
}

/**
 * Exposure of the naive plan, hours: as many tests of each circuit as the plan has, at the intervals of the rule, but
 * every circuit on the same night, from the beginning of the window.
 * @param daysOf the rule's interval of a kind, days
 */
export function naiveHours(
  tests: PlannedTest[],
  nights: Night[],
  span: { fromNight: number; untilNight: number },
  daysOf: (kind: TestKind) => number,
  exposure: Exposure,
): number {
  if (nights.length === 0) return 0;
  let sum = 0;
  for (const isBrief of [true, false]) {
    const counts = new Map<string, number>();
    const ofKind = tests.filter((test) => (test.kind === TestKind.Brief) === isBrief);
    for (const { circuit } of ofKind) counts.set(circuit, (counts.get(circuit) ?? 0) + 1);
    const most = [...counts.values()].reduce((a, b) => Math.max(a, b), 0);
    const days = daysOf(isBrief ? TestKind.Brief : TestKind.Full);
    const shared = naiveNights(nights, span.fromNight, span.untilNight, days, most);
    const done = new Map<string, number>();
    for (const { circuit, start, recharged } of ofKind) {
      const turn = done.get(circuit) ?? 0;
      done.set(circuit, turn + 1);
      sum += exposure.hours(circuit, shared[turn].start, shared[turn].start + recharged - start);
    }
  }
  return sum;
}
