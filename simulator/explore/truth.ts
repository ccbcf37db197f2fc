// What truly happens in a world, kept independently of the core, and what must never happen.
import { Phase, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { type Core, isDischarging } from '../../firmware/core/state';
import { LAMP_MILLIAMPS, SMALL, TICK, type WorldOptions } from './small';
import { RelayMode, type World } from './world';

export function breach(w: World, what: string): void {
  if (w.broken === '') w.broken = what;
}

export function isSupplied(w: World): boolean {
  return w.mains === 1 && w.contactOpen === 0 && w.key === 0;
}

/** The contact follows the coil one turn later, unless it falls shut for good or sticks open. */
export function settleContact(w: World): void {
  const wished = w.core.drive;
  if (w.relay === RelayMode.Welded) w.contactOpen = 0;
  else if (wished) w.contactOpen = 1;
  else if (w.relay !== RelayMode.Sticking) w.contactOpen = 0;
}

/** Keeps the truth about supply, recharge and darkness up to date. */
export function followTruth(w: World): void {
  const supplied = isSupplied(w);
  if (supplied) {
    // A break shorter than the senses' settling time takes nothing out of the batteries.
    const goneMs = w.lostSince < 0 ? 0 : w.now - w.lostSince;
    if (goneMs > Limit.DebounceMs) w.suppliedSince = -1;
    w.lostSince = -1;
    if (w.suppliedSince < 0) {
      const short = w.drivenKind === TestKind.Brief && goneMs <= SMALL.briefSec * 1000 + Limit.OpenProofMs;
      w.suppliedSince = w.now;
      w.owedMs = (short ? SMALL.briefRechargeSec : SMALL.rechargeSec) * 1000;
    }
  } else if (w.lostSince < 0) w.lostSince = w.now;
  if (w.mains) w.mainsOffSince = -1;
  else if (w.mainsOffSince < 0) w.mainsOffSince = w.now;
  const isShut = w.core.drive === 1 && w.contactOpen === 0;
  if (!isShut) w.shutSince = -1;
  else if (w.shutSince < 0) w.shutSince = w.now;
  // Exercising the coil in a fault changes nothing: the contact stands open by itself.
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

function inWindow(w: World): boolean {
  const sec = w.now / 1000;
  return w.times.slots.some((slot) => sec >= slot.from && sec < slot.to);
}

/** I2 and I4 at the instant the coil is first driven. */
function checkOpening(w: World, options: WorldOptions): void {
  const core = w.core;
  const bit = core.testPlan === 1 ? core.test : 0;
  w.drivenSince = w.now;
  w.drivenKind = w.core.kind;
  w.everDark = 0;
  w.longDark = 0;
  w.darkSince = -1;
  if (!inWindow(w)) breach(w, 'I2 opened outside every permitted window');
  if (!w.core.clockSet) breach(w, 'I2 opened with a clock that was never set');
  if (!w.mains) breach(w, 'I2 opened during an outage');
  if (w.key || w.stop) breach(w, 'I2 opened with key or stop active');
  if (options.shared && w.person) breach(w, 'I2 opened a shared circuit with a person in its area');
  if (w.faultOpen) breach(w, 'I2 opened with a tester fault that nobody cleared');
  if (options.foreign) breach(w, 'I7 opened on a night that is not its own');
  if (w.now < w.heldUntil) breach(w, 'I2 opened while held by order');
  if (bit & w.spent) breach(w, 'a test that was ordered off was begun again in the same window');
  if (bit & w.satisfied) breach(w, 'a test that was completed was begun again');
  if (w.intentOpen !== 1) breach(w, 'I4 opened without a durable intent');
  if (w.contactOpen) breach(w, 'I2 opened a contact that was open already');
  const charged = w.suppliedSince >= 0 ? w.now - w.suppliedSince : 0;
  if (w.lostSince >= 0) breach(w, 'I2 opened while the luminaires had no supply');
  const owed = w.drivenKind === TestKind.Full ? SMALL.rechargeSec * 1000 : w.owedMs;
  // The core counts from the first reading of the returned supply.
  if (charged + TICK < owed) breach(w, 'I2 opened before the batteries were recharged');
}

/** I6: a contact that stays open with the coil dropped is a fault within 5 s, and shown. */
function checkMissing(w: World): void {
  if (w.missingSince < 0) return;
  const since = Math.max(w.missingSince, w.bootAt);
  // The senses settle twice at most: once for the start, once for the loss.
  if (w.now - since <= Limit.RestoreProofMs + 2 * Limit.DebounceMs + 3 * TICK) return;
  if (w.core.phase !== Phase.Fault) breach(w, 'I6 the supply is missing and no fault is raised');
  if (w.core.red === 0) breach(w, 'I6 the supply is missing and the red lamp is dark');
}

/** The one exception: the coil of a contact stuck open may be exercised for a second. */
function checkExercise(w: World, was: number, options: WorldOptions): void {
  if (!was) w.drivenSince = w.now;
  if (w.straySince < 0 || w.now - w.straySince < Limit.RestoreProofMs)
    breach(w, 'I2 the coil is driven in a tester fault although the contact does not stand open by itself');
  if (w.now - w.drivenSince > Limit.ExerciseMs) breach(w, 'I6 the coil is exercised for more than a second');
  if (w.stop || w.key || !w.mains) breach(w, 'I6 the coil is exercised in spite of stop, key or outage');
  if (options.shared && w.person) breach(w, 'I6 the coil is exercised with a person in a shared area');
}

/** What must hold whenever the coil is driven, and after it is let go. */
export function checkDrive(w: World, was: number, options: WorldOptions): void {
  const core = w.core;
  if (core.drive && core.phase === Phase.Fault) {
    checkExercise(w, was, options);
    checkMissing(w);
    return;
  }
  if (core.drive && !was) checkOpening(w, options);
  if (!core.drive && was) {
    w.drivenSince = -1;
    w.darkAtEnd = w.lamp ? 0 : 1;
  }
  if (!core.drive) {
    checkMissing(w);
    return;
  }
  const settled = Limit.DebounceMs + 2 * TICK;
  if (w.now < w.heldUntil) breach(w, 'I2 the coil is held although somebody ordered a hold');
  if (w.mainsOffSince >= 0 && w.now - w.mainsOffSince > settled)
    breach(w, 'I2 the coil is held through an outage');
  if (isDischarging(core) && w.shutSince >= 0 && w.now - w.shutSince > settled)
    breach(w, 'I8 the test goes on although the supply is back');
  if (w.stop || w.key) breach(w, 'I2 the coil is held with stop or key active');
  if (options.shared && w.person)
    breach(w, 'I2 the coil of a shared circuit is held with a person in its area');
  if (!inWindow(w)) breach(w, 'I2 the coil is held beyond the window');
  const limit = (w.drivenKind === TestKind.Full ? SMALL.fullSec : SMALL.briefSec) * 1000;
  if (w.now - w.drivenSince > limit + Limit.OpenProofMs + Limit.DebounceMs + 2 * TICK)
    breach(w, 'I1 the coil is held after the time of the test was over');
  if (core.leaseUntil < w.now - w.bootAt) breach(w, 'I1 the coil is held without a lease');
}

function verdictsOf(core: Core): { first: Verdict; second: Verdict } {
  return { first: core.verdict[0], second: core.verdict[1] };
}

/** I4 and I8 when a result is written. */
function checkResult(w: World, text: string): void {
  if (w.intentOpen !== 1) breach(w, 'I4 a result without an open intent');
  if (text.includes(`"end":${Reason.Reset},`)) return;
  const { first, second } = verdictsOf(w.core);
  if (first === Verdict.Open || second === Verdict.Open) breach(w, 'I8 a result with an undecided lamp');
  if (first === Verdict.Pass && w.longDark) breach(w, 'I8 a lamp passed that was dark for longer than a dip');
  if (first === Verdict.Pass && w.darkAtEnd) breach(w, 'I8 a lamp passed that was dark at the end');
  if (first === Verdict.Fail && !w.everDark) breach(w, 'I8 a lamp failed that was never dark');
  if (second === Verdict.Fail) breach(w, 'I8 the sound lamp failed');
  const whole = w.core.end === Reason.Complete;
  if (second === Verdict.Pass && !whole && w.core.end !== Reason.AllDark)
    breach(w, 'I8 a lamp passed in a test that was cut short');
}

/** I4: an opening that is over, also by a reset, has its result, or the result waits to be written. */
export function checkResultOwed(w: World): void {
  const isOver = w.core.kind === TestKind.None && w.core.outCount === 0;
  if (w.intentOpen && isOver) breach(w, 'I4 an opening that is over has no result');
}

/** Test of the plan that a record speaks of, as a bit. */
function bitOf(text: string): number {
  return text.includes('"test":1,') ? 1 : text.includes('"test":2,') ? 2 : 0;
}

function reasonOf(text: string): number {
  return Number(/"reason":(\d+)/.exec(text)?.[1]);
}

export function takeRecord(w: World, text: string): void {
  if (text.includes('"kind":"intent"')) {
    if (w.intentOpen) breach(w, 'I4 an intent while another is open');
    w.intentOpen = 1;
  } else if (text.includes('"kind":"result"')) {
    checkResult(w, text);
    w.intentOpen = 0;
    const ordered = /"end":2[1-4],/.test(text) && text.includes('"plan":1,');
    if (ordered) w.spentDurable |= bitOf(text);
    if (/"end":(19|10),/.test(text) && text.includes('"plan":1')) w.satisfied |= bitOf(text);
  } else if (text.includes('"kind":"fault"')) w.faultOpen = reasonOf(text);
  else if (text.includes('"kind":"cleared"')) w.faultOpen = 0;
  else if (text.includes('"kind":"overdue"')) w.toldOverdue |= text.includes('"arg":1,') ? 1 : 2;
  else return;
  w.journal = [...w.journal, text];
}
