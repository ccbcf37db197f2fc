// The tails of the normal distribution, also far out, where 1 - F would be 0: a battery that has outlived all
// others must still count.

const LOG_ROOT_2PI = 0.5 * Math.log(2 * Math.PI);
/** From here on the continued fraction needs fewer terms than the series. */
const FAR = 4;

/** Logarithm of the density at z. */
export function logDensity(z: number): number {
  return -0.5 * z * z - LOG_ROOT_2PI;
}

/** F(z) - 1/2 by Marsaglia's series (Journal of Statistical Software 11(4), 2004). */
function centre(z: number): number {
  const square = z * z;
  let term = z;
  let sum = z;
  for (let k = 3; Math.abs(term) > 1e-17 * Math.abs(sum); k += 2) {
    term *= square / k;
    sum += term;
  }
  return sum * Math.exp(logDensity(z));
}

/** (1 - F(z)) / f(z) for z >= FAR, by Laplace's continued fraction (Abramowitz and Stegun 26.2.14). */
function millsRatio(z: number): number {
  let below = z;
  for (let k = 60; k >= 1; k--) below = z + k / below;
  return 1 / below;
}

/** log(1 - F(z)) for any z. */
export function logTail(z: number): number {
  if (z >= FAR) return logDensity(z) + Math.log(millsRatio(z));
  if (z <= -FAR) return Math.log1p(-Math.exp(logDensity(z)) * millsRatio(-z));
  return Math.log(0.5 - centre(z));
}
