// The slots of a plan as text: rows `test,kind,wait,length;` in order of start. A plan is the longest text that
// a controller holds, so a row says only how long after the one before it begins.
import type { TestKind } from './codes';

/** One chance to run a test: the whole test must fit between start and end. UTC seconds. */
export interface PlanSlot {
  /** Number of the test, 1 to 60,000, rising per circuit; the retries of one test share it. */
  test: number;
  /** None: a permitted window without a test of its own, in which orders may start one. */
  kind: TestKind;
  start: number;
  end: number;
}

/** Longest slot, s: 31 days. */
export const SLOT_SEC_MAX = 2678400;

/** The rows of slots that are in order of start. */
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
