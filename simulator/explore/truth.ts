// What truly happens in a world, tracked independently of the core.
import { Ending, Phase, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { LAMP_MILLIAMPS, SMALL, TICK } from './small';
import { RelayMode, type World } from './world';

export function isSupplied(w: World): boolean {
  return w.mains === 1 && w.contactOpen === 0 && w.key === 0;
}

/** The contact follows the coil one turn later, unless it is welded shut, sticks open or hangs. */
export function settleContact(w: World): void {
  const isHeld = w.relay === RelayMode.Guarded && w.core.ending !== Ending.All;
  const wished = w.core.drive || isHeld;
  if (w.relay === RelayMode.Welded) w.contactOpen = 0;
  else if (wished) {
    w.contactOpen = 1;
    if (w.relay === RelayMode.Hung) w.relay = RelayMode.Sound;
  } else if (w.relay === RelayMode.Hanging) {
    if (w.contactOpen) w.relay = RelayMode.Hung;
  } else if (w.relay !== RelayMode.Sticking && w.relay !== RelayMode.Hung) w.contactOpen = 0;
}

/** A function test that was not extended takes little from the batteries. */
function owedAfter(w: World, goneMs: number): number {
  const plain = SMALL.briefSec * 1000;
  const isShort =
    w.drivenKind === TestKind.Brief &&
    w.drivenLimitMs === plain &&
    goneMs <= plain + Limit.OpenProofMs + Limit.DipMs + TICK;
  return (isShort ? SMALL.briefRechargeSec : SMALL.rechargeSec) * 1000;
}

function followSupply(w: World): void {
  if (!isSupplied(w)) {
    if (w.lostSince < 0) w.lostSince = w.now;
    return;
  }
  // A break shorter than the senses' settling time takes nothing from the batteries.
  const goneMs = w.lostSince < 0 ? 0 : w.now - w.lostSince;
  if (goneMs > Limit.DebounceMs) w.suppliedSince = -1;
  w.lostSince = -1;
  if (w.suppliedSince >= 0) return;
  w.suppliedSince = w.now;
  w.owedMs = owedAfter(w, goneMs);
}

/**
 * Mains that return before their loss has settled have dipped; many dips in a row make the supply unsteady.
 */
function followMains(w: World): void {
  // It settles only in a turn that still sees it.
  if (w.mainsOnSince >= 0 && w.now - TICK - w.mainsOnSince >= Limit.DebounceMs) w.mainsGood = 1;
  if (!w.mains) {
    w.mainsOnSince = -1;
    if (w.mainsOffSince < 0) w.mainsOffSince = w.now;
    if (w.now - w.mainsOffSince >= Limit.DebounceMs) w.mainsGood = 0;
    return;
  }
  if (w.mainsOnSince < 0) w.mainsOnSince = w.now;
  if (w.mainsOffSince >= 0 && w.mainsGood) {
    w.dips = w.dips > 0 && w.now - w.dipAt <= Limit.DipSpanMs ? w.dips + 1 : 1;
    w.dipAt = w.now;
    if (w.dips >= Limit.UnsteadyDips || w.now < w.unsteadyUntil) {
      // That many dips do take something from the batteries.
      w.unsteadyUntil = w.now + Limit.SteadyMs;
      if (w.suppliedSince >= 0) w.suppliedSince = w.now;
      w.owedMs = SMALL.rechargeSec * 1000;
    }
  }
  w.mainsOffSince = -1;
}

/** Keeps the true state of supply, recharge, relay and people up to date. */
export function followTruth(w: World): void {
  followSupply(w);
  followMains(w);
  if (w.person) w.movedAt = w.now;
  const isShut = w.core.drive === 1 && w.contactOpen === 0;
  if (!isShut) w.shutSince = -1;
  else if (w.shutSince < 0) w.shutSince = w.now;
  // Exercising the coil during a fault changes nothing: the contact is open on its own.
  const isLetGo = w.core.drive === 0 || w.core.phase === Phase.Fault;
  const isStray = w.contactOpen === 1 && isLetGo;
  if (!isStray) w.straySince = -1;
  else if (w.straySince < 0) w.straySince = w.now;
  const missing = isStray && w.mains === 1 && w.key === 0;
  if (!missing) w.missingSince = -1;
  else if (w.missingSince < 0) w.missingSince = w.now;
}

export function fillInputs(w: World): void {
  const inputs = w.core.in;
  inputs.supplyA = w.mains;
  inputs.supplyB = isSupplied(w) ? 1 : 0;
  inputs.aux = w.aux ? w.contactOpen : 0;
  inputs.key = w.key;
  inputs.stop = w.stop;
  inputs.occupied = w.person;
  inputs.lamp[0] = isSupplied(w) || !w.lamp ? 0 : LAMP_MILLIAMPS;
  inputs.lamp[1] = isSupplied(w) ? 0 : LAMP_MILLIAMPS;
}

export function followDark(w: World): void {
  const core = w.core;
  if (core.t0 === 0 || core.drive === 0 || w.lamp === 1) {
    w.darkSince = -1;
    return;
  }
  if (w.now - w.bootAt - core.t0 < Limit.EarlyPointMs) return;
  w.everDark = 1;
  if (w.darkSince < 0) w.darkSince = w.now;
  if (w.now - w.darkSince >= Limit.DipMs + 2 * TICK) w.longDark = 1;
}

/** How far two honest answers may differ. The host's clock jumps much further. */
const HONEST_MS = 2 * Limit.TimeAnswerMs;

/** The host gives its time: a contradiction counts only when repeated half a minute later. */
export function followAnswer(w: World, isFirst: boolean): void {
  if (isFirst || Math.abs(w.hostOff - w.believedOff) <= HONEST_MS) {
    w.believedOff = w.hostOff;
    w.doubtSince = -1;
  } else if (w.doubtSince >= 0 && w.doubtOff === w.hostOff) {
    if (w.now - w.doubtSince < Limit.ClockConfirmMs) return;
    const direction = w.hostOff > w.believedOff ? 1 : -1;
    w.jumps = w.jumps * direction > 0 ? w.jumps + direction : direction;
    w.believedOff = w.hostOff;
    w.doubtSince = -1;
  } else {
    w.doubtOff = w.hostOff;
    w.doubtSince = w.now;
  }
}

/** What the board forgets with its memory, and what the journal keeps. */
export function followReset(w: World): void {
  w.bootAt = w.now;
  w.drivenSince = -1;
  // Nobody knows what happened to the batteries meanwhile, so the truth also requires a full recharge.
  w.suppliedSince = isSupplied(w) ? w.now : -1;
  w.lostSince = isSupplied(w) ? -1 : w.now;
  w.owedMs = SMALL.rechargeSec * 1000;
  // How much of a hold has passed is unknown: it starts again.
  w.heldUntil = w.heldDurableSec > 0 ? w.now + w.heldDurableSec * 1000 : 0;
  w.spent = w.spentDurable;
  w.orderedKind = TestKind.None;
  w.guardOwed = 0;
  w.remindedAt = -1;
  w.outageTold = 0;
  w.mainsGood = 0;
  w.mainsOnSince = -1;
  w.dips = 0;
  w.unsteadyUntil = 0;
  w.doubtSince = -1;
  w.jumps = 0;
  w.movedAt = w.now;
  w.dueSince = -1;
}
