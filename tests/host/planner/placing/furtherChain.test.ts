import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type FurtherNights,
  type FurtherRules,
  furtherChain,
} from '../../../../host/planner/placing/furtherChain';
import { runs } from '../../../support/depth';

/** The cost of a choice, straight from what it says: squares of all gaps, and the square of the aim for each test. */
function costOf({ at, cost, tested }: FurtherNights, rules: FurtherRules, chosen: Set<number>): number {
  let before = rules.base;
  let isFixed = false;
  let sum = 0;
  for (let i = 0; i < at.length; i++) {
    if (!tested[i] && !chosen.has(i)) continue;
    const gap = at[i] - before;
    const mayBeShort = tested[i] === 1 && (isFixed || before === rules.base);
    if (gap < rules.least && !mayBeShort) return Number.POSITIVE_INFINITY;
    sum += gap * gap + (tested[i] ? 0 : rules.aim ** 2 * (1 + cost[i]));
    before = at[i];
    isFixed = tested[i] === 1;
  }
  return sum + Math.max(0, rules.end - before) ** 2;
}

function leastOf(nights: FurtherNights, rules: FurtherRules): number {
  const free = [...nights.at.keys()].filter((i) => !nights.tested[i] && Number.isFinite(nights.cost[i]));
  let least = Number.POSITIVE_INFINITY;
  for (let mask = 0; mask < 1 << free.length; mask++)
    least = Math.min(least, costOf(nights, rules, new Set(free.filter((_, k) => mask & (1 << k)))));
  return least;
}

const night = fc.record({
  gap: fc.integer({ min: 1, max: 12 }),
  cost: fc.oneof(fc.constant(Number.POSITIVE_INFINITY), fc.double({ min: 0, max: 1, noNaN: true })),
  isTested: fc.boolean(),
});

describe('nights for further tests', () => {
  it('cost the least of all choices, between tests that stay', () => {
    fc.assert(
      fc.property(
        fc.array(night, { minLength: 1, maxLength: 11 }),
        fc.integer({ min: 2, max: 20 }),
        fc.integer({ min: -30, max: 0 }),
        (drawn, aim, base) => {
          let last = 0;
          const at = Int32Array.from(drawn, ({ gap }) => (last += gap));
          const tested = Uint8Array.from(drawn, ({ isTested }) => (isTested ? 1 : 0));
          const nights = { at, cost: Float64Array.from(drawn, ({ cost }) => cost), tested };
          const rules = { aim, least: Math.ceil(aim * 0.7), perHour: 1, base, end: last + 5 };
          const { cost, places } = furtherChain(nights, rules);
          expect(places.some((i) => tested[i] || !Number.isFinite(nights.cost[i]))).toBe(false);
          expect(costOf(nights, rules, new Set(places))).toBeCloseTo(cost, 6);
          expect(cost).toBeCloseTo(leastOf(nights, rules), 6);
        },
      ),
      { numRuns: runs(200) },
    );
  });

  it('come just as often as aimed at where every night is free', () => {
    const at = Int32Array.from({ length: 350 }, (_, i) => i);
    const nights = { at, cost: new Float64Array(350), tested: new Uint8Array(350) };
    const { places } = furtherChain(nights, { aim: 35, least: 25, perHour: 1, base: -35, end: 349 });
    const gaps = places.map((i, k) => at[i] - (k > 0 ? at[places[k - 1]] : -35));
    expect(Math.min(...gaps)).toBeGreaterThanOrEqual(33);
    expect(Math.max(...gaps)).toBeLessThanOrEqual(36);
  });
});
