// The relay and its guards: a coil held by a pulse detector, a hardware timeout in series, and a contact that
// may weld, stick or chatter. Rest position: contact closed, mains on.
import { Ending } from '../../firmware/contract/codes';
import { faultEdgeAfter, faultEdgeUpTo, inForce, type Span } from './spans';

/** Contact opens this long after the first pulses, ms. */
const PULL_MS = 60;
/** Contact closes this long after the drive is removed, ms. */
const DROP_MS = 120;
/** Half period of a chattering contact, ms. */
const CHATTER_MS = 35;
/** The pulse detector releases this long after the last pulse, ms; the drawing says within 1 s. */
export const DETECTOR_MS = 800;
/** Longest opening the hardware timer allows, ms. */
export const HARDWARE_LIMIT_MS = 12600000;
const NEVER = Number.POSITIVE_INFINITY;

export interface Relay {
  /** What the controller wants, and until when that holds without renewal. */
  driven: boolean;
  drivenUntil: number;
  drivenSince: number;
  /** Until when a guard that is being proven leaves the coil held after the release; 0: it does not. */
  lingersUntil: number;
  guards: GuardFault[];
  /** The hardware timer has run out and stays so until the controller releases the coil. */
  timedOut: boolean;
  /** Last change of what is wanted. */
  changedAt: number;
  /** Contact as of the last settle, at `settledAt`: it may chatter around the armature's position. */
  open: boolean;
  settledAt: number;
  /** Position of the armature, and when it last moved. */
  pulled: boolean;
  movedAt: number;
  /** The contact does not open. */
  welds: Span[];
  /** The coil is broken: it holds nothing. */
  openCoils: Span[];
  isCoilOpen: boolean;
  sticks: StickFault[];
  /** A contact that sticks open does so until then. */
  stuckUntil: number;
  /** A stuck contact comes free after this many exercises of the coil; 0: by time alone. */
  freesAfter: number;
  exercised: number;
  bounces: BounceFault[];
}

/**
 * The contact is slow to close, by `stickMs`, unless the coil is exercised this often first; 0: by time
 * alone.
 */
export interface StickFault extends Span {
  stickMs: number;
  freesAfter: number;
}

/** The contact chatters for `bounceMs` after each move of the armature. */
export interface BounceFault extends Span {
  bounceMs: number;
}

/** The guard that `ending` names does not release the coil: another must. */
export interface GuardFault extends Span {
  ending: Ending;
}

export function newRelay(): Relay {
  return {
    driven: false,
    drivenUntil: 0,
    drivenSince: 0,
    lingersUntil: 0,
    guards: [],
    timedOut: false,
    changedAt: 0,
    open: false,
    settledAt: 0,
    pulled: false,
    movedAt: Number.NEGATIVE_INFINITY,
    welds: [],
    openCoils: [],
    isCoilOpen: false,
    sticks: [],
    stuckUntil: 0,
    freesAfter: 0,
    exercised: 0,
    bounces: [],
  };
}

function isWelded(r: Relay, at: number): boolean {
  return inForce(r.welds, at) !== undefined;
}

/** Half periods of chatter since the armature moved, or -1 when the contact is quiet. */
function chatter(r: Relay, at: number): number {
  if (r.bounces.length === 0) return -1;
  const fault = inForce(r.bounces, r.movedAt);
  const isFaulty = fault !== undefined && at < fault.to && at - r.movedAt < fault.bounceMs;
  return isFaulty ? Math.floor((at - r.movedAt) / CHATTER_MS) : -1;
}

/** The coil has released at `at`: a contact that sticks begins to, or has been exercised once more. */
function loseHold(r: Relay, at: number): void {
  r.changedAt = at;
  if (!r.pulled) return;
  const fault = inForce(r.sticks, at);
  if (!fault) return;
  if (at >= r.stuckUntil) {
    // Once repaired, it closes.
    r.stuckUntil = Math.min(at + fault.stickMs, fault.to);
    r.freesAfter = fault.freesAfter;
    r.exercised = 0;
  } else if (++r.exercised === r.freesAfter) r.stuckUntil = at;
}

function letGo(r: Relay, at: number): void {
  r.driven = false;
  r.lingersUntil = 0;
  if (r.isCoilOpen) return;
  loseHold(r, at);
}

function isGuardFaulty(r: Relay, ending: Ending, at: number): boolean {
  return r.guards.some((fault) => fault.ending === ending && at >= fault.from && at < fault.to);
}

/** Until when the coil is held if only one guard releases it at `now`; every guard does so at `until`. */
function lingerEnd(r: Relay, ending: Ending, until: number, now: number): number {
  if (ending === Ending.All) return now;
  const most = Math.min(until, hardwareEnd(r));
  if (isGuardFaulty(r, ending, now)) return most;
  return ending === Ending.Enable ? now : Math.min(most, now + DETECTOR_MS);
}

