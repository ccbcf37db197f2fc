// What a plan's exposure is compared with: the naive plan, which makes as many tests without regard to
// people, and a bound that no plan can beat.
import { TestKind } from '../../../firmware/contract/codes';
import type { Night } from '../nights/nights';
import type { PlannedTest } from '../plan/plan';
import type { Exposure } from './exposure';

/** From one night until another, both included. */
export interface Range {
  first: number;
  last: number;
}

/**
 * The least sum of hours of tests on some of the nights: the first within its range, each further one within
 * the interval after the one before, until the next may come after the end. Where the nights leave a gap in
 * which the interval cannot be kept, the test after it is late.
 * @param at night
 */
export function cheapestSequence(
  at: Int32Array,
  hours: Float64Array,
  first: Range,
  interval: Range,
  end: number,
): number {
  if (first.last >= end) return 0;
  const best = new Float64Array(at.length).fill(Number.POSITIVE_INFINITY);
  // Indexes in `best` that may come before, with rising sums: those from `head` on.
  const queue: number[] = [];
  let head = 0;
  let entered = 0;
  let late = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i < at.length; i++) {
    if (hours[i] === Number.POSITIVE_INFINITY || at[i] < first.first) continue;
    for (; entered < i && at[entered] <= at[i] - interval.first; entered++) {
      if (best[entered] === Number.POSITIVE_INFINITY) continue;
      while (queue.length > head && best[queue[queue.length - 1]] >= best[entered]) queue.pop();
      queue.push(entered);
    }
    for (; head < queue.length && at[queue[head]] < at[i] - interval.last; head++) late = best[queue[head]];
    const before = at[i] <= first.last ? 0 : head < queue.length ? best[queue[head]] : late;
    best[i] = before + hours[i];
    if (at[i] + interval.last >= end) least = Math.min(least, best[i]);
  }
  return least < Number.POSITIVE_INFINITY ? least : late;
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
 * Exposure of the naive plan, hours: as many tests of each circuit as in the plan, at the rule's intervals,
 * but every circuit on the same night, from the start of the window.
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
