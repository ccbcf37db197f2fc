// A world as a few integers, so that two worlds with the same future count as one: instants become distances
// from now, cut off where they no longer matter.
import { Phase } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { Core } from '../../firmware/core/state';
import { TICK } from './small';
import type { World } from './world';

/** Further off than every timer but a hold: recharge, retry, proof of restore. */
const START_FAR_MS = 13000;
/** Longer than any test with its grace. */
const END_FAR_MS = 80000;
/** A little over an hour, in turns. */
const REMINDER = 14500;
const UNSET = -100000;

/**
 * Fields of the core that decide nothing here: evidence for records, what follows from the plan's windows and
 * the kind of test, clocks that are set once, and the fallback schedule, which the small plan does not reach.
 */
export const NOT_IN_KEY = [
  ...['dirty', 'alarmAt', 'boot', 'utcBase', 'syncAt', 'anchorBase', 'anchorAt', 'doubtBase', 'jumpsAt'],
  ...['journalReady', 'startedUtc', 'dischargeSec', 'openMs', 'litSec', 'at5', 'ma', 'judgedFull'],
  ...['curve', 'curveSettled', 'curveDoor', 'curveGridSec', 'curveNext', 'doorLow', 'doorHigh'],
  // The explored circuit's converter answers within a turn, and all its lamps are looked at in one reading.
  ...['weight', 'from'],
  // The explored circuit has no bus.
  'heardAt',
  ...['chargeAt', 'chargeSince', 'chargeStepSec', 'chargeFirst', 'chargeCurve'],
  // The small world has no clock chip and no self-tests, and ends before a day without the time is over.
  ...['chipAt', 'chipSetUtc', 'chipErrorSec', 'selfTest', 'untimedAt'],
  ...['planRevision', 'planUntil', 'slotCount', 'windowEndUtc', 'nextEndMs', 'lastBriefUtc', 'fallbackTold'],
];

export interface Key {
  words: Int32Array;
  used: number;
}

const words = new Int32Array(160);
const key: Key = { words, used: 0 };
let used = 0;

function put(value: number): void {
  words[used++] = value;
}

/** Distance of an instant from now in loop turns, cut off at `far` on both sides; 0 means unset. */
function putAt(at: number, now: number, far: number): void {
  if (at === 0) {
    words[used++] = UNSET;
    return;
  }
  const turns = Math.round((at - now) / TICK);
  words[used++] = Math.max(-far, Math.min(far, turns));
}

/** The same for an instant that is -1 while unset. */
function putSince(at: number, now: number, far: number): void {
  putAt(at < 0 ? 0 : at + 1, now, far);
}

function mixed(hash: number, text: string, from: number, to: number): number {
  for (let i = from; i < to; i++) hash = Math.imul(hash, 31) + text.charCodeAt(i);
  return hash;
}

/** The content of the records waiting to be written, without times and evidence, as one number. */
function waitingRecords(c: Core): number {
  let hash = 0;
  for (let i = 0; i < c.outCount; i++) {
    const text = c.out[i];
    const began = text.indexOf(',"started":');
    hash = mixed(hash, text, text.indexOf('"kind":"'), began < 0 ? text.length : began);
    // For a result, its end and each lamp's verdict with its reason.
    for (let at = text.indexOf('"end":'); at >= 0 && began >= 0; at = text.indexOf('[', at + 2))
      hash = mixed(hash, text, at, text.indexOf(',', text.indexOf(',', at) + 1));
  }
  return hash;
}

export function putCore(c: Core, now: number): void {
  put(c.phase * 256 + c.reason);
  put(c.waiting);
  putAt(c.calledOffUntil > now ? c.calledOffUntil : 0, now, 300);
  put(c.drive * 2 + c.red + c.clockSet * 4 + c.supplyMissing * 8);
  put(c.outCount === 0 ? 0 : waitingRecords(c));
  put(c.seenStop + c.seenKey * 2 + c.seenOccupied * 4 + c.overdue * 8);
  put(c.kind * 65536 + c.test);
  for (let i = 0; i < 3; i++) {
    put(c.raw[i] * 4 + c.level[i]);
    putAt(c.rawAt[i], now, 24);
  }
  putAt(c.phaseAt, now, 24);
  putAt(c.wakeAt, now, 60);
  putAt(c.sampleAt, now, 12);
  putAt(c.leaseUntil, now, 12);
  putSince(c.suppliedAt, now, 26);
  putAt(c.autonomyAt, now, 26);
  putAt(c.movedAt, now, 6);
  put(c.exercisesLeft);
  put(c.ending * 64 + c.guard * 8 + c.proof * 2 + c.slow);
  putAt(c.exercisesLeft > 0 ? c.exerciseAt : 0, now, 60);
  put(c.outageAt > 0 ? 1 : 0);
  putAt(c.holdUntil, now, 300);
  if (c.phase === Phase.Held) putAt(c.remindedAt + 1, now, REMINDER);
  put(c.supplyDips * 2 + c.clockFault);
  putAt(c.supplyDips > 0 ? c.supplyDipAt + 1 : 0, now, 300);
  putAt(c.unsteadyUntil > now ? c.unsteadyUntil : 0, now, 2500);
  putAt(c.doubtAt, now, 130);
  put(c.jumps);
  put((c.fallbackNight >= 0 ? 1 : 0) + (c.lastLongUtc > 0 ? 2 : 0));
  for (let i = 0; i < c.slotCount; i++) put(c.slotState[i]);
  if (c.phase >= Phase.Opening && c.phase <= Phase.Restoring) putTest(c, now);
  // How long the coil of a stuck contact has been exercised.
  else if (c.drive) putAt(c.openAt, now, 60);
}

