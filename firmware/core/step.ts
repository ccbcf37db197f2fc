// The controller's single entry point: an event comes in, the state changes in place. The consequences are
// read off the state: `drive` and `leaseUntil` (releasing first and unconditionally), `out` (records for the
// journal), `dirty` (publish the state), `wakeAt` and `sampleAt` (when to come back, with what).
import { Ending, OrderKind, Phase, Reason, SelfTest, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { chargeStep } from './charge';
import { takeTime, utcAt } from './clock';
import {
  cancelOpening,
  dischargeStep,
  endOutsideWindow,
  endProof,
  extendBrief,
  openingStep,
  prepareOpening,
  raiseFault,
  release,
  restoreStep,
} from './discharge';
import { endExercise, exerciseStep } from './exercise';
import { followHold, remindOfHold } from './holds';
import { mayOpen } from './permission';
import { eventRecord, queueRecord, startRecord } from './records';
import { type Due, dueNow, openWindowEnd, spendSlot, tellOverdue } from './schedule';
import { hasSupply, isSupplied, isUnsupplied, readSenses } from './senses';
import { type Core, enter, isAtRest, isDischarging, wakeBy } from './state';

/** Longest sleep of the core, ms; also the longest delay before it notices a plan that arrived. */
const SLEEP_MS = 3600000;

/** First step after a start: anything measured before is unknown, so a full recharge is owed. */
export function start(s: Core, cause: number, now: number): void {
  s.phaseAt = now;
  s.movedAt = now;
  s.autonomyAt = now + s.set.rechargeSec * 1000;
  queueRecord(s, startRecord(s, cause, now));
  s.wakeAt = now;
}

/** Charged or recharging, depending on the time. */
export function rest(s: Core, now: number): void {
  const phase = now >= s.autonomyAt ? Phase.Charged : Phase.Recharging;
  if (s.phase !== phase) enter(s, phase, now);
  if (phase === Phase.Recharging) wakeBy(s, s.autonomyAt);
}

function beginOutage(s: Core, now: number): void {
  s.outageAt = now;
  queueRecord(s, eventRecord(s, 'outage', Reason.Outage, 0, now));
}

function endOutage(s: Core, now: number): void {
  queueRecord(s, eventRecord(s, 'supply', Reason.Outage, Math.floor((now - s.outageAt) / 1000), now));
  s.outageAt = 0;
}

function enterOutage(s: Core, now: number): void {
  beginOutage(s, now);
  enter(s, Phase.Outage, now);
}

function enterHeld(s: Core, why: Reason, now: number): void {
  s.reason = why;
  s.remindedAt = now;
  const seconds = why === Reason.OrderedHold ? Math.ceil((s.holdUntil - now) / 1000) : 0;
  queueRecord(s, eventRecord(s, 'held', why, seconds, now));
  enter(s, Phase.Held, now);
  s.wakeAt = now;
}

function leaveHeld(s: Core, now: number): void {
  queueRecord(s, eventRecord(s, 'released', s.reason, Math.floor((now - s.phaseAt) / 1000), now));
  if (s.reason === Reason.OrderedHold) s.holdUntil = 0;
  s.reason = Reason.None;
  enter(s, Phase.Recharging, now);
  s.wakeAt = now;
}

/** Events that interrupt rest. @returns true when the phase changed. */
function preempted(s: Core, now: number): boolean {
  if (!hasSupply(s)) {
    enterOutage(s, now);
    return true;
  }
  if (s.clockFault) {
    raiseFault(s, Reason.ClockFault, 0, now);
    return true;
  }
  if (s.selfTest) {
    raiseFault(s, Reason.SelfTest, s.selfTest, now);
    return true;
  }
  if (s.in.key) {
    enterHeld(s, Reason.KeyHold, now);
    return true;
  }
  if (isUnsupplied(s)) {
    const lostAt = s.rawAt[1] > s.phaseAt ? s.rawAt[1] : s.phaseAt;
    if (now - lostAt >= Limit.RestoreProofMs) {
      raiseFault(s, Reason.SupplyLost, 0, now);
      return true;
    }
    wakeBy(s, lostAt + Limit.RestoreProofMs);
    // A hold by order waits: it must not keep a contact stuck open from being reported.
    return false;
  }
  if (s.holdUntil <= now) return false;
  enterHeld(s, Reason.OrderedHold, now);
  return true;
}

function tryDue(s: Core, due: Due, now: number): void {
  const before = s.waiting;
  if (due.kind === TestKind.None && now < s.calledOffUntil) {
    wakeBy(s, s.calledOffUntil);
    return;
  }
  s.waiting = Reason.None;
  if (due.kind !== TestKind.None) {
    const against = mayOpen(s, due.kind, due.endUtc, now);
    if (against === Reason.None) {
      prepareOpening(s, due.kind, due.plan, due.test, due.slot, due.endUtc, now);
      return;
    }
    s.waiting = against;
    wakeBy(s, now + Limit.AskAgainMs);
  } else if (!s.clockSet && s.set.revision > 0) s.waiting = Reason.ClockUntrusted;
  if (s.waiting !== before) s.dirty = 1;
}

function idleStep(s: Core, now: number): void {
  if (preempted(s, now)) return;
  chargeStep(s, now);
  rest(s, now);
  tellOverdue(s, now);
  tryDue(s, dueNow(s, now), now);
}

function startingStep(s: Core, now: number): void {
  if (s.level[0] < 0 || s.level[1] < 0) return;
  if (s.suppliedAt >= 0) s.autonomyAt = s.suppliedAt + s.set.rechargeSec * 1000;
  if (s.reason !== Reason.None) {
    // A tester fault survives a restart: only a person clears it.
    const isOfSupply = s.reason === Reason.RelayStuckOpen || s.reason === Reason.SupplyLost;
    s.supplyMissing = isOfSupply && !isSupplied(s) ? 1 : 0;
    s.alarmAt = now;
    enter(s, Phase.Fault, now);
    s.wakeAt = now;
    return;
  }
  enter(s, Phase.Recharging, now);
  idleStep(s, now);
}

function outageStep(s: Core, now: number): void {
  if (!hasSupply(s)) return;
  endOutage(s, now);
  enter(s, Phase.Recharging, now);
  idleStep(s, now);
}

function heldStep(s: Core, now: number): void {
  if (!hasSupply(s)) {
    // The key may stay turned; once the supply is back, rest sees it again.
    s.reason = Reason.None;
    enterOutage(s, now);
    return;
  }
  if (s.reason === Reason.OrderedHold && isUnsupplied(s) && !s.in.key) {
    s.reason = Reason.None;
    enter(s, Phase.Recharging, now);
    idleStep(s, now);
    return;
  }
  const isOver = s.reason === Reason.KeyHold ? !s.in.key : now >= s.holdUntil;
  if (isOver) {
    leaveHeld(s, now);
    return;
  }
  if (s.reason !== Reason.KeyHold) wakeBy(s, s.holdUntil);
  remindOfHold(s, now);
  tellOverdue(s, now);
}

/** I6: while the supply is not proven back the alarm is repeated; its return is recorded. */
function faultStep(s: Core, now: number): void {
  if (!hasSupply(s)) {
    if (s.outageAt === 0) beginOutage(s, now);
  } else if (s.outageAt > 0) endOutage(s, now);
  if (s.supplyMissing && isSupplied(s)) {
    // The supply is back, but a relay that stuck once cannot be trusted: the fault remains.
    s.supplyMissing = 0;
    s.exercisesLeft = 0;
    queueRecord(s, eventRecord(s, 'supply', s.reason, Math.floor((now - s.phaseAt) / 1000), now));
    s.dirty = 1;
  }
  if (now >= s.alarmAt) {
    s.alarmAt = now + (isSupplied(s) ? SLEEP_MS : Limit.AlarmRepeatMs);
    s.dirty = 1;
  }
  wakeBy(s, s.alarmAt);
  // I9: tests that fall due meanwhile are missed, but must not be missed silently.
  tellOverdue(s, now);
  if (s.drive || s.exercisesLeft > 0) exerciseStep(s, now);
}

/** I6: red when the luminaires have no supply, or the tester is at fault. */
function showRed(s: Core): void {
  const red = s.phase === Phase.Fault || isUnsupplied(s) ? 1 : 0;
  if (red !== s.red) s.dirty = 1;
  s.red = red;
}

/** An input has changed, or `wakeAt` has come; `in.lamp` is fresh when `sampleAt` was due. */
export function step(s: Core, now: number): void {
  s.wakeAt = now + SLEEP_MS;
  readSenses(s, now);
  if (isDischarging(s)) dischargeStep(s, now);
  else if (isAtRest(s)) idleStep(s, now);
  else if (s.phase === Phase.Opening) openingStep(s, now);
  else if (s.phase === Phase.Restoring) restoreStep(s, now);
  else if (s.phase === Phase.Outage) outageStep(s, now);
  else if (s.phase === Phase.Held) heldStep(s, now);
  else if (s.phase === Phase.Fault) faultStep(s, now);
  else startingStep(s, now);
  if (s.holdUntil > 0 && (s.phase !== Phase.Held || s.reason !== Reason.OrderedHold)) followHold(s, now);
  showRed(s);
}

function isOpen(s: Core): boolean {
  return isDischarging(s) || (s.phase === Phase.Opening && s.drive === 1);
}

/** While the lamps are being read on mains, nothing is open yet: the test is called off. */
function orderRestore(s: Core, now: number): Reason {
  if (isOpen(s)) release(s, Reason.OrderedRestore, now);
  else if (s.phase === Phase.Opening) {
    spendSlot(s);
    cancelOpening(s, now);
  } else if (s.ending !== Ending.All) endProof(s, now);
  else if (s.drive) endExercise(s);
  else return Reason.NothingToDo;
  return Reason.None;
}

function orderHold(s: Core, seconds: number, now: number): Reason {
  if (!(seconds >= 60 && seconds <= Limit.HoldSecMax)) return Reason.OutOfBounds;
  if (s.phase === Phase.Fault || s.phase === Phase.Outage || s.phase === Phase.Starting) return Reason.Busy;
  // If a test is running, the hold is entered once the supply is proven back.
  s.holdUntil = now + seconds * 1000;
  if (isOpen(s)) release(s, Reason.OrderedHold, now);
  s.wakeAt = now;
  return Reason.None;
}

/** Ends a hold by order, even one that is queued behind a restore, an outage or the key. */
function orderRelease(s: Core, now: number): Reason {
  if (s.phase === Phase.Held && s.reason === Reason.OrderedHold) leaveHeld(s, now);
  else if (s.holdUntil > now) s.holdUntil = 0;
  else return Reason.NothingToDo;
  return Reason.None;
}

function orderTest(s: Core, kind: number, now: number): Reason {
  if (!(kind >= TestKind.Brief && kind <= TestKind.Commissioning)) return Reason.OutOfBounds;
  const end = s.set.revision === 0 ? 0 : openWindowEnd(s, now);
  const against = mayOpen(s, kind, end, now);
  if (against === Reason.None) prepareOpening(s, kind, 0, 0, -1, end, now);
  return against;
}

/**
 * A signed, fresh order. It may stop, hold or clear; it may start a test only where the rules would (I5).
 * @returns None when it was carried out, else the reason why not.
 */
export function takeOrder(s: Core, what: OrderKind, arg: number, now: number): Reason {
  if (what === OrderKind.Restore) return orderRestore(s, now);
  if (what === OrderKind.Hold) return orderHold(s, arg, now);
  if (what === OrderKind.Release) return orderRelease(s, now);
  if (what === OrderKind.ClearFault) {
    if (s.phase !== Phase.Fault) return Reason.NothingToDo;
    if (!hasSupply(s) || !isSupplied(s)) return Reason.SupplyLost;
    queueRecord(s, eventRecord(s, 'cleared', s.reason, 0, now));
    if (s.reason === Reason.ClockFault) s.clockFault = 0;
    if (s.reason === Reason.SelfTest) s.selfTest = SelfTest.None;
    s.reason = Reason.None;
    enter(s, Phase.Recharging, now);
    s.wakeAt = now;
    return Reason.None;
  }
  if (what === OrderKind.Test) return orderTest(s, arg, now);
  if (what === OrderKind.Extend) return extendBrief(s, arg, now);
  return Reason.OutOfBounds;
}

/**
 * The host's time (see `takeTime`). A jump ends a test that is outside every permitted window by the new
 * time, and is recorded.
 * @returns seconds by which the clock jumped, 0 when it did not
 */
export function takeAnswer(s: Core, utcMs: number, upMs: number, now: number): number {
  const jumpSec = takeTime(s, utcMs, upMs, now);
  if (jumpSec === 0) return 0;
  endOutsideWindow(s, now);
  queueRecord(s, eventRecord(s, 'clock', Reason.ClockFault, jumpSec, now));
  return jumpSec;
}

/** A self-test at rest found something: the next step makes it a tester fault. */
export function takeSelfTest(s: Core, found: SelfTest, now: number): void {
  s.selfTest = found;
  s.wakeAt = now;
}

/** UTC second when full autonomy is expected; 0 when charged, or while no supply allows a forecast. */
export function chargedUtc(s: Core, now: number): number {
  return now >= s.autonomyAt || !isSupplied(s) ? 0 : utcAt(s, s.autonomyAt);
}
