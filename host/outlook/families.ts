// The shapes of life that are fitted, each as the distribution of z = (log life - location) / scale. A Weibull
// life has the smallest extreme value for z, a log-normal one the normal; the names are those of R's survreg.
import { logDensity, logTail } from './normal';

export interface Family {
  name: 'weibull' | 'lognormal';
  /** Logarithm of the density at z, and its slope. */
  logDensity(z: number): number;
  slope(z: number): number;
  /** Logarithm of the share above z. */
  logTail(z: number): number;
  /** Logarithm of the share between two values, `from` < `to`; either may be infinite. */
  logBetween(from: number, to: number): number;
}

/** log(exp(more) - exp(less)). */
function logDifference(more: number, less: number): number {
  return more + Math.log(-Math.expm1(less - more));
}

export const WEIBULL: Family = {
  name: 'weibull',
  logDensity: (z) => z - Math.exp(z),
  slope: (z) => 1 - Math.exp(z),
  logTail: (z) => -Math.exp(z),
  logBetween: (from, to) => logDifference(-Math.exp(from), -Math.exp(to)),
};

function normalBetween(from: number, to: number): number {
  // Taken in the nearer tail, so that two values far out do not cancel.
  const [near, far] = from + to > 0 ? [from, to] : [-to, -from];
  const more = near === Number.NEGATIVE_INFINITY ? 0 : logTail(near);
  return far === Number.POSITIVE_INFINITY ? more : logDifference(more, logTail(far));
}

export const LOGNORMAL: Family = {
  name: 'lognormal',
  logDensity,
  slope: (z) => -z,
  logTail,
  logBetween: normalBetween,
};

export const FAMILIES: readonly Family[] = [WEIBULL, LOGNORMAL];
