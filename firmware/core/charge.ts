// What the circuit's charge-current sensor shows after a test: whether the chargers start, and how their
// current falls until the recharge is over. It sees the circuit as a whole, so one dead charger among many
// stays below its threshold; the next full test finds that one. Shares: common practice, no source.
import { Fitted, Reason, TestKind } from '../contract/codes';
import { curveStep } from '../contract/curve';
import { Limit } from '../contract/limits';
import { chargeRecord, queueRecord } from './records';
import { type Core, wakeBy } from './state';

/** First check after the supply is back, ms. A shorter discharge may leave nothing to charge. */
const FIRST_MS = 60000;
/** A first check later than this says nothing about the start of charging, ms. */
const LATE_MS = 300000;
/** Least share of the commissioned current at the first check, %. */
const PRESENT_PERCENT = 30;
/** The same after a brief test, which takes so little that a charger may be back at float at once. */
const BRIEF_PERCENT = 2;
/** Shares of the current at the first check that count as half and as float, %. */
const HALF_PERCENT = 50;
const FLOAT_PERCENT = 20;
/** Marks a check that was not made. */
const UNKNOWN = 255;

/** Starts the watch when the supply is proven back after a test of this kind. */
export function beginCharge(s: Core): void {
  s.chargeAt = 0;
  if ((s.set.fitted & Fitted.Charge) === 0 || s.set.chargeMilliamps === 0) return;
  if (s.dischargeSec * 1000 < FIRST_MS) return;
  s.chargeSince = s.suppliedAt;
  s.chargeAt = s.suppliedAt + FIRST_MS;
  // After a brief test only the first check is made.
  s.chargeStepSec = s.kind === TestKind.Brief ? 0 : Math.floor(s.set.rechargeSec / Limit.ChargeLooks);
  for (let i = 0; i <= Limit.ChargeLooks; i++) s.chargeCurve[i] = UNKNOWN;
}

/** Seconds until the current had fallen to `percent` of the first check; -1 when that was not seen. */
function fallenAfter(s: Core, percent: number): number {
  for (let i = 1; i <= Limit.ChargeLooks; i++)
    if (s.chargeCurve[i] * 100 <= percent * s.chargeCurve[0]) return i * s.chargeStepSec;
  return -1;
}

function close(s: Core, reason: Reason, now: number): void {
  s.chargeAt = 0;
  let count = Limit.ChargeLooks + 1;
  while (count > 0 && s.chargeCurve[count - 1] === UNKNOWN) count--;
  const half = fallenAfter(s, HALF_PERCENT);
  queueRecord(s, chargeRecord(s, reason, half, fallenAfter(s, FLOAT_PERCENT), count, now));
}

function lookFirst(s: Core, percent: number, now: number): void {
  s.chargeFirst = s.in.charge;
  if (percent < (s.chargeStepSec > 0 ? PRESENT_PERCENT : BRIEF_PERCENT)) {
    close(s, Reason.NoCharge, now);
    return;
  }
  s.chargeCurve[0] = curveStep(percent);
  s.chargeAt = s.chargeStepSec > 0 ? s.chargeSince + s.chargeStepSec * 1000 : 0;
}

function look(s: Core, percent: number, now: number): void {
  const place = Math.floor((now - s.chargeSince) / (s.chargeStepSec * 1000));
  s.chargeCurve[place < Limit.ChargeLooks ? place : Limit.ChargeLooks] = curveStep(percent);
  s.chargeAt = s.chargeSince + (place + 1) * s.chargeStepSec * 1000;
  if (place >= Limit.ChargeLooks)
    close(s, fallenAfter(s, FLOAT_PERCENT) < 0 ? Reason.SlowRecharge : Reason.None, now);
}

/** Makes the check that is due; a supply interruption ends the watch. Called at rest. */
export function chargeStep(s: Core, now: number): void {
  if (s.chargeAt === 0) return;
  const isFirst = s.chargeCurve[0] === UNKNOWN;
  if (s.suppliedAt !== s.chargeSince) {
    if (isFirst) s.chargeAt = 0;
    else close(s, Reason.None, now);
  } else if (isFirst && now - s.chargeSince > LATE_MS) s.chargeAt = 0;
  else if (now >= s.chargeAt) {
    const percent = (s.in.charge * 100) / s.set.chargeMilliamps;
    if (isFirst) lookFirst(s, percent, now);
    else look(s, percent, now);
  }
  if (s.chargeAt > 0) wakeBy(s, s.chargeAt);
}
