// Norris of the NIST Statistical Reference Datasets (linear regression, lower level of difficulty): calibration
// of ozone monitors, 36 observations, certified values.
import { expect, it } from 'vitest';
import { leastSquares } from '../../../host/outlook/leastSquares';

const X = [
  ...[
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0,
  ],
  ...[447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1],
  ...[118.3, 229.2, 669.1, 448.9, 0.5],
];
const Y = [
  ...[0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3],
  ...[448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2],
  ...[117.6, 228.9, 668.4, 449.2, 0.2],
];
const CERTIFIED = {
  intercept: -0.262323073774029,
  interceptDeviation: 0.232818234301152,
  slope: 1.00211681802045,
  slopeDeviation: 0.429796848199937e-3,
  residualDeviation: 0.884796396144373,
};

it('gives the line that NIST certifies to eleven digits', () => {
  const line = leastSquares(X, Y);
  for (const [name, certified] of Object.entries(CERTIFIED))
    expect(Math.abs(line[name as keyof typeof line] / certified - 1), name).toBeLessThan(1e-11);
});

it('keeps its digits far from zero', () => {
  const far = leastSquares(
    X.map((x) => x + 1e6),
    Y,
  );
  expect(Math.abs(far.slope / CERTIFIED.slope - 1)).toBeLessThan(1e-8);
});
