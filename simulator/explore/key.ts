// A world as a few integers, so that two worlds with the same future count as one: instants become
// distances from now, cut off where they stop mattering.
import { Phase } from '../../firmware/contract/codes';
import type { World } from './world';

/** Further than every timer but a hold: recharge, repeated question, proof of restore. */
const START_FAR_MS = 13000;
/** Further than any test with its grace. */
const END_FAR_MS = 76000;
const WORDS = 128;
const buffer = new Int32Array(WORDS);
let used = 0;

function put(value: number): void {
  buffer[used++] = value;
}

/** Distance of an instant from now in loop turns, cut off at `far` on both sides; 0 stands for unset. */
function putAt(at: number, now: number, far: number): void {
  if (at === 0) put(-100000);
  else put(Math.max(-far, Math.min(far, Math.round((at - now) / 250))));
}

function putCore(w: World): void {
  const c = w.core;
  const now = w.now - w.bootAt;
  const testing = c.phase >= Phase.Opening && c.phase <= Phase.Restoring;
  for (const value of [c.phase, c.reason, c.waiting, c.drive, c.red, c.clockSet, c.outCount, c.overdue])
    put(value);
  for (const value of [c.seenStop, c.seenKey, c.seenOccupied, c.supplyMissing, c.kind, c.test]) put(value);
  for (let i = 0; i < 3; i++) {
    put(c.raw[i] * 4 + c.level[i]);
    putAt(c.rawAt[i], now, 24);
  }
  putAt(c.phaseAt, now, 24);
  putAt(c.wakeAt, now, 60);
  putAt(c.sampleAt, now, 12);
  putAt(c.leaseUntil, now, 12);
  putAt(c.suppliedAt < 0 ? 0 : c.suppliedAt + 1, now, 26);
  putAt(c.autonomyAt, now, 26);
  putAt(c.movedAt, now, 6);
  put(c.exercisesLeft);
  putAt(c.exercisesLeft > 0 ? c.exerciseAt : 0, now, 60);
  put(c.outageAt > 0 ? 1 : 0);
  putAt(c.holdUntil > now ? c.holdUntil : 0, now, 300);
  put(c.slotState[0] * 8 + c.slotState[1]);
  if (testing) putTest(w, now);
}

function putTest(w: World, now: number): void {
  const c = w.core;
  for (const value of [c.stage, c.slot, c.end, c.preCount, c.judgedEarly, c.undecided]) put(value);
  putAt(c.openAt, now, 60);
  putAt(c.t0, now, 60);
  putAt(c.lastSampleAt, now, 30);
  putAt(c.releasedAt, now, 30);
  putAt(c.autonomyBefore, now, 26);
  for (let i = 0; i < 2; i++) {
    put(c.verdict[i] * 256 + c.why[i]);
    put(c.finding[i] * 256 + c.marks[i]);
    putAt(c.dipAt[i], now, 12);
    put(c.zero[i]);
  }
}

/**
 * Where the world stands in its plan: only as exactly as anything can still depend on it. A start further
 * off than every timer of the small world makes no difference, nor does an end further off than a test.
 */
function putTime(w: World): void {
  put((w.now % 1000) / 250);
  if (w.core.holdUntil > w.now - w.bootAt || w.heldUntil > w.now) put(w.now / 250);
  const slots = w.times.slots;
  for (let i = 0; i < slots.length; i++) {
    const isOpen = w.core.slotState[i] === 0 || w.core.slotState[i] === 3;
    put(isOpen ? distance(slots[i].from * 1000 - w.now, 0, START_FAR_MS) : -1);
    put(distance(slots[i].to * 1000 - w.now, -250, isOpen ? END_FAR_MS : 250));
  }
  put(distance(w.times.until * 1000 - w.now, -250, START_FAR_MS));
}

function distance(ms: number, least: number, most: number): number {
  return Math.max(least, Math.min(most, ms)) / 250;
}

function putWorld(w: World): void {
  putTime(w);
  for (const value of [w.left, w.mains, w.key, w.stop, w.person, w.lamp, w.relay, w.contactOpen, w.aux])
    put(value);
  for (const value of [
    w.intentOpen,
    w.faultOpen,
    w.satisfied,
    w.drivenKind,
    w.longDark,
    w.everDark,
    w.darkAtEnd,
    w.spent,
    w.spentDurable,
  ])
    put(value);
  put(w.fate === '' ? 0 : w.fate.length);
  putAt(w.suppliedSince < 0 ? 0 : w.suppliedSince + 1, w.now, 26);
  putAt(w.lostSince < 0 ? 0 : w.lostSince + 1, w.now, 4);
  put(w.owedMs);
  putAt(w.missingSince < 0 ? 0 : w.missingSince + 1, w.now, 30);
  putAt(w.drivenSince < 0 ? 0 : w.drivenSince + 1, w.now, 60);
  putAt(w.heldUntil > w.now ? w.heldUntil : 0, w.now, 300);
  putAt(w.mainsOffSince < 0 ? 0 : w.mainsOffSince + 1, w.now, 6);
  putAt(w.shutSince < 0 ? 0 : w.shutSince + 1, w.now, 6);
  putAt(w.darkSince < 0 ? 0 : w.darkSince + 1, w.now, 14);
}

/** The worlds already seen, by 64 bits of hash: a clash among ten million is less likely than 1 in 300,000. */
export class SeenWorlds {
  private readonly low: Uint32Array;
  private readonly high: Uint32Array;
  private readonly mask: number;
  size = 0;

  /** @param bits room for three quarters of 2^bits worlds */
  constructor(bits: number) {
    this.low = new Uint32Array(1 << bits);
    this.high = new Uint32Array(1 << bits);
    this.mask = (1 << bits) - 1;
  }

  isFull(): boolean {
    return this.size > this.mask * 0.75;
  }

  /** @returns true when this world had not been seen before */
  add(w: World): boolean {
    used = 0;
    putWorld(w);
    putCore(w);
    let a = 0x811c9dc5;
    let b = 0x9e3779b9;
    for (let i = 0; i < used; i++) {
      a = Math.imul(a ^ buffer[i], 0x01000193);
      a ^= a >>> 15;
      b = Math.imul(b + buffer[i], 0x85ebca6b);
      b ^= b >>> 13;
    }
    a = (a ^ Math.imul(b, 0xc2b2ae35)) >>> 0 || 1;
    b >>>= 0;
    let at = (a ^ b) & this.mask;
    while (this.low[at] !== 0) {
      if (this.low[at] === a && this.high[at] === b) return false;
      at = (at + 1) & this.mask;
    }
    this.low[at] = a;
    this.high[at] = b;
    this.size++;
    return true;
  }
}
