// What may be left out of a long run without a difference: steps at rest in which nothing falls due, and readings
// that no lamp is judged by. For the simulator only, and no part of the firmware. It asks the functions that a
// step itself goes by.
import { Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { chargeStep } from './charge';
import { utcAt } from './clock';
import { isPlaceDue } from './curves';
import { isTimeOver } from './discharge';
import { Column } from './draft';
import { isEarlyPoint, isFullPoint, isLampEnd } from './judgement';
import { dueNow, hasLaterSlot, isMissed, isPlanOver } from './schedule';
import { hasNews } from './senses';
import { type Core, isAtRest, isDischarging } from './state';
import { rest } from './step';

/** Later than anything, ms. */
const NEVER = 9000000000000000;

/** Every sense has settled, and no input has changed since. */
function isSettled(s: Core): boolean {
  for (let i = 0; i < s.level.length; i++) if (s.level[i] !== s.raw[i]) return false;
  return !hasNews(s);
}

/** Whether the core is at rest, and only the plan, the recharge or a look at the charge can want a step. */
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
    if (isMissed(s, i, utc) && !hasLaterSlot(s, s.slots[i * Column.Count], utc)) return true;
  return false;
}

/**
 * The next instant at which a step can find anything to do, monotonic ms: `wakeAt`, or later where every step
 * until then would only look at the plan and sleep again. Holds until something else than time changes the core;
 * the error of its clock may only grow meanwhile.
 */
export function nextDueAt(s: Core, now: number): number {
  const wakeAt = s.wakeAt;
  if (!isWaitingForTime(s, now)) return wakeAt;
  // Before `wakeAt` these find nothing to do, and say when they would: without the hour that a step adds to them.
  s.wakeAt = NEVER;
  chargeStep(s, now);
  rest(s, now);
  const due = dueNow(s, now);
  const next = s.wakeAt;
  s.wakeAt = wakeAt;
  // An answer has made the error of the clock smaller since the last step: the window has begun.
  if (due.kind !== TestKind.None) return wakeAt;
  // A window is over, in this second or since the last step, and that its test is overdue is still to be told.
  if (isOverdueUntold(s, utcAt(s, now) + 1)) return wakeAt;
  return next > wakeAt ? next : wakeAt;
}

/** Whether a reading has just been taken and the core waits for the next one and for nothing else. */
function isWaitingForReading(s: Core, now: number): boolean {
  return (
    isDischarging(s) &&
    s.lastSampleAt === now &&
    s.sampleAt === s.wakeAt &&
    s.judgedEarly === 1 &&
    s.outCount === 0 &&
    isSettled(s)
  );
}

/** Whether a step only compares a reading at `at` with what every lamp has to reach. */
function isPlain(s: Core, at: number): boolean {
  const elapsed = at - s.t0;
  return (
    !isEarlyPoint(s, elapsed) && !isFullPoint(s, elapsed) && !isLampEnd(s, elapsed) && !isTimeOver(s, at)
  );
}

/**
 * The last of the readings after the one taken now that change nothing as long as every lamp reads at least its
 * `quick`. They stand for no place of the curves, and the one after them is plain as well: a point, a fall and the
 * end of a test go by the reading before them.
 * @param before first instant, monotonic ms, at which something else may happen
 * @returns monotonic ms; `now` where there is none
 */
export function lastPlainReading(s: Core, now: number, before: number): number {
  if (!isWaitingForReading(s, now)) return now;
  const period = s.sampleAt - now;
  // So many readings may be left out; so many may not.
  let may = 0;
  let mayNot = Math.ceil((Limit.OpenCapSec * 1000) / period) + 1;
  while (mayNot - may > 1) {
    const count = Math.floor((may + mayNot) / 2);
    const at = now + count * period;
    if (at + period < before && isPlain(s, at + period) && !isPlaceDue(s, at - s.t0)) may = count;
    else mayNot = count;
  }
  return now + may * period;
}

/**
 * Leaves out the readings up to `last`, as `lastPlainReading` named it, and goes on as after that one.
 * @returns how many they are
 */
export function skipReadings(s: Core, last: number): number {
  const period = s.sampleAt - s.lastSampleAt;
  const count = (last - s.lastSampleAt) / period;
  s.lastSampleAt = last;
  s.sampleAt = last + period;
  s.wakeAt = s.sampleAt;
  s.leaseUntil = last + Limit.LeaseMs;
  return count;
}
