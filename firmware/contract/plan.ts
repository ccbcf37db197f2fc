// The slots of a plan as text: rows `test,kind,wait,length;` in order of start. A plan is the longest text a
// controller holds, so a row gives only the time since the start of the row before.
import type { TestKind } from './codes';

/** One attempt at a test: the whole test must fit between start and end. UTC seconds. */
export interface PlanSlot {
  /** Test number, 1 to 60,000, rising per circuit; the retries of a test share it. */
  test: number;
  /** None: a permitted window without a test of its own, in which a test may be started by order. */
  kind: TestKind;
  start: number;
  end: number;
}

/** Longest slot, s: 31 days. */
export const SLOT_SEC_MAX = 2678400;

/** The rows for `slots`, which must be in order of start. */
export function slotsText(slots: PlanSlot[]): string {
  let text = '';
  let before = 0;
  for (let i = 0; i < slots.length; i++) {
    const slot = slots[i];
    text += slot.test + ',' + slot.kind + ',' + (slot.start - before) + ',' + (slot.end - slot.start) + ';';
    before = slot.start;
  }
  return text;
}
