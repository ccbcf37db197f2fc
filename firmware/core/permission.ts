// The one place that decides whether the relay may open (I2), and gives the reason if not.
import { Phase, Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { clockErrorSec, isClockTrusted, utcAt } from './clock';
import { notOwnReason } from './schedule';
import { hasSupply, isSupplied } from './senses';
import { requiredSec } from './settings';
import { type Core, isAtRest, isDischarging } from './state';

/** Full discharge of this kind on this circuit, s; 0 for a commissioning test that is not configured. */
export function testSec(s: Core, kind: TestKind): number {
  return requiredSec(s.set, kind, s.set.ratedSec);
}

/** Reasons in the plant or with people, at any hour; `isFree`: no phase forbids a test. */
function siteReason(s: Core, isFree: boolean, now: number): Reason {
  if (s.phase === Phase.Fault || s.phase === Phase.Restoring || isDischarging(s)) return Reason.Busy;
  if (s.set.revision === 0) return Reason.NotCommissioned;
  // A supply loss that has not settled yet is reason enough not to open.
  if (!hasSupply(s) || !s.in.supplyA) return Reason.Outage;
  // Checked before the supply that it removes: the key in series is no fault.
  if (s.in.key) return Reason.KeyHold;
  if (!isSupplied(s) || !s.in.supplyB) return Reason.SupplyLost;
  if (now < s.unsteadyUntil) return Reason.UnsteadySupply;
  if (s.in.stop) return Reason.StopInput;
  // An accepted hold counts at once, even before its phase is entered.
  if (s.holdUntil > now) return Reason.OrderedHold;
  if (s.phase === Phase.Held) return s.reason;
  if (!isFree) return Reason.Busy;
  if (s.set.shared && (s.in.occupied || now - s.movedAt < s.set.emptySec * 1000))
    return Reason.NotProvenEmpty;
  if (!s.journalReady) return Reason.JournalFull;
  return Reason.None;
}

/**
 * Batteries: a brief test needs its own recharge first, a full or limited test an unbroken full one, and a
 * commissioning test the first charge, which may be shorter.
 */
function batteryReason(s: Core, kind: TestKind, now: number): Reason {
  const unbroken = now - s.suppliedAt;
  if (kind === TestKind.Commissioning)
    return unbroken < s.set.firstChargeSec * 1000 ? Reason.StillRecharging : Reason.None;
  if (now < s.autonomyAt) return Reason.StillRecharging;
  if (kind !== TestKind.Brief && unbroken < s.set.rechargeSec * 1000) return Reason.StillRecharging;
  return Reason.None;
}

/**
 * Clock, night and window. The window must hold the whole test, its grace and the clock's error, and own hours its
 * recharge as well.
 */
function timeReason(s: Core, kind: TestKind, windowEndUtc: number, now: number): Reason {
  if (!isClockTrusted(s, now)) return Reason.ClockUntrusted;
  const utc = utcAt(s, now);
  if (windowEndUtc === 0) return Reason.OutsideWindow;
  const error = clockErrorSec(s, now);
  const endUtc = utc + testSec(s, kind) + Limit.OpenGraceSec;
  const notOwn = notOwnReason(s, kind, utc, endUtc + s.set.briefRechargeSec, error);
  if (notOwn !== Reason.None) return notOwn;
  return endUtc + error > windowEndUtc ? Reason.WindowTooShort : Reason.None;
}

/** The first reason against a test of this kind, None when there is none. */
function reasonAgainst(s: Core, kind: TestKind, windowEndUtc: number, isFree: boolean, now: number): Reason {
  const site = siteReason(s, isFree, now);
  if (site !== Reason.None) return site;
  if (testSec(s, kind) === 0) return Reason.NotCommissioned;
  const time = timeReason(s, kind, windowEndUtc, now);
  return time !== Reason.None ? time : batteryReason(s, kind, now);
}

/**
 * Whether a test of this kind may begin now and switch off the supply, in a window that ends at
 * `windowEndUtc`.
 * @returns None, or the first reason against it.
 */
export function mayOpen(s: Core, kind: TestKind, windowEndUtc: number, now: number): Reason {
  return reasonAgainst(s, kind, windowEndUtc, isAtRest(s), now);
}

/** The same question for a test that is reading its lamps on mains and has not opened yet. */
export function mayStillOpen(s: Core, now: number): Reason {
  return reasonAgainst(s, s.kind, s.windowEndUtc, true, now);
}
