import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { hasLostTest, isOwedPlanned } from '../../../../host/house/desired/renewal';
import { nextTest } from '../../../../host/house/view/nextTest';
import type { Plan } from '../../../../host/planner/plan/plan';
import { profileOf } from '../../../../host/profiles/profile';

const DAY = 86400;
const profile = profileOf('en50172');

/** A plan whose circuit has function tests on these days and a duration test on others. */
function planOf(briefs: number[], fulls: number[] = []): Plan {
  const kinds = [
    ...briefs.map((day) => ({ day, kind: TestKind.Brief })),
    ...fulls.map((day) => ({ day, kind: TestKind.Full })),
  ].sort((a, b) => a.day - b.day);
  const slots = kinds.map(({ day, kind }, i) => ({
    ...{ test: i + 1, kind, start: day * DAY, end: day * DAY + 600 },
  }));
  const own = { circuit: 'one', slots, cycle: 1, residue: 0, noon: 0, fallbackFrom: 0, fallbackSec: 0 };
  return { from: DAY, until: 400 * DAY, circuits: [own] };
}

/** Whether a look on the day after next finds a void test of day 40 lost; the one of day 33 passed. */
function isLost(plan: Plan, hasFurther: boolean): boolean {
  const look = { before: 41 * DAY, now: 42 * DAY };
  return hasLostTest(plan, profile, look, () => ({ lastBrief: 33 * DAY, lastFull: 12 * DAY }), hasFurther);
}

describe('a void function test', () => {
  it('is lost where the next one is too late', () => {
    expect(isLost(planOf([33, 40, 70]), true)).toBe(true);
  });

  it('is not lost where a further test shows as much in time, be it a duration test', () => {
    expect(isLost(planOf([33, 40, 47]), true)).toBe(false);
    expect(isLost(planOf([33, 40], [50]), true)).toBe(false);
  });

  it('gets another night as ever where no further tests are asked for', () => {
    expect(isLost(planOf([33, 40, 47]), false)).toBe(true);
  });
});

it('a void duration test is not made up for by a function test', () => {
  const look = { before: 41 * DAY, now: 42 * DAY };
  const known = () => ({ lastBrief: 33 * DAY, lastFull: 12 * DAY });
  expect(hasLostTest(planOf([33, 47], [40]), profile, look, known, true)).toBe(true);
  expect(hasLostTest(planOf([33, 47], [40, 82]), profile, look, known, true)).toBe(false);
});

describe('a test owed after a repair', () => {
  /** One function test with attempts on days 10, 17 and 24, and the next on day 38. */
  const plan = planOf([10, 17, 24, 38]);
  const [own] = plan.circuits;
  for (const slot of own.slots.slice(0, 3)) slot.test = 1;
  const owed = { circuit: 'one', kind: TestKind.Brief, from: 10 * DAY + 300 };

  it('is in the plan if an attempt still to be made comes within a fortnight', () => {
    expect(isOwedPlanned(plan, owed, () => ({ lastBrief: 3 * DAY }))).toBe(true);
    expect(isOwedPlanned(plan, { ...owed, from: 25 * DAY }, () => ({ lastBrief: 3 * DAY }))).toBe(true);
    expect(isOwedPlanned(plan, { ...owed, from: 23 * DAY + 1 }, () => ({ lastBrief: 23 * DAY }))).toBe(false);
  });

  it('is not in the plan where only attempts of the test that was made are left', () => {
    expect(isOwedPlanned(plan, owed, () => ({ lastBrief: 10 * DAY + 60 }))).toBe(false);
    expect(nextTest(plan, 'one', { lastBrief: 10 * DAY + 60 }, 'brief', owed.from)).toBe(38 * DAY);
    expect(nextTest(plan, 'one', { lastBrief: 3 * DAY }, 'brief', owed.from)).toBe(10 * DAY);
  });
});
