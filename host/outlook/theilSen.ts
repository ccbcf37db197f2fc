// The median of the slopes between all pairs of points, which one wild value does not move, with the interval
// of P. K. Sen, Estimates of the regression coefficient based on Kendall's tau (Journal of the American
// Statistical Association 63, 1968, p. 1379).

export interface Trend {
  slope: number;
  /** Median of what is left of each value after the slope is taken off. */
  intercept: number;
  /** Bounds of the slope; infinite where there are too few points for the level. */
  lower: number;
  upper: number;
}

/** Median of sorted values. */
function middle(sorted: readonly number[]): number {
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half] : (sorted[half - 1] + sorted[half]) / 2;
}

function inOrder(values: readonly number[]): number[] {
  return [...values].sort((a, b) => a - b);
}

/** Sizes of the groups of equal values. */
function tiesOf(values: readonly number[]): number[] {
  const counts = new Map<number, number>();
  for (const one of values) counts.set(one, (counts.get(one) ?? 0) + 1);
  return [...counts.values()];
}

function slopesOf(xs: readonly number[], ys: readonly number[]): number[] {
  const slopes: number[] = [];
  for (let i = 0; i < xs.length; i++)
    for (let k = i + 1; k < xs.length; k++)
      if (xs[i] !== xs[k]) slopes.push((ys[k] - ys[i]) / (xs[k] - xs[i]));
  return inOrder(slopes);
}

/**
 * The trend of points at two or more places.
 * @param deviations half-width of the interval in standard normal deviations, 1.645 for 90 %
 */
export function theilSen(xs: readonly number[], ys: readonly number[], deviations: number): Trend {
  const slopes = slopesOf(xs, ys);
  const slope = middle(slopes);
  const term = (n: number) => n * (n - 1) * (2 * n + 5);
  const tied = [...tiesOf(xs), ...tiesOf(ys)].reduce((sum, n) => sum + term(n), 0);
  const half = deviations * Math.sqrt(Math.max(0, term(xs.length) - tied) / 18);
  const low = Math.round((slopes.length - half) / 2);
  const high = Math.round((slopes.length + half) / 2);
  return {
    slope,
    intercept: middle(inOrder(ys.map((y, i) => y - slope * xs[i]))),
    lower: low >= 1 ? slopes[low - 1] : Number.NEGATIVE_INFINITY,
    upper: high < slopes.length ? slopes[high] : Number.POSITIVE_INFINITY,
  };
}
