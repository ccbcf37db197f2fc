import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { driverOf, lampShare } from '../../../simulator/plant/driver';

describe('a sound driver', () => {
  it.each(['LED', 'fluorescent'] as const)(
    'of kind %s is at half by 5 s and above 70 %% from 60 s to the end',
    (kind) => {
      const d = driverOf(kind);
      expect(lampShare(d, 0, 0)).toBe(0);
      expect(lampShare(d, 5000, 0)).toBeGreaterThan(0.5);
      fc.assert(
        fc.property(
          fc.integer({ min: 60_000, max: 1e7 }),
          fc.double({ min: 0, max: 1, noNaN: true }),
          (ms, used) => {
            expect(lampShare(d, ms, used)).toBeGreaterThan(0.8);
            expect(lampShare(d, ms, used)).toBeLessThanOrEqual(1.05);
          },
        ),
      );
    },
  );

  it('of a tube strikes later than that of an LED and runs up', () => {
    const tube = driverOf('fluorescent');
    expect([lampShare(driverOf('LED'), 1000, 0), lampShare(tube, 1000, 0)]).toEqual([1.03, 0]);
    const risen = [2000, 10_000, 20_000, 30_000].map((ms) => lampShare(tube, ms, 0));
    expect(risen).toEqual([...risen].sort((a, b) => a - b));
    expect(risen[3] - risen[0]).toBeGreaterThan(0.2);
  });
});