function putTest(c: Core, now: number): void {
  put(c.stage * 256 + c.end);
  put(c.limitMs);
  put(c.testPlan);
  put(c.preCount * 256 + c.undecided);
  put(c.noise);
  put(c.slot * 256 + c.dips * 2 + c.judgedEarly);
  putAt(c.openAt, now, 80);
  putAt(c.t0, now, 80);
  putAt(c.lastSampleAt, now, 30);
  putAt(c.releasedAt, now, 30);
  putAt(c.autonomyBefore, now, 26);
  for (let i = 0; i < c.set.lampCount; i++) {
    put(c.verdict[i] * 256 + c.why[i]);
    put(c.finding[i] * 256 + c.marks[i]);
    put(c.fall[i]);
    putAt(c.fallAt[i] > 0 && c.fall[i] > 0 ? c.t0 + c.fallAt[i] * Limit.LoopMs : 0, now, 24);
    put(c.zero[i]);
    put(c.quick[i]);
    // Readings on mains; later they are only evidence.
    if (c.phase === Phase.Opening) {
      put(c.sum[i]);
      put(c.at60[i]);
    }
  }
}

/**
 * Where the world stands in its plan, only as exactly as anything can still depend on it. A start further off
 * than every timer of the small world makes no difference, nor does an end further off than a test.
 */
function putTime(w: World): void {
  const local = w.now + w.believedOff;
  put((w.now % 1000) / TICK);
  if (w.core.holdUntil > w.now - w.bootAt || w.heldUntil > w.now) put(w.now / TICK);
  const { slots, until, fallback } = w.times;
  for (let i = 0; i < slots.length; i++) {
    const isOpen = w.core.slotState[i] === 0 || w.core.slotState[i] === 3 || slots[i].kind === 0;
    put(isOpen ? distance(slots[i].from * 1000 - local, 0, START_FAR_MS) : -1);
    put(distance(slots[i].to * 1000 - local, -TICK, isOpen ? END_FAR_MS : TICK));
  }
  put(distance(until * 1000 - local, -TICK, START_FAR_MS));
  if (fallback) {
    put(distance(fallback.from * 1000 - local, 0, START_FAR_MS));
    put(distance(fallback.to * 1000 - local, -TICK, END_FAR_MS));
  }
  put(w.hostOff);
  put(w.believedOff);
  put(w.doubtSince >= 0 ? w.doubtOff : 0);
  putSince(w.doubtSince, w.now, 130);
}

function distance(ms: number, least: number, most: number): number {
  return Math.max(least, Math.min(most, ms)) / TICK;
}

function putWorld(w: World): void {
  put(w.mains + w.key * 2 + w.stop * 4 + w.person * 8 + w.lamp * 16 + w.contactOpen * 32 + w.aux * 64);
  put(w.relay + w.intentOpen * 8 + w.longDark * 16 + w.everDark * 32 + w.darkAtEnd * 64 + w.outageTold * 128);
  put(w.faultOpen * 256 + w.drivenKind * 16 + w.orderedKind);
  put(w.satisfied + w.spent * 8 + w.spentDurable * 64 + w.toldOverdue * 512);
  put(w.wantedDone + w.fallbackDone * 2 + w.mainsGood * 4);
  put(w.heldDurableSec);
  put(w.drivenLimitMs);
  put(w.guardOwed);
  putSince(w.suppliedSince, w.now, 50);
  putSince(w.lostSince, w.now, 4);
  put(w.owedMs);
  putSince(w.missingSince, w.now, 30);
  putSince(w.straySince, w.now, 30);
  putSince(w.drivenSince, w.now, 80);
  putAt(w.heldUntil > w.now ? w.heldUntil : 0, w.now, 300);
  putSince(w.mainsOffSince, w.now, 20);
  putSince(w.mainsOnSince, w.now, 4);
  putSince(w.shutSince, w.now, 6);
  putSince(w.darkSince, w.now, 14);
  putSince(w.dueSince, w.now, 60);
  putSince(w.remindedAt, w.now, REMINDER);
  put(w.dips);
  putAt(w.dips > 0 ? w.dipAt + 1 : 0, w.now, 300);
  putAt(w.unsteadyUntil > w.now ? w.unsteadyUntil : 0, w.now, 2500);
  put(w.jumps);
  putAt(w.movedAt + 1, w.now, 6);
}

/** The key of a world; the same object each time. */
export function keyOf(w: World): Key {
  used = 0;
  putTime(w);
  putWorld(w);
  putCore(w.core, w.now - w.bootAt);
  key.used = used;
  return key;
}