/** Applies a coil that has broken, or been repaired, by `now`. */
function followCoil(r: Relay, now: number): void {
  const isOpen = inForce(r.openCoils, now) !== undefined;
  if (isOpen === r.isCoilOpen) return;
  r.isCoilOpen = isOpen;
  if (!r.driven && r.lingersUntil === 0) return;
  const at = Math.max(faultEdgeUpTo(r.openCoils, now), r.drivenSince);
  if (isOpen) loseHold(r, at);
  else r.changedAt = at;
}

/**
 * The controller drives the coil or releases it, by every guard or by the one that `ending` names; `until` is
 * its lease.
 */
export function driveRelay(
  r: Relay,
  wished: boolean,
  until: number,
  now: number,
  ending: Ending = Ending.All,
): void {
  if (!wished) r.timedOut = false;
  const driven = wished && !r.timedOut;
  if (driven !== r.driven) {
    settleRelay(r, now);
    if (driven) {
      r.drivenSince = now;
      r.driven = true;
      r.changedAt = now;
    } else {
      const end = lingerEnd(r, ending, until, now);
      if (end <= now) letGo(r, now);
      else {
        r.driven = false;
        r.lingersUntil = end;
      }
    }
  } else if (!driven && ending === Ending.All && r.lingersUntil > now) {
    settleRelay(r, now);
    if (r.lingersUntil > 0) letGo(r, now);
  }
  r.drivenUntil = until;
}

function hardwareEnd(r: Relay): number {
  return r.drivenSince + HARDWARE_LIMIT_MS;
}

/** When the coil releases if nothing renews it: a program that hangs leaves the pin low or high. */
export function holdEnd(r: Relay): number {
  if (r.lingersUntil > 0) return r.lingersUntil;
  const isHeld =
    r.guards.length > 0 &&
    (isGuardFaulty(r, Ending.StopsLow, r.drivenUntil) || isGuardFaulty(r, Ending.StopsHigh, r.drivenUntil));
  return isHeld ? hardwareEnd(r) : Math.min(r.drivenUntil + DETECTOR_MS, hardwareEnd(r));
}

function move(r: Relay, pulled: boolean, at: number): void {
  r.pulled = pulled;
  r.movedAt = at;
}

/** Whether the coil attracts the armature. */
function isHolding(r: Relay): boolean {
  return (r.driven || r.lingersUntil > 0) && !r.isCoilOpen;
}

/** Brings the contact up to `now`. */
export function settleRelay(r: Relay, now: number): void {
  if ((r.driven || r.lingersUntil > 0) && now >= holdEnd(r)) {
    const at = holdEnd(r);
    r.timedOut = at >= hardwareEnd(r);
    letGo(r, at);
  }
  if (r.openCoils.length > 0) followCoil(r, now);
  const pullAt = r.changedAt + PULL_MS;
  const dropAt = Math.max(r.changedAt + DROP_MS, r.stuckUntil);
  const holds = isHolding(r);
  if (holds && !r.pulled && now >= pullAt && !isWelded(r, r.changedAt)) move(r, true, pullAt);
  if (!holds && r.pulled && now >= dropAt) move(r, false, dropAt);
  r.settledAt = now;
  r.open = r.pulled !== (chatter(r, now) % 2 === 1);
}

/** Whether the contact is held open and at rest, as of the last settle. */
export function isHeldOpen(r: Relay): boolean {
  return isHolding(r) && r.pulled && chatter(r, r.settledAt) < 0;
}

/** Until when a contact held open stays open while its lease is renewed. */
export function heldUntil(r: Relay): number {
  const end = r.lingersUntil > 0 ? r.lingersUntil : hardwareEnd(r);
  return Math.min(end, faultEdgeAfter(r.openCoils, r.settledAt));
}

/** Next instant at which the contact may move by itself; infinite when none. */
export function relayChangeAt(r: Relay): number {
  const half = chatter(r, r.settledAt);
  const chatterAt = half < 0 ? NEVER : r.movedAt + (half + 1) * CHATTER_MS;
  const coilAt =
    (r.driven || r.lingersUntil > 0) && r.openCoils.length > 0
      ? faultEdgeAfter(r.openCoils, r.settledAt)
      : NEVER;
  return Math.min(chatterAt, coilAt, armatureChangeAt(r));
}

function armatureChangeAt(r: Relay): number {
  if (isHolding(r)) return r.pulled || isWelded(r, r.changedAt) ? holdEnd(r) : r.changedAt + PULL_MS;
  const dropAt = r.pulled ? Math.max(r.changedAt + DROP_MS, r.stuckUntil) : NEVER;
  return r.driven || r.lingersUntil > 0 ? Math.min(dropAt, holdEnd(r)) : dropAt;
}
