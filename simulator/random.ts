// One seeded integer generator (mulberry32): the same numbers on every machine.

export interface Random {
  state: number;
}

/** Added to the state at each draw. */
const STEP = 0x6d2b79f5;

export function newRandom(seed: number): Random {
  return { state: seed >>> 0 };
}

/** The next 32 random bits as an unsigned integer. */
export function next32(r: Random): number {
  r.state = (r.state + STEP) >>> 0;
  let t = r.state;
  t = Math.imul(t ^ (t >>> 15), t | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return (t ^ (t >>> 14)) >>> 0;
}

/** Continues as if this many numbers had been drawn. */
export function skip32(r: Random, draws: number): void {
  r.state = (r.state + Math.imul(STEP, draws)) >>> 0;
}

/** Uniform in [0, 1). */
export function nextUnit(r: Random): number {
  return next32(r) / 4294967296;
}

/**
 * Roughly Gaussian, mean 0, standard deviation 1, within +-3.46: the sum of four uniform bytes, since
 * Math.log and Math.cos may differ in the last bit between engines.
 */
export function nextGauss(r: Random): number {
  const n = next32(r);
  const sum = (n & 255) + ((n >>> 8) & 255) + ((n >>> 16) & 255) + (n >>> 24);
  return (sum - 510) / 147.8;
}

/** A separate generator for a named part, so that adding a part does not shift the others. */
export function fork(seed: number, name: string): Random {
  let h = (seed ^ 0x9e3779b9) >>> 0;
  for (let i = 0; i < name.length; i++) h = Math.imul(h ^ name.charCodeAt(i), 0x01000193) >>> 0;
  return newRandom(h);
}
