// How long the batteries of one type last, learned from lives of which most are known only within bounds, with
// what remains unknown about the model itself. The lives of all batteries of the type are taken as drawn from a
// Weibull or a log-normal distribution; every pair of location and scale counts with its likelihood, and so do
// the two distributions. The prior is flat in location and log scale: for location and scale alone the intervals
// then hold as often as they say (J. F. Lawless and M. Fredette, Biometrika 92, 2005, p. 529).
import { CholeskyDecomposition, Matrix } from 'ml-matrix';
import { FAMILIES, type Family, LOGNORMAL } from './families';
import { fitLives } from './fit';
import { leastSquares } from './leastSquares';
import { type Known, logLikelihood } from './likelihood';
import { type Survivors, survivors } from './survivors';

/** What is known of the life of one battery, years from when it was fitted. */
export interface Life {
  /** It lasted its rated duration at this age, and no longer at `upper`; infinite if it still does. */
  lower: number;
  upper: number;
  /** Age at which it came to be known; 0 if watched from new. Had it failed before, nobody would know of it. */
  entry: number;
}

export interface LifeModel {
  /** Batteries known to have failed. */
  failures: number;
  /** The share that survives each age, counted. */
  counted: Survivors[];
  /** Probability that a battery which lasted its rated duration at one age no longer does at another. */
  failsBy(age: number, lastedAt: number): number;
  /** Age by which such a battery fails with this probability, years. */
  ageAt(probability: number, lastedAt: number): number;
}

/** With fewer known failures nothing is promised: the intervals were not checked there. */
export const FAILURES_MIN = 8;
/** Ages are rounded to this, years, so that a large estate takes no longer than a small one. */
const AGE_STEP = 1 / 24;
/** Nodes of the grid in standard deviations about the likeliest values: first, and distance. */
const NODES_FROM = -4.5;
const NODES_BY = 0.75;
/** Nodes that count less than this share of the most likely one are left out. */
const NEGLIGIBLE = 1e-6;
const AGE_MAX = 1000;
/** Shares are counted to about this. */
const COUNT_NEAR = 1e-4;

interface Node {
  family: Family;
  location: number;
  scale: number;
  weight: number;
}

function rounded(age: number): number {
  return Math.round(age / AGE_STEP) * AGE_STEP;
}

/** Lives that are alike after rounding, with their number. */
function grouped(lives: readonly Life[]): (Life & { weight: number })[] {
  const groups = new Map<string, Life & { weight: number }>();
  for (const life of lives) {
    const [lower, upper, entry] = [life.lower, life.upper, life.entry].map(rounded);
    const key = `${lower} ${upper} ${entry}`;
    const group = groups.get(key);
    if (group) group.weight++;
    else groups.set(key, { lower, upper: Math.max(upper, lower + AGE_STEP), entry, weight: 1 });
  }
  // What is known only since it last passed says nothing.
  return [...groups.values()].filter(({ lower, upper, entry }) => upper < Infinity || lower > entry);
}

/** Location and scale of a Weibull life from the straight line through the counted shares on its paper. */
function startOf(counted: readonly Survivors[]): [number, number] {
  const points = counted.filter(({ at, share }) => at > 0 && at < AGE_MAX && share > 0 && share < 1);
  const line = leastSquares(
    points.map(({ at }) => Math.log(at)),
    points.map(({ share }) => Math.log(-Math.log(share))),
  );
  if (line.slope > 1) return [-line.intercept / line.slope, 1 / line.slope];
  return [Math.log(points.at(-1)?.at ?? 5), 0.3];
}

/** Location and scale of the log-normal with the mean and variance that the logarithm of a Weibull life has. */
function startFor(family: Family, [location, scale]: [number, number]): [number, number] {
  const EULER = 0.5772156649015329;
  if (family !== LOGNORMAL) return [location, Math.log(scale)];
  return [location - EULER * scale, Math.log((scale * Math.PI) / Math.sqrt(6))];
}

/** The grid over location and log scale, each node with its share of the likelihood; logarithms as weights. */
function nodesOf(known: readonly Known[], family: Family, start: [number, number]): Node[] {
  const found = fitLives(known, family, start);
  if (!found) return [];
  const shape = new CholeskyDecomposition(new Matrix(found.covariance)).lowerTriangularMatrix;
  const area = Math.log(shape.get(0, 0) * shape.get(1, 1));
  const nodes: Node[] = [];
  for (let a = NODES_FROM; a <= -NODES_FROM; a += NODES_BY)
    for (let b = NODES_FROM; b <= -NODES_FROM; b += NODES_BY) {
      const location = found.parameters[0] + shape.get(0, 0) * a;
      const logScale = found.parameters[1] + shape.get(1, 0) * a + shape.get(1, 1) * b;
      const weight = logLikelihood(known, family, [location, logScale]) + area;
      nodes.push({ family, location, scale: Math.exp(logScale), weight });
    }
  return nodes;
}

/** The nodes that count, their weights as shares of 1. */
function weighed(nodes: Node[]): Node[] {
  const most = Math.max(...nodes.map(({ weight }) => weight));
  const kept = nodes
    .map((node) => ({ ...node, weight: Math.exp(node.weight - most) }))
    .filter(({ weight }) => weight > NEGLIGIBLE);
  const total = kept.reduce((sum, { weight }) => sum + weight, 0);
  return kept.map((node) => ({ ...node, weight: node.weight / total }));
}

function failsBy(nodes: readonly Node[], age: number, lastedAt: number): number {
  if (age <= lastedAt) return 0;
  const [from, to] = [Math.log(lastedAt), Math.log(age)];
  let sum = 0;
  for (const { family, location, scale, weight } of nodes) {
    const before = lastedAt > 0 ? family.logTail((from - location) / scale) : 0;
    sum -= weight * Math.expm1(family.logTail((to - location) / scale) - before);
  }
  return sum;
}

function ageAt(nodes: readonly Node[], probability: number, lastedAt: number): number {
  let [young, old] = [lastedAt, AGE_MAX];
  while (old - young > AGE_STEP / 10) {
    const age = (young + old) / 2;
    if (failsBy(nodes, age, lastedAt) < probability) young = age;
    else old = age;
  }
  return (young + old) / 2;
}

/** The model that lives of one type give; undefined if they are too few to promise anything. */
export function lifeModel(lives: readonly Life[], failuresMin = FAILURES_MIN): LifeModel | undefined {
  const groups = grouped(lives);
  const failures = groups.reduce((sum, { upper, weight }) => sum + (upper < Infinity ? weight : 0), 0);
  if (failures < failuresMin) return undefined;
  const counted = survivors(groups, COUNT_NEAR);
  const start = startOf(counted);
  const known: Known[] = groups.map(({ lower, upper, entry, weight }) => ({
    ...{ lower: Math.log(lower), upper: Math.log(upper), entry: Math.log(entry), weight, covariates: [1] },
  }));
  const nodes = weighed(FAMILIES.flatMap((family) => nodesOf(known, family, startFor(family, start))));
  if (nodes.length === 0) return undefined;
  return {
    ...{ failures, counted },
    failsBy: (age, lastedAt) => failsBy(nodes, age, lastedAt),
    ageAt: (probability, lastedAt) => ageAt(nodes, probability, lastedAt),
  };
}
