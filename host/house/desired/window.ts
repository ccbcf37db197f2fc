// A circuit's plan with a window in which somebody is at work: the window is one more row, of no test. It
// comes under a revision of its own, and a controller that takes a new revision forgets which tests of the
// old one are done, so those are left out.
import { TestKind } from '../../../firmware/contract/codes';
import type { CircuitPlan } from '../../planner/plan/plan';

/** UTC seconds. */
export interface Window {
  from: number;
  to: number;
}

/** What was added to the plan of a circuit. */
export interface Added {
  revision: number;
  /** Undefined when it was called off. */
  window: Window | undefined;
  /** Tests of the plan that were done when the revision was made. */
  done: number[];
}

/** Number of the row; no test of a plan gets so far. */
const ROW = 60000;

/** The plan as its controller should get it; `added` only where it is newer than the plan itself. */
export function withWindow(share: CircuitPlan, added: Added | undefined): CircuitPlan {
  if (!added) return share;
  const slots = share.slots.filter((slot) => !added.done.includes(slot.test));
  const { window } = added;
  if (window) slots.push({ test: ROW, kind: TestKind.None, start: window.from, end: window.to });
  return { ...share, slots: slots.sort((a, b) => a.start - b.start) };
}

/** Whether two windows are the same, or both are none. */
export function isSameWindow(a: Window | undefined, b: Window | undefined): boolean {
  return a?.from === b?.from && a?.to === b?.to;
}
