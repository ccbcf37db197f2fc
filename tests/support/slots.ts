// The slots of a plan message as its controller reads them.
import { Limit } from '../../firmware/contract/limits';
import type { PlanMessage } from '../../firmware/contract/messages';
import { Column, draftPlan, fillSlots, readSlots } from '../../firmware/core/draft';

/** Rows of test, kind, start and end, UTC seconds; undefined when no controller would take the plan. */
export function keptSlots(message: PlanMessage): number[][] | undefined {
  const draft = draftPlan(message);
  if (!draft || !readSlots(draft, Limit.PlanSlots + 1)) return undefined;
  const slots = new Uint32Array(Limit.PlanSlots * Column.Count);
  fillSlots(draft, slots);
  if (!readSlots(draft, Limit.PlanSlots + 1))
    throw new Error('The second reading refuses what the first took.');
  return Array.from({ length: draft.count }, (_, i) => {
    const [which, start, end] = slots.subarray(i * Column.Count, (i + 1) * Column.Count);
    return [which >> 3, which & 7, start, end];
  });
}

/** The same. @throws Error when no controller would take the plan */
export function slotsOf(message: PlanMessage): number[][] {
  const kept = keptSlots(message);
  if (!kept) throw new Error('No controller takes this plan.');
  return kept;
}
