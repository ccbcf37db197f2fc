// A straight line by least squares. Sums are taken about the means: plain sums of squares lose half the digits.

export interface Line {
  intercept: number;
  slope: number;
  /** Standard deviations of both, and of the residuals. */
  interceptDeviation: number;
  slopeDeviation: number;
  residualDeviation: number;
}

function meanOf(values: readonly number[]): number {
  return values.reduce((sum, one) => sum + one, 0) / values.length;
}

/** The line through three or more points at two or more places. */
export function leastSquares(xs: readonly number[], ys: readonly number[]): Line {
  const [x0, y0] = [meanOf(xs), meanOf(ys)];
  let xx = 0;
  let xy = 0;
  for (let i = 0; i < xs.length; i++) {
    xx += (xs[i] - x0) ** 2;
    xy += (xs[i] - x0) * (ys[i] - y0);
  }
  const slope = xy / xx;
  const squares = xs.reduce((sum, x, i) => sum + (ys[i] - y0 - slope * (x - x0)) ** 2, 0);
  const residualDeviation = Math.sqrt(squares / (xs.length - 2));
  return {
    intercept: y0 - slope * x0,
    slope,
    interceptDeviation: residualDeviation * Math.sqrt(1 / xs.length + x0 ** 2 / xx),
    slopeDeviation: residualDeviation / Math.sqrt(xx),
    residualDeviation,
  };
}
