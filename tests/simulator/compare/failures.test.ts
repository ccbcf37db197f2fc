// Failures drawn for each luminaire.
import { describe, expect, it } from 'vitest';
import { drawFailures, YEARLY_SHARE } from '../../../simulator/compare/failures';

const YEAR = 365.25 * 86_400_000;

describe('drawn failures', () => {
  it('depend on the luminaire and the seed, and on nothing else', () => {
    const drawn = (seed: number) =>
      Array.from({ length: 60 }, (_, i) => drawFailures(`L-${i}`, 3600, seed, 10 * YEAR));
    expect(drawn(1)).toEqual(drawn(1));
    expect(drawn(1)).not.toEqual(drawn(2));
    expect(drawFailures('L-1', 3600, 1, 20 * YEAR)).not.toEqual(drawFailures('L-2', 3600, 1, 20 * YEAR));
  });

  it('stay as they are when more years are simulated', () => {
    for (let i = 0; i < 200; i++) {
      const few = drawFailures(`L-${i}`, 3600, 3, 4 * YEAR);
      const many = drawFailures(`L-${i}`, 3600, 3, 9 * YEAR);
      expect(many.filter(({ at }) => at < 4 * YEAR)).toEqual(few);
    }
  });

  it('affect the stated share of luminaires in a year, and leave a battery short of its rated duration', () => {
    const counts: Record<string, number> = {};
    for (let i = 0; i < 20_000; i++)
      for (const fault of drawFailures(`L-${i}`, 3600, 5, YEAR)) {
        counts[fault.kind] = (counts[fault.kind] ?? 0) + 1;
        expect(fault.at).toBeLessThan(YEAR);
        if (fault.kind !== 'aged battery') continue;
        expect(fault.lastsMs).toBeGreaterThanOrEqual(360_000);
        expect(fault.lastsMs).toBeLessThan(3_240_000);
      }
    // Three standard deviations of a count of some 400 to 800 are below 15 % of it.
    for (const [kind, share] of Object.entries(YEARLY_SHARE)) {
      expect(counts[kind] / 20_000).toBeGreaterThan(share * 0.85);
      expect(counts[kind] / 20_000).toBeLessThan(share * 1.15);
    }
  });
});
