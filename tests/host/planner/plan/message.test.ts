import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { Limit } from '../../../../firmware/contract/limits';
import { planMessage } from '../../../../host/planner/plan/message';
import type { CircuitPlan, Slot } from '../../../../host/planner/plan/plan';
import { slotsOf } from '../../../support/slots';

const DAY = 86400;
const BASE = 1_770_000_000;

/** One test every ten days with a retry two days later. */
function planOf(tests: number): CircuitPlan {
  const slots: Slot[] = Array.from({ length: tests }, (_, i) => i + 1).flatMap((test) =>
    [0, 2].map((later) => {
      const start = BASE + (test * 10 + later) * DAY;
      return { test, kind: TestKind.Brief, start, end: start + 3600 };
    }),
  );
  return { circuit: 'one', slots, cycle: 2, residue: 0, noon: 43200, fallbackFrom: 0, fallbackSec: 14400 };
}

describe('the plan message', () => {
  it("can be read by the controller's reader", () => {
    const plan = planOf(3);
    const message = planMessage(plan, 5, BASE, BASE + 400 * DAY);
    expect(slotsOf(message)).toEqual(plan.slots.map((s) => [s.test, s.kind, s.start, s.end]));
    expect(message).toMatchObject({ v: 1, revision: 5, until: BASE + 400 * DAY });
  });

  it('leaves out what is over and what begins after its end, and keeps a slot in progress', () => {
    const message = planMessage(planOf(5), 1, BASE + 20 * DAY + 60, BASE + 40 * DAY);
    expect(slotsOf(message).map((row) => row[0])).toEqual([2, 2, 3, 3]);
  });

  it('cuts at a whole test if the controller stores no more, and is valid only until the first one left out', () => {
    const plan = planOf(40);
    plan.slots.splice(71, 1);
    const message = planMessage(plan, 1, BASE, BASE + 500 * DAY);
    const kept = slotsOf(message);
    expect(kept.length).toBeLessThanOrEqual(Limit.PlanSlots);
    const left = plan.slots.filter((slot) => slot.test > kept[kept.length - 1][0]);
    expect(message.until).toBe(left[0].start);
    expect(left.length + kept.length).toBe(plan.slots.length);
  });

  it("fits the controller's largest packet", () => {
    const longest = `{"p":"${planMessage(planOf(40), 2 ** 31, BASE, BASE + 500 * DAY).slots}"}`;
    expect(longest.length).toBeLessThan(Limit.PacketBytes - 512);
  });
});
