// The one place that decides whether the relay may open (I2), and says why not.
import { Phase, Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { clockErrorSec, isClockTrusted, utcAt } from './clock';
import { isOwnNight } from './schedule';
import { hasSupply, isSupplied } from './senses';
import { requiredSec } from './settings';
import { type Core, isAtRest, isDischarging } from './state';

/** Full discharge of this kind on this circuit, s; 0 for a commissioning test that nobody asked for. */
export function testSec(s: Core, kind: TestKind): number {
  return requiredSec(s.set, kind, s.set.ratedSec);
}

/** Reasons that lie in the plant and the people, at any hour; `isFree`: no phase speaks against a test. */
function siteReason(s: Core, isFree: boolean, now: number): Reason {
  if (s.phase === Phase.Fault || s.phase === Phase.Restoring || isDischarging(s)) return Reason.Busy;
  if (s.set.revision === 0) return Reason.NotCommissioned;
  // A loss that has not settled yet is reason enough not to open.
  if (!hasSupply(s) || !s.in.supplyA) return Reason.Outage;
  // Before the supply that it takes away: the key in series is no fault.
  if (s.in.key) return Reason.KeyHold;
  if (!isSupplied(s) || !s.in.supplyB) return Reason.SupplyLost;
  if (now < s.unsteadyUntil) return Reason.UnsteadySupply;
  if (s.in.stop) return Reason.StopInput;
  // An accepted hold counts at once, also in the second before its phase is entered.
  if (s.holdUntil > now) return Reason.OrderedHold;
  if (s.phase === Phase.Held) return s.reason;
  if (!isFree) return Reason.Busy;
  if (s.set.shared && (s.in.occupied || now - s.movedAt < s.set.emptySec * 1000))
    return Reason.NotProvenEmpty;
  if (!s.journalReady) return Reason.JournalFull;
  return Reason.None;
}

/**
 * Batteries: a brief test needs its own recharge behind it, a full or limited test an unbroken full one,
 * and a commissioning test the first charge, which may be shorter.
 */
function batteryReason(s: Core, kind: TestKind, now: number): Reason {
  const unbroken = now - s.suppliedAt;
  if (kind === TestKind.Commissioning)
    return unbroken < s.set.firstChargeSec * 1000 ? Reason.StillRecharging : Reason.None;
  if (now < s.autonomyAt) return Reason.StillRecharging;
  if (kind !== TestKind.Brief && unbroken < s.set.rechargeSec * 1000) return Reason.StillRecharging;
  return Reason.None;
}

/** Clock, night and window. The window must hold the whole test, its grace and the clock's error. */
function timeReason(s: Core, kind: TestKind, windowEndUtc: number, now: number): Reason {
  if (!isClockTrusted(s, now)) return Reason.ClockUntrusted;
  const utc = utcAt(s, now);
  if (windowEndUtc === 0) return Reason.OutsideWindow;
  if (!isOwnNight(s, utc)) return Reason.NotOwnNight;
  const needed = testSec(s, kind) + Limit.OpenGraceSec + clockErrorSec(s, now);
  return utc + needed > windowEndUtc ? Reason.WindowTooShort : Reason.None;
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
 * Whether a test of this kind may begin now and take the supply away, inside a window that ends at `windowEndUtc`.
 * @returns None, or the first reason against it.
 */
export function mayOpen(s: Core, kind: TestKind, windowEndUtc: number, now: number): Reason {
  return reasonAgainst(s, kind, windowEndUtc, isAtRest(s), now);
}

/** The same question for the test that is looking at its lamps on mains and has opened nothing yet. */
export function mayStillOpen(s: Core, now: number): Reason {
  return reasonAgainst(s, s.kind, s.windowEndUtc, true, now);
}
