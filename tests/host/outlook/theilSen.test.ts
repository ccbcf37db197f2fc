// The example in P. K. Sen, Journal of the American Statistical Association 63, 1968, p. 1379. The paper's
// printed list of slopes has slips; slope and limits are as it and others give them.
import { expect, it } from 'vitest';
import { theilSen } from '../../../host/outlook/theilSen';

const T = [1, 2, 3, 4, 10, 12, 18];
const X = [9, 15, 19, 20, 45, 55, 78];
/** Standard normal quantile of 0.965. */
const DEVIATIONS_93 = 1.8119106729525978;

it("gives Sen's slope and his 93 % limits", () => {
  const trend = theilSen(T, X, DEVIATIONS_93);
  expect(trend.slope).toBe(4);
  expect(trend.intercept).toBe(6);
  expect(trend.lower).toBeCloseTo(26 / 7, 12);
  expect(trend.upper).toBeCloseTo(35 / 8, 12);
});

it('leaves the slope open where three points cannot bound it', () => {
  const trend = theilSen([0, 1, 2], [0, 1, 1], 1.645);
  expect([trend.slope, trend.lower, trend.upper]).toEqual([
    0.5,
    Number.NEGATIVE_INFINITY,
    Number.POSITIVE_INFINITY,
  ]);
});

it('is not moved by one wild value', () => {
  // Minutes lasted in five yearly tests; the project's own example.
  const years = [0, 1, 2, 3, 4];
  const sound = theilSen(years, [236, 229, 221, 214, 206], 1.645);
  const wild = theilSen(years, [236, 229, 120, 214, 206], 1.645);
  expect([sound.slope, sound.intercept]).toEqual([-7.5, 236]);
  expect([wild.slope, wild.intercept]).toEqual([-7.5, 236]);
});
