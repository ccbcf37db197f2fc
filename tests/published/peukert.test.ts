// Peukert's law in its rated-hour form, t = H (C / (I H))^k. The rows are the project's own calculation from
// the law; the published value is the example of electrotechnik.net (100 Ah, k 1.2, 5 A: 14.5 h), which is
// stated as t = C / I^k. That form silently assumes that the capacity is rated at 1 A, so that C Ah are C
// hours: it is the case H = C of the form used here, not the case of a one-hour rating.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runtimeHours } from '../../simulator/plant/chemistry';

/** Capacity Ah, rated hours h, current A, exponent, runtime h, charge delivered Ah. */
const ROWS: [number, number, number, number, number, number][] = [
  [4.0, 5, 1.2, 1.1, 3.2009, 3.841],
  [4.0, 5, 1.2, 1.05, 3.2664, 3.92],
  [1.5, 5, 0.42, 1.1, 3.4533, 1.45],
  [100, 20, 20, 1.1, 4.3528, 87.055],
  [100, 20, 100, 1.1, 0.7411, 74.113],
  [100, 20, 20, 1.25, 3.5355, 70.711],
];

describe('the runtime of a battery', () => {
  it.each(ROWS)('of %f Ah at %f h, loaded with %f A, exponent %f, is %f h', (c, h, i, k, hours, ah) => {
    const runtime = runtimeHours(c, h, i, k);
    expect(runtime).toBeCloseTo(hours, 4);
    expect(runtime * i).toBeCloseTo(ah, 2);
  });

  it('of the published example is 14.5 h, with its capacity rated at 1 A', () => {
    expect(runtimeHours(100, 100, 5, 1.2)).toBeCloseTo(14.5, 1);
    expect(runtimeHours(100, 100, 5, 1.2)).toBeCloseTo(100 / 5 ** 1.2, 10);
    expect(runtimeHours(100, 1, 5, 1.2)).not.toBeCloseTo(14.5, 0);
  });

  it('is 5/sqrt(2) h exactly for a quarter exponent at four times the rated current', () => {
    expect(runtimeHours(100, 20, 20, 1.25)).toBeCloseTo(5 / Math.SQRT2, 10);
  });

  it('at the rated current is the rated hours, whatever the exponent', () => {
    const value = fc.double({ min: 0.1, max: 200, noNaN: true });
    fc.assert(
      fc.property(value, value, fc.double({ min: 1, max: 1.4, noNaN: true }), (c, h, k) => {
        expect(runtimeHours(c, h, c / h, k) / h).toBeCloseTo(1, 9);
      }),
    );
  });
});
