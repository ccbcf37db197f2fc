// Against R 4.2.2: pnorm(z, lower.tail = FALSE, log.p = TRUE).
import { expect, it } from 'vitest';
import { LOGNORMAL, WEIBULL } from '../../../host/outlook/families';
import { logTail } from '../../../host/outlook/normal';

const ROWS: [number, number][] = [
  [-8.0, -6.2209605742717868e-16],
  [-4.0, -3.1671743377489267e-5],
  [-3.9, -4.8097500683844425e-5],
  [-1.0, -0.17275377902344988],
  [-0.001, -0.69234961427268837],
  [0.5, -1.1759117615936185],
  [1.644853626951472, -2.9957322735539895],
  [3.999, -10.355876356043407],
  [4.001, -10.36432757033834],
  [6.0, -20.736768949974707],
  [12.0, -75.410673001568796],
  [37.5, -707.66898931750723],
  [100.0, -5005.5242086942053],
];

it.each(ROWS)('the logarithm of the normal tail above %f is %f', (z, wanted) => {
  expect(Math.abs(logTail(z) / wanted - 1)).toBeLessThan(1e-10);
});

it('keeps a share between two values that lie far out on either side', () => {
  for (const family of [WEIBULL, LOGNORMAL])
    for (const [from, to] of [
      [-30, -29.99],
      [1, 1.0001],
      [2.5, 2.52],
    ]) {
      const middle = family.logDensity((from + to) / 2) + Math.log(to - from);
      expect(family.logBetween(from, to) - middle, `${family.name} ${from}`).toBeCloseTo(0, 1);
    }
  expect(LOGNORMAL.logBetween(29.99, 30)).toBeCloseTo(LOGNORMAL.logBetween(-30, -29.99), 9);
});
