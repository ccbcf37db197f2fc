// Counted shares of survivors on published data sets; R is asked itself in survivalPackage.test.ts.
import { describe, expect, it } from 'vitest';
import { type Interval, survivors } from '../../../host/outlook/survivors';
import { FANS, TURBINE } from './published';

const OPEN = Number.POSITIVE_INFINITY;

function shareAt(steps: readonly { at: number; share: number }[], at: number): number {
  return steps.filter((step) => step.at <= at).at(-1)?.share ?? 1;
}

describe('the share that survives', () => {
  it('of diesel fans is the Kaplan-Meier estimate', () => {
    const fans: Interval[] = FANS.map((hours) => ({
      ...{ lower: Math.abs(hours), upper: hours > 0 ? hours : OPEN, entry: 0, weight: 1 },
    }));
    const steps = survivors(fans);
    // survfit(Surv(hours, status) ~ 1, genfan), R 4.2.2, survival 3.5-3
    const wanted: [number, number][] = [
      ...([
        [450, 0.985714285714],
        [1150, 0.956722689076],
        [1600, 0.942003878474],
      ] as [number, number][]),
      ...([
        [2070, 0.907749191984],
        [2080, 0.890621848739],
        [3100, 0.871672447702],
      ] as [number, number][]),
      ...([
        [3450, 0.852301948865],
        [4600, 0.827234244486],
        [6100, 0.795417542775],
      ] as [number, number][]),
      [8750, 0.7070378158],
    ];
    for (const [at, share] of wanted) expect(shareAt(steps, at), `at ${at}`).toBeCloseTo(share, 5);
  });

  it('of turbine wheels inspected once is the pooled share of each block of neighbours', () => {
    const wheels: Interval[] = TURBINE.flatMap(([hours, inspected, failed]) => [
      { lower: 0, upper: hours, entry: 0, weight: failed },
      { lower: hours, upper: OPEN, entry: 0, weight: inspected - failed },
    ]).filter(({ weight }) => weight > 0);
    const steps = survivors(wheels);
    // M. Ayer and others, Annals of Mathematical Statistics 26, 1955, p. 641: where the share failed falls from
    // one inspection to the next, both are pooled.
    const pooled: [number, number][] = [
      ...([
        [4, 0],
        [10, 6 / 86],
        [14, 6 / 86],
        [18, 7 / 73],
        [22, 5 / 30],
        [26, 18 / 81],
      ] as [number, number][]),
      ...([
        [30, 18 / 81],
        [34, 6 / 13],
        [38, 43 / 74],
        [42, 43 / 74],
        [46, 21 / 36],
      ] as [number, number][]),
    ];
    for (const [at, failed] of pooled)
      expect(Math.abs(shareAt(steps, at) - (1 - failed)), `at ${at}`).toBeLessThan(1e-4);
  });

  it('allows for values that entered late', () => {
    // Product limit with those at risk counted from their entry: 3 of 4 at 2, then 2 of 4 at 5.
    const one = (lower: number, entry: number, upper = lower) => ({ lower, upper, entry, weight: 1 });
    const late = [one(2, 0), one(5, 0), one(6, 0), one(5, 1), one(7, 3, OPEN)];
    const steps = survivors(late);
    expect(shareAt(steps, 2)).toBeCloseTo(3 / 4, 5);
    expect(shareAt(steps, 5)).toBeCloseTo((3 / 4) * (2 / 4), 5);
  });
});
