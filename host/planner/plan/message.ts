import { Limit, WIRE_VERSION } from '../../../firmware/contract/limits';
import type { PlanMessage } from '../../../firmware/contract/messages';
import { slotsText } from '../../../firmware/contract/plan';
import type { CircuitPlan } from './plan';

/**
 * A circuit's plan as its controller receives it: the slots not yet over at `from` that begin before `until`,
 * as many whole tests as the controller can keep. Where some had to be left out, the plan is valid only until
 * the first of them, so a newer plan must follow before that.
 * @param revision rising number of this plan, 1 or more
 * @param from UTC second
 * @param until UTC second
 */
export function planMessage(plan: CircuitPlan, revision: number, from: number, until: number): PlanMessage {
  let slots = plan.slots.filter((slot) => slot.end > from && slot.start < until);
  let speaksUntil = until;
  if (slots.length > Limit.PlanSlots) {
    const dropped = slots[Limit.PlanSlots].test;
    const firstDropped = slots.findIndex((slot) => slot.test === dropped);
    speaksUntil = slots[firstDropped].start;
    slots = slots.slice(0, firstDropped);
  }
  return { v: WIRE_VERSION, revision, until: speaksUntil, slots: slotsText(slots) };
}
