// What is known of each life, and how well a location-scale model explains it.
import type { Family } from './families';

/**
 * A value known to lie between two bounds on the model's scale (the logarithm of a life in years): equal bounds
 * for one observed exactly, an infinite one where it is open.
 */
export interface Known {
  lower: number;
  upper: number;
  /** It is in the sample only because it exceeds this; -infinity if it would have been seen anyway. */
  entry: number;
  /** How many values are known alike. */
  weight: number;
  /** One number for each coefficient of the model; the first is usually 1. */
  covariates: readonly number[];
}

/** Log-likelihood and its gradient; the last parameter is the logarithm of the scale. */
export interface Slope {
  value: number;
  gradient: number[];
}

/** Log-likelihood of one value as a function of z at its bounds: value, and slopes at lower, upper and entry. */
interface Part {
  value: number;
  atLower: number;
  atUpper: number;
  atEntry: number;
}

function partOf(family: Family, lower: number, upper: number, entry: number, logScale: number): Part {
  const part: Part = { value: 0, atLower: 0, atUpper: 0, atEntry: 0 };
  if (lower === upper) {
    part.value = family.logDensity(lower) - logScale;
    part.atLower = family.slope(lower);
  } else {
    part.value = upper === Number.POSITIVE_INFINITY ? family.logTail(lower) : family.logBetween(lower, upper);
    if (Number.isFinite(lower)) part.atLower = -Math.exp(family.logDensity(lower) - part.value);
    if (Number.isFinite(upper)) part.atUpper = Math.exp(family.logDensity(upper) - part.value);
  }
  if (Number.isFinite(entry)) {
    const tail = family.logTail(entry);
    part.value -= tail;
    part.atEntry = Math.exp(family.logDensity(entry) - tail);
  }
  return part;
}

/** Location of a value under the coefficients; further parameters are left out. */
function locationOf(covariates: readonly number[], parameters: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < covariates.length; i++) sum += covariates[i] * parameters[i];
  return sum;
}

/** The log-likelihood alone. */
export function logLikelihood(
  known: readonly Known[],
  family: Family,
  parameters: readonly number[],
): number {
  const logScale = parameters[parameters.length - 1];
  const scale = Math.exp(logScale);
  let sum = 0;
  for (const { lower, upper, entry, weight, covariates } of known) {
    const location = locationOf(covariates, parameters);
    const from = (lower - location) / scale;
    let value: number;
    if (lower === upper) value = family.logDensity(from) - logScale;
    else if (upper === Number.POSITIVE_INFINITY) value = family.logTail(from);
    else value = family.logBetween(from, (upper - location) / scale);
    if (entry !== Number.NEGATIVE_INFINITY) value -= family.logTail((entry - location) / scale);
    sum += weight * value;
  }
  return sum;
}

/** The log-likelihood and its gradient. */
export function slopeOf(known: readonly Known[], family: Family, parameters: readonly number[]): Slope {
  const last = parameters.length - 1;
  const logScale = parameters[last];
  const scale = Math.exp(logScale);
  const gradient = parameters.map(() => 0);
  let value = 0;
  for (const { lower, upper, entry, weight, covariates } of known) {
    const location = locationOf(covariates, parameters);
    const [a, b, e] = [lower, upper, entry].map((bound) => (bound - location) / scale);
    const part = partOf(family, a, b, e, logScale);
    value += weight * part.value;
    const shift = (-weight * (part.atLower + part.atUpper + part.atEntry)) / scale;
    for (let i = 0; i < last; i++) gradient[i] += shift * covariates[i];
    const spread = [part.atLower * a, part.atUpper * b, part.atEntry * e].filter((one) => !Number.isNaN(one));
    gradient[last] -= weight * spread.reduce((sum, one) => sum + one, lower === upper ? 1 : 0);
  }
  return { value, gradient };
}
