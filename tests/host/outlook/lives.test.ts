// The model of one type of battery, on lives small enough to think through.
import { describe, expect, it } from 'vitest';
import { type Life, lifeModel } from '../../../host/outlook/lives';

const OPEN = Number.POSITIVE_INFINITY;
const life = (lower: number, upper = OPEN, entry = 0): Life => ({ lower, upper, entry });
const times = (n: number, one: Life): Life[] => new Array(n).fill(one);

/** Forty batteries of which half have failed, most between four and seven years. */
const FLEET = [
  ...[...times(2, life(3, 4)), ...times(5, life(4, 5)), ...times(7, life(5, 6)), ...times(6, life(6, 7))],
  ...[...times(10, life(5)), ...times(6, life(6)), ...times(4, life(7))],
];

describe('the life of batteries of one type', () => {
  it('is not told from fewer than eight known failures', () => {
    const some = (failures: number) => [
      ...[...FLEET.slice(0, failures), ...times(50, life(5)), ...times(9, life(3))],
    ];
    expect(lifeModel(some(7))).toBeUndefined();
    expect(lifeModel(some(8))).toBeDefined();
  });

  it('gives an interval that begins after the last test passed', () => {
    const model = lifeModel(FLEET)!;
    for (const at of [0, 2, 5, 8]) {
      const [early, likely, late] = [0.05, 0.5, 0.95].map((p) => model.ageAt(p, at));
      expect(early).toBeGreaterThan(at);
      expect(likely).toBeGreaterThan(early);
      expect(late).toBeGreaterThan(likely);
      expect(model.failsBy(late, at)).toBeCloseTo(0.95, 2);
    }
    expect(model.failsBy(5, 5)).toBe(0);
    expect(model.ageAt(0.5, 0)).toBeGreaterThan(5.5);
    expect(model.ageAt(0.5, 0)).toBeLessThan(7.5);
  });

  it('gives an old battery a higher chance to fail within a year than a young one', () => {
    const model = lifeModel(FLEET)!;
    const within = [1, 3, 5, 7].map((age) => model.failsBy(age + 1, age));
    expect(within).toEqual([...within].sort((a, b) => a - b));
  });

  it('is the same whether lives are known one by one or alike', () => {
    const apart = FLEET.map((one, i) => ({ ...one, lower: one.lower + (i % 3) * 0.001 }));
    expect(lifeModel(apart)!.ageAt(0.5, 4)).toBeCloseTo(lifeModel(FLEET)!.ageAt(0.5, 4), 3);
  });

  it('is longer than the lives of those that entered late suggest, and counts them only from there', () => {
    const old = FLEET.map((one) => ({ ...one, entry: 0 }));
    const late = FLEET.map((one) => ({ ...one, entry: one.lower - 0.5 }));
    // All of them outlived their entry by definition, so less is known of early failures.
    expect(lifeModel(late)!.failsBy(4, 0)).toBeGreaterThan(lifeModel(old)!.failsBy(4, 0));
  });

  it('says nothing where every life that ended is shorter than every one that goes on', () => {
    expect(lifeModel([...times(10, life(0, 2)), ...times(10, life(3))])).toBeUndefined();
  });
});
