// Draws from a seeded generator, named after what is drawn.
import { next32, nextUnit, type Random } from '../random';

/** A whole number from `least` to `most`. */
export function whole(r: Random, least: number, most: number): number {
  return least + (next32(r) % (most - least + 1));
}

/** True with this probability, 0 to 1. */
export function chance(r: Random, share: number): boolean {
  return nextUnit(r) < share;
}

export function pick<T>(r: Random, among: readonly T[]): T {
  return among[next32(r) % among.length];
}

/** A whole number spread over orders of magnitude: as often between 1 and 2 as between 512 and 1024. */
export function spread(r: Random, least: number, most: number): number {
  let doublings = 0;
  for (let top = least; top < most; top *= 2) doublings++;
  let value = least;
  for (let left = whole(r, 0, doublings); left > 0; left--) value *= 2;
  return Math.min(most, Math.floor(value * (1 + nextUnit(r))));
}
