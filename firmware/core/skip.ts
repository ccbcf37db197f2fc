// What a long run may leave out without changing the outcome: steps at rest in which nothing falls due, and
// readings that judge no lamp. For the simulator only, and not part of the firmware. It asks the same
// functions that a step uses.
import { Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { chargeStep } from './charge';
import { utcAt } from './clock';
import { isPlaceDue } from './curves';
import { isTimeOver, slowPeriodMs } from './discharge';
import { isEarlyPoint, isFullPoint, isLampEnd } from './judgement';
import { dueNow, hasLaterSlot, isMissed, isPlanOver, testOf } from './schedule';
import { hasNews } from './senses';
import { type Core, isAtRest, isDischarging } from './state';
import { rest } from './step';

/** Later than anything, ms. */
const NEVER = 9000000000000000;

/** Whether every input has settled and none has changed since. */
function isSettled(s: Core): boolean {
  for (let i = 0; i < s.level.length; i++) if (s.level[i] !== s.raw[i]) return false;
  return !hasNews(s);
}

/** Whether the core is at rest, and only the plan, the recharge or a charge check can need a step. */
function isWaitingForTime(s: Core, now: number): boolean {
  return (
    isAtRest(s) &&
    now < s.wakeAt &&
    isSettled(s) &&
    s.in.supplyA === 1 &&
    s.in.supplyB === 1 &&
    s.in.key === 0 &&
    s.waiting === Reason.None &&
    s.outCount === 0 &&
    s.holdUntil === 0 &&
    s.clockSet === 1 &&
    s.clockFault === 0 &&
    s.set.revision > 0 &&
    !isPlanOver(s, utcAt(s, now))
  );
}

function isOverdueUntold(s: Core, utc: number): boolean {
  for (let i = 0; i < s.slotCount; i++)
    if (isMissed(s, i, utc) && !hasLaterSlot(s, testOf(s, i), utc)) return true;
  return false;
}

/**
 * The next instant at which a step can find anything to do, monotonic ms: `wakeAt`, or later where every step
 * until then would only look at the plan and sleep again. Holds until something other than time changes the
 * core; the error of its clock may only grow meanwhile.
 */
export function nextDueAt(s: Core, now: number): number {
  const wakeAt = s.wakeAt;
  if (!isWaitingForTime(s, now)) return wakeAt;
  // Before `wakeAt` these find nothing to do, and report when they will, without the hour that a step caps
  // its sleep at.
  s.wakeAt = NEVER;
  chargeStep(s, now);
  rest(s, now);
  const due = dueNow(s, now);
  const next = s.wakeAt;
  s.wakeAt = wakeAt;
  // An answer has reduced the clock's error since the last step: the window has begun.
  if (due.kind !== TestKind.None) return wakeAt;
  // A window has ended, in this second or since the last step, and its overdue test is yet to be reported.
  if (isOverdueUntold(s, utcAt(s, now) + 1)) return wakeAt;
  return next > wakeAt ? next : wakeAt;
}

/** Whether a reading has just been taken and the core waits only for the next one. */
function isWaitingForReading(s: Core, now: number): boolean {
  return (
    isDischarging(s) &&
    s.lastSampleAt === now &&
    s.sampleAt === s.wakeAt &&
    s.dips === 0 &&
    s.judgedEarly === 1 &&
    s.outCount === 0 &&
    isSettled(s)
  );
}

/** Whether a step only compares a reading at `at` with each lamp's level. */
function isPlain(s: Core, at: number): boolean {
  const elapsed = at - s.t0;
  return (
    !isEarlyPoint(s, elapsed) && !isFullPoint(s, elapsed) && !isLampEnd(s, elapsed) && !isTimeOver(s, at)
  );
}

/**
 * The last of the readings after this one that change nothing as long as every lamp reads at least its
 * `quick`. None of them is for a place of the curves, and the one after them is plain as well: a point, a
 * fall and the end of a test depend on the reading before them.
 * @param before first instant, monotonic ms, at which something else may happen
 * @returns monotonic ms; `now` when there is none
 */
export function lastPlainReading(s: Core, now: number, before: number): number {
  if (!isWaitingForReading(s, now)) return now;
  const period = s.sampleAt - now;
  // Bisects: this many readings may be left out; this many may not.
  let may = 0;
  let mayNot = Math.ceil((Limit.OpenCapSec * 1000) / period) + 1;
  while (mayNot - may > 1) {
    const count = Math.floor((may + mayNot) / 2);
    const at = now + count * period;
    const isSteady = at - now < Limit.SlowTurnMs && slowPeriodMs(s, at) === slowPeriodMs(s, now);
    if (isSteady && at + period < before && isPlain(s, at + period) && !isPlaceDue(s, at - s.t0)) may = count;
    else mayNot = count;
  }
  return now + may * period;
}

/**
 * Skips the readings up to `last`, as returned by `lastPlainReading`, and continues as if after that one.
 * @returns how many were skipped
 */
export function skipReadings(s: Core, last: number): number {
  const period = s.sampleAt - s.lastSampleAt;
  const count = (last - s.lastSampleAt) / period;
  if (count % 2 === 1) s.from = s.set.lampCount - 1 - s.from;
  s.lastSampleAt = last;
  s.sampleAt = last + period;
  s.wakeAt = s.sampleAt;
  s.leaseUntil = last + Limit.LeaseMs;
  return count;
}
