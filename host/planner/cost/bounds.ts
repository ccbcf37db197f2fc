// A bound on exposure that no plan can beat.

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
