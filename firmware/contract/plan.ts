// The slots of a plan as text: rows `test,kind,wait,length;` in order of start. A plan is the longest text that
// a controller holds, so a row says only how long after the one before it begins.

/** When a test may begin, UTC seconds; all slots of one test share its number. */
export interface PlanSlot {
  /** Number of the test, 1 to 60,000. */
  test: number;
  /** A TestKind; 0: a permitted window without a test of its own, in which orders may start one. */
  kind: number;
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
