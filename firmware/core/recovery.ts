// Works out from the journal what was going on before this start.
import { Ending, OrderKind, Reason, TestKind, Verdict } from '../contract/codes';
import { intField, textField } from '../contract/fields';
import { lostResultRecord, queueRecord } from './records';
import { nightOf, satisfied, spendSlotAt, toldOverdue } from './schedule';
import type { Core } from './state';

export interface Recovery {
  /** Boot number of the newest record. */
  boot: number;
  /** Highest order counter accepted. */
  counter: number;
  /** Length of a hold by order that was not released, s; 0 none. */
  holdSec: number;
  /** 1: an intent without a result; the test it announced. */
  isOpen: number;
  plan: number;
  test: number;
  kind: TestKind;
  /** Tester fault that has not been cleared, else 0. */
  fault: Reason;
  /** When the clock chip was last set, UTC s; 0: never, or it was found wrong since. */
  chipSetUtc: number;
  /** Time of the newest record that has one, UTC s. */
  utc: number;
}

export function newRecovery(): Recovery {
  return {
    boot: 0,
    counter: 0,
    holdSec: 0,
    isOpen: 0,
    plan: 0,
    test: 0,
    kind: TestKind.None,
    fault: Reason.None,
    chipSetUtc: 0,
    utc: 0,
  };
}

/**
 * A result, or the order that called off a test before it opened: an order names no test, so any test of the
 * plan matches.
 */
function recoverEnd(s: Core, r: Recovery, text: string): void {
  r.isOpen = 0;
  const end = intField(text, 'end', Reason.OrderedRestore);
  const plan = intField(text, 'plan', s.planRevision);
  const test = intField(text, 'test', 0);
  const utc = intField(text, 'utc', 0);
  // The guards take turns across restarts.
  const guard = intField(text, 'guard', Ending.All);
  if (guard > Ending.All && guard < Ending.Count) s.guard = guard;
  // Ordered off, key or stop: not again in the same window, even after a restart.
  if (end >= Reason.OrderedRestore && end <= Reason.OrderedHold) spendSlotAt(s, plan, test, utc);
  if (end !== Reason.Complete && end !== Reason.AllDark) return;
  // Lamp rows begin with the verdict; a result that is void for every lamp satisfies nothing.
  if (text.indexOf('[' + Verdict.Pass + ',') < 0 && text.indexOf('[' + Verdict.Fail + ',') < 0) return;
  satisfied(s, plan, test, intField(text, 'type', 0), utc);
}

function recoverOverdue(s: Core, text: string): void {
  const test = intField(text, 'arg', 0);
  if (test > 0 && intField(text, 'plan', 0) === s.planRevision) toldOverdue(s, test);
}

/**
 * An accepted hold counts from its order on: it may wait for a restore before it begins.
 * @returns 1 when it called off a test that had not yet opened
 */
function recoverOrder(r: Recovery, text: string): number {
  r.counter = intField(text, 'counter', r.counter);
  if (intField(text, 'reason', 0) !== Reason.None) return 0;
  const what = intField(text, 'do', 0);
  if (what === OrderKind.Hold) r.holdSec = intField(text, 'arg', 0);
  else if (what === OrderKind.Release) r.holdSec = 0;
  return what === OrderKind.Restore && !r.isOpen ? 1 : 0;
}

/** Takes in one record, oldest first; the plan must already be loaded. */
export function recoverRecord(s: Core, r: Recovery, text: string): void {
  r.boot = intField(text, 'boot', r.boot);
  const kind = textField(text, 'kind');
  const utc = intField(text, 'utc', 0);
  if (utc > 0) r.utc = utc;
  const calledOff = kind === 'order' ? recoverOrder(r, text) : 0;
  if (calledOff) s.fallbackNight = nightOf(s, utc);
  if (kind === 'result' || calledOff) recoverEnd(s, r, text);
  else if (kind === 'intent') {
    r.isOpen = 1;
    r.plan = intField(text, 'plan', 0);
    r.test = intField(text, 'test', 0);
    r.kind = intField(text, 'type', 0);
    // The fallback schedule gets one attempt a night, even after a restart.
    if (r.plan === 0 && r.test > 0) s.fallbackNight = r.test;
  } else if (kind === 'fault') r.fault = intField(text, 'reason', 0);
  else if (kind === 'cleared') r.fault = Reason.None;
  else if (kind === 'chip') r.chipSetUtc = intField(text, 'reason', 0) === Reason.None ? utc : 0;
  else if (kind === 'overdue') recoverOverdue(s, text);
  else if (intField(text, 'reason', 0) !== Reason.OrderedHold) return;
  else if (kind === 'held') r.holdSec = intField(text, 'arg', 0);
  else if (kind === 'released') r.holdSec = 0;
}

/** A hold by order survives a reset. How much of it has passed is unknown, so it starts again in full. */
export function resumeHold(s: Core, r: Recovery, now: number): void {
  if (r.holdSec > 0) s.holdUntil = now + r.holdSec * 1000;
}

/** I4: an opening that a reset cut short gets its result now. */
export function closeLostOpening(s: Core, r: Recovery, now: number): void {
  if (!r.isOpen) return;
  s.testPlan = r.plan;
  s.test = r.test;
  s.kind = r.kind;
  queueRecord(s, lostResultRecord(s, Reason.Reset, now));
  s.kind = TestKind.None;
}
