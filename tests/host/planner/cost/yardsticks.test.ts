// What a plan is compared with: as many tests with the same caps, on the same nights or on one night of the week.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { Exposure, Presence } from '../../../../host/planner/cost/exposure';
import { bestFixedNightHours, naiveHours, type Yardstick } from '../../../../host/planner/cost/yardsticks';
import type { PlannedTest } from '../../../../host/planner/plan/plan';
import { hardSite, nightly, own } from '../hardSites';

const HOUR = 3600;
const DAY = 86400;
/** Thursday 1 January 1970, the noon at which night 0 begins. */
const NOON = 12 * HOUR;

/** A test of 3 h with a day's recharge, at any time: only its length counts. */
function full(circuit: string): PlannedTest {
  return { circuit, test: 1, kind: TestKind.Full, start: 0, end: 3 * HOUR, recharged: 27 * HOUR };
}

function brief(circuit: string, test: number): PlannedTest {
  return { circuit, test, kind: TestKind.Brief, start: 0, end: 30, recharged: HOUR };
}

/** Windows from midnight on, by number of the night: night n runs into day n + 1. */
function nights(count: number, hours = 7) {
  return Array.from({ length: count }, (_, night) => {
    const start = NOON + night * DAY + 12 * HOUR;
    return { night, start, end: start + hours * HOUR, followUp: true };
  });
}

/** Three circuits, each in an area of its own with people only on Fridays from 8 to 10. */
const SITE = hardSite({
  ...{ name: 'three', circuits: own(3), windows: nightly(0, 420), atOnce: 1, timeZone: 'UTC' },
  occupied: [[{ days: ['fri'], from: 480, to: 600 }]],
});
const exposure = new Exposure(SITE, 0, 60 * DAY);

function yardstick(more: Partial<Yardstick>): Yardstick {
  return {
    ...{ tests: ['c0', 'c1', 'c2'].map(full), nights: nights(28), caps: { atOnce: 1, staggerSec: 600 } },
    // All tests are due on night 7, which runs into Friday 9 January.
    ...{ fromNight: 0, untilNight: 28, daysOf: () => 7, exposure },
    ...more,
  };
}

describe('the naive plan', () => {
  it('takes the night by which all are due, and the next one where the caps leave no room', () => {
    // 7 h hold two tests of 3 h 5 min after one another; the third comes on Saturday, when nobody is there.
    expect(naiveHours(yardstick({}))).toBe(4);
    expect(naiveHours(yardstick({ caps: { atOnce: 3, staggerSec: 600 } }))).toBe(6);
    expect(naiveHours(yardstick({ caps: { atOnce: 3, staggerSec: 4 * HOUR } }))).toBe(2);
  });

  it('goes back from the last night of the plan where no later one is left', () => {
    expect(naiveHours(yardstick({ nights: nights(8) }))).toBe(4);
    expect(naiveHours(yardstick({ nights: nights(8).slice(6), daysOf: () => 7 }))).toBe(4);
    expect(naiveHours(yardstick({ nights: nights(8).slice(7) }))).toBeNull();
    expect(naiveHours(yardstick({ nights: nights(28, 3) }))).toBeNull();
    expect(naiveHours(yardstick({ nights: [], tests: [] }))).toBe(0);
    expect(naiveHours(yardstick({ nights: [] }))).toBeNull();
  });
});

describe('the best fixed night', () => {
  it('is the one on which the fewest people are there, week after week', () => {
    expect(bestFixedNightHours(yardstick({}))).toBe(0);
    // Only nights into Friday: every test costs two hours, in whichever week it is.
    const fridays = nights(28).filter(({ night }) => night % 7 === 0);
    expect(bestFixedNightHours(yardstick({ nights: fridays }))).toBe(6);
    expect(bestFixedNightHours(yardstick({ nights: fridays.slice(0, 1) }))).toBeNull();
    expect(bestFixedNightHours(yardstick({ tests: [], nights: [] }))).toBe(0);
  });
});

describe('both', () => {
  const drawn = fc.record({
    circuits: fc.integer({ min: 1, max: 12 }),
    briefs: fc.integer({ min: 0, max: 4 }),
    atOnce: fc.integer({ min: 1, max: 4 }),
    staggerSec: fc.constantFrom(1, 60, 600, 4000),
    dark: fc.subarray(nights(56), { minLength: 30 }),
  });

  it('make every test once, in a window, with never more open and no starts closer than the caps allow', () => {
    fc.assert(
      fc.property(drawn, ({ circuits, briefs, atOnce, staggerSec, dark }) => {
        const ids = Array.from({ length: circuits }, (_, i) => `c${i}`);
        const tests = ids.flatMap((id) => [
          full(id),
          ...Array.from({ length: briefs }, (_, i) => brief(id, i + 2)),
        ]);
        const made: { circuit: string; start: number; end: number }[] = [];
        class Seen extends Presence {
          constructor(private readonly circuit: string) {
            super([]);
          }
          override within(start: number, recharged: number): number {
            const rest = recharged - start > 26 * HOUR ? 24 * HOUR : HOUR - 30;
            made.push({ circuit: this.circuit, start, end: recharged - rest + 300 });
            return HOUR;
          }
        }
        const seen: Pick<Exposure, 'of'> = {
          of: (circuit) => ({
            ...exposure.of(circuit),
            parts: [{ presence: new Seen(circuit), share: 1 }],
          }),
        };
        const caps = { atOnce, staggerSec };
        const given = yardstick({
          tests,
          nights: dark,
          caps,
          untilNight: 56,
          daysOf: () => 14,
          exposure: seen,
        });
        expect(naiveHours(given)).toBe(tests.length);
        expect(made.map(({ circuit }) => circuit).sort()).toEqual(tests.map(({ circuit }) => circuit).sort());
        for (const { start, end } of made) {
          expect(dark.some((night) => night.start <= start && end <= night.end)).toBe(true);
          expect(
            made.filter((other) => other.start <= start && start < other.end).length,
          ).toBeLessThanOrEqual(atOnce);
          expect(made.filter((other) => Math.abs(other.start - start) < staggerSec)).toHaveLength(1);
        }
      }),
      { numRuns: 60 },
    );
  });
});
