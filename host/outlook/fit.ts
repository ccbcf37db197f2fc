// Maximum likelihood by Newton's method. Libraries for least squares do not fit censored values, and one that
// climbs any function would not give the curvature, from which the uncertainty follows; so only the algebra is
// a library's.
import { CholeskyDecomposition, inverse, Matrix } from 'ml-matrix';
import type { Family } from './families';
import { type Known, logLikelihood, slopeOf } from './likelihood';

export interface Fit {
  family: Family;
  /** Coefficients of the location, then the logarithm of the scale. */
  parameters: number[];
  /** Inverse of the observed information, in the same order. */
  covariance: number[][];
  logLikelihood: number;
}

const STEPS_MAX = 100;
const HALVINGS_MAX = 30;
/** A step that would gain less than this is the last. */
const GAIN_MIN = 1e-11;
/** Step of the numerical derivative of the gradient. */
const STEP = 1e-5;
/** Values that a model explains this fully do not determine it: it could still grow steeper. */
const EXPLAINED = -1e-6;

/** The matrix without what rounding has made of its symmetry. */
function symmetric(matrix: Matrix): Matrix {
  return matrix.clone().add(matrix.transpose()).div(2);
}

/** The observed information: minus the second derivatives. */
function informationAt(known: readonly Known[], family: Family, parameters: readonly number[]): Matrix {
  const rows = parameters.map((value, i) => {
    const step = STEP * Math.max(1, Math.abs(value));
    const gradientAt = (moved: number) => slopeOf(known, family, parameters.with(i, moved)).gradient;
    const up = gradientAt(value + step);
    const down = gradientAt(value - step);
    return up.map((slope, k) => (down[k] - slope) / (2 * step));
  });
  return symmetric(new Matrix(rows));
}

/** The information made steep enough in all directions to climb along it. */
function climbable(information: Matrix): CholeskyDecomposition {
  for (let more = 0; ; more = more === 0 ? 1e-6 * Math.max(1, information.norm()) : more * 10) {
    const tried = new CholeskyDecomposition(Matrix.eye(information.rows).mul(more).add(information));
    if (tried.isPositiveDefinite()) return tried;
  }
}

/** The parameters after as much of a step as gains something; undefined if none does. */
function climb(
  known: readonly Known[],
  family: Family,
  from: { parameters: number[]; value: number },
  step: readonly number[],
): number[] | undefined {
  for (let halved = 0, share = 1; halved < HALVINGS_MAX; halved++, share /= 2) {
    const tried = from.parameters.map((value, i) => value + share * step[i]);
    if (logLikelihood(known, family, tried) > from.value) return tried;
  }
  return undefined;
}

/**
 * Fits a location-scale model to values that may be censored.
 * @param start coefficients and the logarithm of the scale to begin from
 * @returns undefined if the values do not determine the parameters
 */
export function fitLives(known: readonly Known[], family: Family, start: readonly number[]): Fit | undefined {
  let parameters = [...start];
  for (let n = 0; n < STEPS_MAX; n++) {
    const { value, gradient } = slopeOf(known, family, parameters);
    const information = informationAt(known, family, parameters);
    if (![value, ...gradient, ...information.to1DArray()].every(Number.isFinite)) return undefined;
    const step = climbable(information).solve(Matrix.columnVector(gradient)).to1DArray();
    const gain = step.reduce((sum, one, i) => sum + one * gradient[i], 0);
    const next = gain > GAIN_MIN ? climb(known, family, { parameters, value }, step) : undefined;
    if (next) {
      parameters = next;
      continue;
    }
    const isSteep = new CholeskyDecomposition(information).isPositiveDefinite();
    if (value > EXPLAINED || !isSteep) return undefined;
    return {
      family,
      parameters,
      covariance: symmetric(inverse(information)).to2DArray(),
      logLikelihood: value,
    };
  }
  return undefined;
}
