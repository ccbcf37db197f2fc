// The share that survives each age, counted and not modelled: Turnbull's estimate for values known only to lie
// in an interval (Journal of the Royal Statistical Society B 38, 1976, p. 290). Where every value is exact or
// still open it is the Kaplan-Meier estimate.

/** A value in (lower, upper], exact if both are equal, open if `upper` is infinite. */
export interface Interval {
  lower: number;
  upper: number;
  /** In the sample only because it exceeds this. */
  entry: number;
  weight: number;
}

/** The share that survives `at` and all that follows up to the next step. */
export interface Survivors {
  at: number;
  share: number;
}

const ROUNDS_MAX = 20_000;

/** A place where some of the values must lie: (from, to], or the one point if both are equal. */
interface Cell {
  from: number;
  to: number;
}

/** Bounds in order: at one age a point begins before intervals end, and intervals begin after both. */
const enum Bound {
  Point,
  End,
  Begin,
}

/**
 * Turnbull's innermost intervals, in order: where a lower bound is followed by an upper one. Entries count as
 * upper bounds (H. Frydman, Journal of the Royal Statistical Society B 56, 1994, p. 71).
 */
function cellsOf(intervals: readonly Interval[]): Cell[] {
  const bounds = intervals.flatMap(({ lower, upper, entry }): [number, Bound][] => [
    lower === upper ? [lower, Bound.Point] : [lower, Bound.Begin],
    [upper, Bound.End],
    [entry, Bound.End],
  ]);
  bounds.sort((a, b) => (a[0] === b[0] ? a[1] - b[1] : a[0] < b[0] ? -1 : 1));
  return bounds.flatMap(([to, kind], i) => {
    const before = bounds[i - 1];
    return kind === Bound.End && before && before[1] !== Bound.End ? [{ from: before[0], to }] : [];
  });
}

function isIn(cell: Cell, { lower, upper }: Interval): boolean {
  if (lower === upper) return cell.from === lower && cell.to === upper;
  return cell.to <= upper && cell.from >= lower && cell.to > lower;
}

/** Numbers of the cells an interval covers, and of those its entry leaves. */
interface Cover {
  inside: number[];
  seen: number[];
  weight: number;
}

function coverOf(cells: readonly Cell[], interval: Interval): Cover {
  const numbers = cells.map((_, i) => i);
  return {
    inside: numbers.filter((i) => isIn(cells[i], interval)),
    seen: numbers.filter((i) => cells[i].to > interval.entry),
    weight: interval.weight,
  };
}

function sumOf(shares: readonly number[], places: readonly number[]): number {
  let sum = 0;
  for (const i of places) sum += shares[i];
  return sum;
}

/** One round of self-consistency: where the values lie if the shares were true. */
function redistributed(shares: readonly number[], covers: readonly Cover[]): number[] {
  const next = shares.map(() => 0);
  for (const { inside, seen, weight } of covers) {
    const own = weight / sumOf(shares, inside);
    for (const i of inside) next[i] += own * shares[i];
    // Those that ended before they could enter the sample are missing from it, and are put back.
    if (seen.length === shares.length) continue;
    const missing = weight / sumOf(shares, seen);
    let place = 0;
    for (let i = 0; i < shares.length; i++) {
      if (seen[place] === i) place++;
      else next[i] += missing * shares[i];
    }
  }
  const total = next.reduce((sum, one) => sum + one, 0);
  return next.map((one) => one / total);
}

/**
 * The steps of the curve, by age. Values that entered late are allowed for.
 * @param near the estimate is final when no share moves by more in a round
 */
export function survivors(intervals: readonly Interval[], near = 1e-10): Survivors[] {
  const cells = cellsOf(intervals);
  const covers = intervals.map((interval) => coverOf(cells, interval));
  let shares = cells.map(() => 1 / cells.length);
  for (let round = 0; round < ROUNDS_MAX; round++) {
    const next = redistributed(shares, covers);
    const moved = Math.max(...next.map((one, i) => Math.abs(one - shares[i])));
    shares = next;
    if (moved < near) break;
  }
  let left = 1;
  return cells.map(({ to }, i) => {
    left -= shares[i];
    return { at: to, share: Math.max(0, left) };
  });
}
