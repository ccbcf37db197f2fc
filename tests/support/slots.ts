// The slots of a plan message as its controller reads them.
import { Limit } from '../../firmware/contract/limits';
import type { PlanMessage } from '../../firmware/contract/messages';
import { Column, draftPlan, readSlots } from '../../firmware/core/draft';

/** Rows of test, kind, start and end, UTC seconds. @throws Error when no controller would take the plan */
export function slotsOf(message: PlanMessage): number[][] {
  const draft = draftPlan(message);
  if (!draft || !readSlots(draft, Limit.PlanSlots + 1)) throw new Error('No controller takes this plan.');
  return Array.from({ length: draft.count }, (_, i) =>
    Array.from(draft.slots.subarray(i * Column.Count, (i + 1) * Column.Count)),
  );
}
