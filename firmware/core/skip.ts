// What a long run may leave out without changing the outcome: steps at rest in which nothing falls due, and
// readings that judge no lamp. For the simulator only, and not part of the firmware. It asks the same
// functions that a step uses.
import { Phase, Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { chargeStep } from './charge';
import { utcAt } from './clock';
import { recordCurves } from './curves';
import { isTimeOver, nextSampleAt } from './discharge';
import { Read } from './inputs';
import { isEarlyPoint, isFullPoint, isLampEnd } from './judgement';
import { mayStillOpen } from './permission';
import { dueNow, hasLaterSlot, isMissed, isPlanOver, testOf } from './schedule';
import { hasNews } from './senses';
import { type Core, isAtRest, isDischarging, Sense, Stage } from './state';
import { rest, step } from './step';

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

/** Whether it is decided, or asked by now, if the auxiliary contact disagrees. */
function isContactKnown(s: Core, now: number): boolean {
  return s.level[Sense.Aux] === 1 || now - s.openAt > Limit.OpenProofMs;
}

/** Whether a reading has just been taken and the core waits only for the next one. */
function isWaitingForReading(s: Core, now: number): boolean {
  return (
    isDischarging(s) &&
    s.lastSampleAt === now &&
    s.sampleAt === s.wakeAt &&
    isContactKnown(s, now) &&
    s.outCount === 0 &&
    isSettled(s)
  );
}

/**
 * Whether the next reading can decide nothing, whatever current each lamp has, as long as there is one: it comes
 * before the first point.
 */
export function isBeforePoints(s: Core, now: number): boolean {
  const isEarly = s.judgedEarly === 0 && s.sampleAt - s.t0 < Limit.EarlyPointMs;
  return isEarly && isWaitingForReading(s, now) && !isTimeOver(s, s.sampleAt);
}

/** Whether a step only compares a reading at `at` with each lamp's level. */
function isPlain(s: Core, at: number): boolean {
  const elapsed = at - s.t0;
  return (
    !isEarlyPoint(s, elapsed) && !isFullPoint(s, elapsed) && !isLampEnd(s, elapsed) && !isTimeOver(s, at)
  );
}

/**
 * Up to when readings change nothing but curves and lowest values, as long as every lamp reads at least its `quick`:
 * a fall, a point and the end of a test come later.
 * @param before first instant, monotonic ms, at which something else may happen
 * @returns monotonic ms, exclusive; 0 when the core waits for more than its next reading
 */
export function plainUntil(s: Core, now: number, before: number): number {
  if (!isWaitingForReading(s, now) || s.dips > 0 || before <= now) return 0;
  let plain = now;
  let not = Math.min(before, now + Limit.OpenCapSec * 1000);
  if (isPlain(s, not)) return not;
  while (not - plain > 1) {
    const at = Math.floor((plain + not) / 2);
    if (isPlain(s, at)) plain = at;
    else not = at;
  }
  return not;
}

/** First instant at which a reading is one for the curves, monotonic ms (see `isPlaceDue`). */
function nextPlaceAt(s: Core): number {
  if (s.kind === TestKind.Brief) return NEVER;
  return s.t0 + Math.max(s.curveNext * s.curveGridSec * 1000, Limit.EarlyPointMs);
}

/**
 * Skips the readings before `until` that change nothing, up to the next one for a place of the curves, and continues
 * as if after the last of them. The last one before `until` is not skipped: a point, a fall and the end of a test
 * depend on the reading before them.
 * @param until as returned by `plainUntil`, or earlier
 * @returns how many were skipped
 */
export function skipReadings(s: Core, until: number): number {
  const placeAt = nextPlaceAt(s);
  // The reading after the last one skipped, which the end of a lamp must not draw to itself.
  const most = Math.min(until - 1, s.t0 + s.nextEndMs - Limit.LoopMs);
  let count = 0;
  let at = s.sampleAt;
  while (at < placeAt) {
    const every = nextSampleAt(s, at, at) - at;
    // So far they follow each other at the same interval.
    const turn = s.t0 + (Math.floor((at - s.t0) / Limit.SlowTurnMs) + 1) * Limit.SlowTurnMs;
    const more = Math.min(Math.floor((most - at) / every), Math.ceil((Math.min(placeAt, turn) - at) / every));
    if (more <= 0) break;
    count += more;
    at += more * every;
    s.lastSampleAt = at - every;
  }
  if (count === 0) return 0;
  if (count % 2 === 1) s.from = s.set.lampCount - 1 - s.from;
  s.sampleAt = at;
  s.wakeAt = at;
  s.leaseUntil = s.lastSampleAt + Limit.LeaseMs;
  return count;
}

/**
 * Takes the reading due next from `in.lamp`: a step without the turn of the loop around it, in which there is nothing
 * else to do.
 */
export function takeReading(s: Core): void {
  s.in.read = Read.All;
  step(s, s.sampleAt);
}

/** The same for a reading before `until` that may be one for the curves. */
export function takePlainReading(s: Core, until: number): void {
  takeReading(s);
  // What the reading after it would do.
  if (s.sampleAt < until) recordCurves(s);
}

/** Whether the lamps are read on mains once more, because the first readings varied. */
function isLookingAgain(s: Core): boolean {
  return (
    s.phase === Phase.Opening &&
    s.stage === Stage.LookingOnMains &&
    s.noise < 0 &&
    s.sampleAt > 0 &&
    s.sampleAt === s.wakeAt &&
    s.outCount === 0 &&
    isSettled(s)
  );
}

/**
 * Takes the readings on mains that are due before `before`, monotonic ms, and do not call the test off: steps without
 * the turn of the loop around them, in which there is nothing else to do.
 * @param read fills in `in.lamp` as at an instant, monotonic ms
 * @returns when the last of them was taken, `now` where there is none
 */
export function takeLooks(s: Core, now: number, before: number, read: (at: number) => void): number {
  let last = now;
  while (isLookingAgain(s) && s.sampleAt < before && mayStillOpen(s, s.sampleAt) === Reason.None) {
    last = s.sampleAt;
    read(last);
    takeReading(s);
  }
  return last;
}
