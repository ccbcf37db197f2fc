// A circuit's plan with a window in which someone is working: the window is one more row, without a test. It
// has its own revision, and a controller that takes a new revision forgets which tests of the old one are
// done, so those are left out.
import { TestKind } from '../../../firmware/contract/codes';
import type { CircuitPlan } from '../../planner/plan/plan';

/** UTC seconds. */
export interface Window {
  from: number;
  to: number;
}

/** What was added to the plan of a circuit. */
export interface Added {
  /** Revision of that plan. */
  plan: number;
  /** The number that the plan with it has. */
  revision: number;
  /** Undefined if it was cancelled. */
  window: Window | undefined;
  /** Tests of the plan that were done when the revision was made. */
  done: number[];
}

/** Number of the row; no test of a plan gets that far. */
const ROW = 60000;

/** The plan its controller should get; with `added` only if that is newer than the plan itself. */
export function withWindow(share: CircuitPlan, added: Added | undefined): CircuitPlan {
  if (!added) return share;
  const slots = share.slots.filter((slot) => !added.done.includes(slot.test));
  const { window } = added;
  if (window) slots.push({ test: ROW, kind: TestKind.None, start: window.from, end: window.to });
  return { ...share, slots: slots.sort((a, b) => a.start - b.start) };
}

/** True if two windows are the same, or both are absent. */
export function isSameWindow(a: Window | undefined, b: Window | undefined): boolean {
  return a?.from === b?.from && a?.to === b?.to;
}
