// What must never happen, and what must: the demands that the true state of the world makes on the core.
import { Ending, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { utcAt } from '../../firmware/core/clock';
import { isDischarging } from '../../firmware/core/state';
import { BASE_UTC, SMALL, TICK, testSecOf, type WorldOptions } from './small';
import { bitOf, breach, FALLBACK_BIT, RelayMode, type World } from './world';

/** The second of the night, as far as the controller may rightly know it. */
function localSec(w: World): number {
  return (w.now + w.believedOff) / 1000;
}

function inWindow(w: World): boolean {
  const sec = localSec(w);
  const { slots, until, hours } = w.times;
  const fallback = hours ?? w.times.fallback;
  if (fallback && sec >= until) return sec >= fallback.from && sec < fallback.to;
  return slots.some((slot) => sec >= slot.from && sec < slot.to);
}

/** Recharge that a function test owes, s: the full one once it was lengthened. */
function briefOwedSec(w: World): number {
  return w.drivenLimitMs > SMALL.briefSec * 1000 ? SMALL.rechargeSec : SMALL.briefRechargeSec;
}

/** I7 in a night that is shared with neighbours: at this moment a discharge and its recharge are in own hours. */
function checkHours(w: World): void {
  const { hours } = w.times;
  if (!hours) return;
  if (w.drivenKind !== TestKind.Brief) breach(w, 'I7 more than a function test in a shared night');
  if (localSec(w) < hours.from) breach(w, 'I7 the coil is held before own hours');
  if (localSec(w) + briefOwedSec(w) > hours.to) breach(w, 'I7 own hours leave no room for the recharge');
}

/** Unbroken supply that the batteries need before a test of this kind, ms. */
function owedMs(w: World): number {
  if (w.drivenKind === TestKind.Commissioning) return SMALL.firstChargeSec * 1000;
  return w.drivenKind === TestKind.Brief ? w.owedMs : SMALL.rechargeSec * 1000;
}

function checkSupplyAtOpening(w: World): void {
  if (!w.mains) breach(w, 'I2 opened during an outage');
  if (w.now < w.unsteadyUntil) breach(w, 'I2 opened on an unsteady supply');
  if (w.contactOpen) breach(w, 'I2 opened a contact that was open already');
  if (w.lostSince >= 0) breach(w, 'I2 opened while the luminaires had no supply');
  const charged = w.suppliedSince >= 0 ? w.now - w.suppliedSince : 0;
  // The core counts from the first reading that shows the supply back.
  if (charged + TICK < owedMs(w)) breach(w, 'I2 opened before the batteries were recharged');
}

function checkDuty(w: World): void {
  const { core } = w;
  const bit = bitOf(core.testPlan, core.test);
  if (bit & (w.spent | w.spentDurable))
    breach(w, 'a test that was ordered off was begun again in the same window');
  if (bit & w.satisfied) breach(w, 'a test that was completed was begun again');
  if (bit === 0 && w.orderedKind !== core.kind) breach(w, 'I5 opened for a test that nobody asked for');
  const slot = w.times.slots.find(({ test }) => test === bit);
  if (slot && slot.kind !== core.kind) breach(w, 'opened for another kind of test than the plan asks for');
}

/** I2, I4, I5 and I7 at the instant the coil is first driven. */
function checkOpening(w: World, options: WorldOptions): void {
  const { core } = w;
  w.drivenSince = w.now;
  w.drivenKind = core.kind;
  w.drivenLimitMs = testSecOf(core.kind) * 1000;
  w.everDark = 0;
  w.longDark = 0;
  w.darkSince = -1;
  if (!inWindow(w)) breach(w, 'I2 opened outside every permitted window');
  if (!core.clockSet) breach(w, 'I2 opened with a clock that was never set');
  if (w.doubtSince >= 0 && w.now - w.doubtSince < Limit.ClockDoubtMs)
    breach(w, 'I2 opened by a clock that an answer contradicts');
  if (Math.abs(w.jumps) >= Limit.ClockJumps) breach(w, 'I2 opened by a clock whose rate is wrong');
  if (w.key || w.stop) breach(w, 'I2 opened with key or stop active');
  if (options.shared && w.person) breach(w, 'I2 opened a shared circuit with a person in its area');
  if (w.faultOpen) breach(w, 'I2 opened with a tester fault that nobody cleared');
  if (options.foreign) breach(w, 'I7 opened on a night that is not its own');
  if (w.now < w.heldUntil) breach(w, 'I2 opened while held by order');
  if (w.intentOpen !== 1) breach(w, 'I4 opened without a durable intent');
  checkSupplyAtOpening(w);
  checkDuty(w);
  w.orderedKind = TestKind.None;
}

/** I6: a contact that stays open after the coil is released is a fault within 5 s, and shown. */
function checkMissing(w: World): void {
  if (w.missingSince < 0) return;
  const since = Math.max(w.missingSince, w.bootAt);
  // The senses settle at most twice: once for the start, once for the loss.
  if (w.now - since <= Limit.RestoreProofMs + 2 * Limit.DebounceMs + 3 * TICK) return;
  if (w.core.phase !== Phase.Fault) breach(w, 'I6 the supply is missing and no fault is raised');
  if (w.core.red === 0) breach(w, 'I6 the supply is missing and the red lamp is dark');
}

/** The one exception: the coil of a contact stuck open may be exercised for one second. */
function checkExercise(w: World, was: number, options: WorldOptions): void {
  if (!was) w.drivenSince = w.now;
  if (w.straySince < 0 || w.now - w.straySince < Limit.RestoreProofMs)
    breach(w, 'I2 the coil is driven in a tester fault although the contact does not stand open by itself');
  if (w.now - w.drivenSince > Limit.ExerciseMs) breach(w, 'I6 the coil is exercised for more than a second');
  if (w.stop || w.key || !w.mains) breach(w, 'I6 the coil is exercised in spite of stop, key or outage');
  if (options.shared && w.person) breach(w, 'I6 the coil is exercised with a person in a shared area');
}

function checkHeldCoil(w: World, options: WorldOptions): void {
  const { core } = w;
  const settled = Limit.DebounceMs + 2 * TICK;
  if (w.now < w.heldUntil) breach(w, 'I2 the coil is held although somebody ordered a hold');
  if (w.mainsOffSince >= 0 && w.now - w.mainsOffSince > settled)
    breach(w, 'I2 the coil is held through an outage');
  if (w.now < w.unsteadyUntil && w.now - w.dipAt > TICK)
    breach(w, 'I2 the coil is held through an unsteady supply');
  if (isDischarging(core) && w.shutSince >= 0 && w.now - w.shutSince > settled)
    breach(w, 'I8 the test goes on although the supply is back');
  if (w.stop || w.key) breach(w, 'I2 the coil is held with stop or key active');
  if (options.shared && w.person)
    breach(w, 'I2 the coil of a shared circuit is held with a person in its area');
  if (!inWindow(w)) breach(w, 'I2 the coil is held beyond the window');
  checkHours(w);
  // A lamp in a fall at its end is read for as long as a dip may last.
  const mostMs = w.drivenLimitMs + Limit.OpenProofMs + Limit.DebounceMs + Limit.DipMs + 3 * TICK;
  if (w.now - w.drivenSince > mostMs) breach(w, 'I1 the coil is held after the time of the test was over');
  if (core.leaseUntil < w.now - w.bootAt) breach(w, 'I1 the coil is held without a lease');
}

/** A guard whose time is up while nothing but the relay keeps the supply away owes a tester fault. */
export function checkGuard(w: World, was: Ending): void {
  const { core } = w;
  if (core.ending !== Ending.All && was !== Ending.All && core.in.supplyB === 1)
    breach(w, 'I3 a guard is still on trial although the supply is back');
  if (was === Ending.All || core.ending !== Ending.All || !w.contactOpen || !w.mains || w.key) return;
  const releasedAt = core.releasedAt + w.bootAt;
  const isSteady = w.mainsOnSince >= 0 && w.mainsOnSince <= releasedAt && !w.stop;
  const mostMs = was === Ending.Enable ? Limit.EnableProofMs : Limit.DetectorProofMs;
  if (isSteady && w.now - releasedAt >= mostMs) w.guardOwed = 1;
}

function checkGuardOwed(w: World): void {
  if (!w.guardOwed || w.core.kind !== TestKind.None) return;
  w.guardOwed = 0;
  if (w.core.phase !== Phase.Fault) breach(w, 'a guard that did not release the relay is no tester fault');
}

/** What must hold whenever the coil is driven, and after it is released. */
export function checkDrive(w: World, was: number, options: WorldOptions): void {
  const { core } = w;
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
  if (core.drive) checkHeldCoil(w, options);
  else checkMissing(w);
}

/** An accepted walk-round extends a function test to its cap at most. */
export function checkExtension(w: World, seconds: number): void {
  w.drivenLimitMs += seconds * 1000;
  if (w.drivenKind !== TestKind.Brief || w.drivenSince < 0)
    breach(w, 'I5 something else than a running brief test was lengthened');
  if (w.drivenLimitMs > SMALL.briefCapSec * 1000) breach(w, 'I1 a brief test was lengthened beyond its cap');
  const { hours } = w.times;
  const latestSec = localSec(w) + (w.drivenLimitMs - (w.now - w.drivenSince)) / 1000 + Limit.OpenGraceSec;
  if (hours && latestSec + briefOwedSec(w) > hours.to)
    breach(w, 'I7 a walk-round leaves no room for its full recharge in own hours');
}

/**
 * I4: an opening that is over, by a reset or otherwise, has its result, or the result is waiting to be
 * written.
 */
function checkResultOwed(w: World): void {
  const isOver = w.core.kind === TestKind.None && w.core.outCount === 0;
  if (w.intentOpen && isOver) breach(w, 'I4 an opening that is over has no result');
}

/** Outages and holds are recorded, and a hold that has ended does not return. */
function checkTold(w: World): void {
  const settled = 2 * Limit.DebounceMs + 6 * TICK;
  const outMs = w.mainsOffSince < 0 ? 0 : w.now - Math.max(w.mainsOffSince, w.bootAt);
  if (outMs > settled && !w.outageTold && w.core.outCount === 0) breach(w, 'an outage is not recorded');
  if (w.core.phase !== Phase.Held) return;
  if (w.core.reason === Reason.OrderedHold && w.now > w.heldUntil + 2 * TICK)
    breach(w, 'a hold goes on although it is over');
  const isUrgent = w.core.outCount === 0 && !w.core.in.supplyB;
  if (isUrgent && w.remindedAt >= 0 && w.now - w.remindedAt > Limit.UnsuppliedReminderMs + 2 * TICK)
    breach(w, 'a hold that keeps the supply away has no reminder');
}

/** The clock follows only what it may believe. */
function checkClock(w: World): void {
  if (w.core.clockSet && utcAt(w.core, w.now - w.bootAt) !== BASE_UTC + Math.floor(localSec(w)))
    breach(w, 'the clock shows a time that it should not believe');
}

/** A test that is due, by the plan or the fallback schedule, and fits its window. */
function isDue(w: World): boolean {
  const sec = localSec(w);
  const done = w.satisfied | w.spent | w.spentDurable | w.toldOverdue;
  const { slots, until, fallback, hours } = w.times;
  const fits = (from: number, to: number, takesSec: number) =>
    sec >= from + 3 && sec + takesSec + Limit.OpenGraceSec + 3 < to;
  const hasRoom = (from: number, to: number, kind: TestKind) =>
    fits(from, to, testSecOf(kind)) &&
    (!hours || fits(hours.from, hours.to, SMALL.briefSec + SMALL.briefRechargeSec));
  if (sec < until)
    return slots.some(
      ({ test, kind, from, to }) => kind !== TestKind.None && !(done & test) && hasRoom(from, to, kind),
    );
  if (!fallback || done & FALLBACK_BIT || w.fallbackDone) return false;
  return !w.wantedDone && hasRoom(fallback.from, fallback.to, hours ? TestKind.Brief : TestKind.Full);
}

/** Whether nothing at all prevents a test. */
function isFree(w: World, options: WorldOptions): boolean {
  if (!w.mains || w.key || w.stop || w.faultOpen || w.intentOpen || w.contactOpen || w.lostSince >= 0)
    return false;
  if (options.foreign || !w.core.clockSet || w.doubtSince >= 0 || w.hostOff !== 0) return false;
  if (w.relay !== RelayMode.Sound || !w.aux || w.core.outCount > 0) return false;
  if (w.now < w.heldUntil || w.now < w.unsteadyUntil) return false;
  if (options.shared && (w.person || w.now - w.movedAt <= SMALL.emptySec * 1000)) return false;
  return w.suppliedSince >= 0 && w.now - w.suppliedSince >= SMALL.rechargeSec * 1000;
}

/** I9: tests do not stop silently. */
function checkBegun(w: World, options: WorldOptions): void {
  if (w.core.drive || !isDue(w) || !isFree(w, options)) w.dueSince = -1;
  else if (w.dueSince < 0) w.dueSince = w.now;
  else if (w.now - w.dueSince > Limit.AskAgainMs + 3000) breach(w, 'I9 a test that is due is not begun');
}

/**
 * An ordered test that never opens is reported: by a tester fault, or by a record, which waits for its turn
 * here.
 */
function checkCalledOff(w: World): void {
  const { core } = w;
  if (core.kind !== TestKind.None || w.orderedKind === TestKind.None) return;
  w.orderedKind = TestKind.None;
  const told = core.out.slice(0, core.outCount).some((text) => text.includes('"kind":"refused"'));
  if (core.phase !== Phase.Fault && !told) breach(w, 'a test by order is called off in silence');
}

/** What must hold after every turn. */
export function checkTurn(w: World, options: WorldOptions): void {
  checkCalledOff(w);
  checkGuardOwed(w);
  checkResultOwed(w);
  checkTold(w);
  checkClock(w);
  checkBegun(w, options);
  // A hold that is truly over must not be restored by a restart.
  if (w.heldDurableSec > 0 && w.now > w.heldUntil + 2 * TICK && w.core.outCount === 0) w.heldDurableSec = 0;
}
