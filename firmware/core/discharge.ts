// One opening, from the first reading on mains to the proven restore.
import { Ending, Fitted, OrderKind, Phase, Reason, TestKind } from '../contract/codes';
import { isTesterFault, Limit } from '../contract/limits';
import { beginCharge } from './charge';
import { clockErrorSec, utcAt } from './clock';
import { recordCurves } from './curves';
import { Read } from './inputs';
import { clearJudgement, closeJudgement, isAnyJudged, judgeSample } from './judgement';
import { concludeMains, isNoisy, lookOnMains } from './mainsLook';
import { mayStillOpen, testSec } from './permission';
import {
  eventRecord,
  intentRecord,
  lostResultRecord,
  orderRecord,
  queueRecord,
  resultRecord,
} from './records';
import { notOwnReason, openWindowEnd, satisfied, spendSlot } from './schedule';
import { hasSupply, isSupplied, isUnsupplied } from './senses';
import { type Core, enter, Sense, Stage, wakeBy } from './state';

/**
 * A tester fault, never one of a luminaire: the relay stays at rest until a person clears it. `arg` says which
 * guard or self-test, where the fault is one of these, else 0.
 */
export function raiseFault(s: Core, fault: Reason, arg: number, now: number): void {
  s.drive = 0;
  s.leaseUntil = 0;
  s.ending = Ending.All;
  s.sampleAt = 0;
  s.reason = fault;
  s.red = 1;
  s.supplyMissing = fault === Reason.RelayStuckOpen || fault === Reason.SupplyLost ? 1 : 0;
  s.alarmAt = now + Limit.AlarmRepeatMs;
  s.exercisesLeft = fault === Reason.RelayStuckOpen ? Limit.Exercises : 0;
  s.exerciseAt = now + Limit.FirstExerciseMs;
  queueRecord(s, eventRecord(s, 'fault', fault, arg, now));
  enter(s, Phase.Fault, now);
  s.wakeAt = now;
}

/** How long a guard may take to give the supply back, ms. */
function proofMs(ending: Ending): number {
  return ending === Ending.Enable ? Limit.EnableProofMs : Limit.DetectorProofMs;
}

/** Leaves the release to the guard whose turn it is, and to the others once its time is up. */
function proveGuard(s: Core, now: number): void {
  s.ending = (s.guard % (Ending.Count - 1)) + 1;
  s.leaseUntil = now + proofMs(s.ending);
}

/**
 * Ends the proof: every guard releases now. The guard is proven if the supply is back in time, and slow if
 * nothing but the relay has kept it away.
 */
export function endProof(s: Core, now: number): void {
  const isBack = s.raw[Sense.After] === 1 && s.rawAt[Sense.After] < s.leaseUntil;
  const isSteady = s.raw[Sense.Before] === 1 && s.rawAt[Sense.Before] <= s.releasedAt && !s.in.key;
  if (isBack || (isSteady && now >= s.leaseUntil)) {
    s.guard = s.ending;
    s.proof = s.ending;
    s.slow = isBack ? 0 : 1;
  }
  s.ending = Ending.All;
  s.leaseUntil = 0;
}

/** Ends an opening: the relay is released, and the verdicts are closed in the next turn. */
export function release(s: Core, end: Reason, now: number): void {
  s.drive = 0;
  s.leaseUntil = 0;
  s.sampleAt = 0;
  s.end = end;
  s.releasedAt = now;
  s.dischargeSec = s.t0 > 0 ? Math.floor((now - s.t0) / 1000) : 0;
  s.stage = Stage.Released;
  s.ending = Ending.All;
  s.proof = Ending.All;
  s.slow = 0;
  // Someone chose to end it: do not try again tonight.
  if (end >= Reason.OrderedRestore && end <= Reason.OrderedHold) spendSlot(s);
  s.wakeAt = now + Limit.LoopMs;
  if ((end === Reason.Complete || end === Reason.AllDark) && s.raw[Sense.After] === 0) proveGuard(s, now);
  enter(s, Phase.Restoring, now);
}

/**
 * The clock has jumped: a test that is outside every permitted window by the new time, or not in this circuit's
 * own time until its batteries are recharged, ends at once.
 */
export function endOutsideWindow(s: Core, now: number): void {
  if (!s.drive || s.phase === Phase.Fault) return;
  const rechargeSec = s.limitMs > s.set.briefSec * 1000 ? s.set.rechargeSec : s.set.briefRechargeSec;
  const chargedUtc = utcAt(s, s.openAt + s.limitMs) + Limit.OpenGraceSec + rechargeSec;
  const end =
    openWindowEnd(s, now) === 0
      ? Reason.OutsideWindow
      : notOwnReason(s, s.kind, utcAt(s, now), chargedUtc, clockErrorSec(s, now));
  if (end !== Reason.None) release(s, end, now);
}

/** Starts an opening that has just been permitted. */
export function prepareOpening(
  s: Core,
  kind: TestKind,
  plan: number,
  test: number,
  slot: number,
  windowEndUtc: number,
  now: number,
): void {
  s.kind = kind;
  s.testPlan = plan;
  s.test = test;
  s.slot = slot;
  s.windowEndUtc = windowEndUtc;
  s.limitMs = testSec(s, kind) * 1000;
  s.stage = Stage.LookingOnMains;
  s.t0 = 0;
  s.startedUtc = 0;
  s.dischargeSec = 0;
  s.openMs = -1;
  s.end = Reason.None;
  clearJudgement(s);
  s.waiting = Reason.None;
  s.sampleAt = now + Limit.SampleFastMs;
  s.wakeAt = s.sampleAt;
  enter(s, Phase.Opening, now);
}

/** Returns to rest without having opened: no intent was written, so no result is owed. */
export function cancelOpening(s: Core, now: number): void {
  s.sampleAt = 0;
  s.kind = TestKind.None;
  enter(s, Phase.Recharging, now);
  s.wakeAt = now;
}

/** A test by order is not tried again: the reason it was called off is recorded, and shown for a while. */
function tellCalledOff(s: Core, against: Reason, now: number): void {
  queueRecord(s, orderRecord(s, 'refused', 0, OrderKind.Test, s.kind, against, '', now));
  s.waiting = against;
  s.calledOffUntil = now + Limit.CalledOffShownMs;
}

function lookStep(s: Core, now: number): void {
  const against = mayStillOpen(s, now);
  if (against !== Reason.None) {
    if (s.test === 0) tellCalledOff(s, against, now);
    cancelOpening(s, now);
    return;
  }
  // Concluded in the turn after the last reading, to keep both turns short.
  if (s.preCount >= Limit.PreSamples && s.sampleAt === 0) {
    if (s.noise >= 0 && isNoisy(s)) {
      s.noise = -1;
      s.sampleAt = now + Limit.SampleFastMs;
      wakeBy(s, s.sampleAt);
      return;
    }
    concludeMains(s);
    s.stage = Stage.IntentWritten;
    queueRecord(s, intentRecord(s, now));
    return;
  }
  if (now >= s.sampleAt && s.in.read !== Read.NotYet) {
    // A module missed once is no finding: the look is taken again while there is time.
    if (s.in.read === Read.All || now - s.phaseAt > Limit.SampleGapMs) lookOnMains(s);
    s.sampleAt = now + Limit.SampleFastMs;
  }
  wakeBy(s, s.sampleAt);
  const isOver = s.noise >= 0 || now - s.phaseAt >= Limit.LookMs;
  if (s.preCount >= Limit.PreSamples && isOver) s.sampleAt = 0;
}

/** Whether the core waits for its intent to be durable. */
export function isIntentDue(s: Core): boolean {
  return s.phase === Phase.Opening && s.stage === Stage.IntentWritten;
}

/** The intent is durable (or not): only now may the supply be switched off. */
export function intentStored(s: Core, ok: number, now: number): void {
  if (!isIntentDue(s)) return;
  // Stored or not, it may be found in flash: this night's only try by the fallback schedule, as after a restart.
  if (s.testPlan === 0 && s.test > 0) s.fallbackNight = s.test;
  if (!ok) {
    // Its text keeps its number and may yet be found in flash: it has its result all the same.
    queueRecord(s, lostResultRecord(s, Reason.FlashFault, now));
    s.kind = TestKind.None;
    raiseFault(s, Reason.FlashFault, 0, now);
    return;
  }
  s.stage = Stage.WaitingForDark;
  s.openAt = now;
  s.autonomyBefore = s.autonomyAt;
  s.drive = 1;
  s.leaseUntil = now + Limit.LeaseMs;
  s.wakeAt = now + Limit.LoopMs;
  s.dirty = 1;
}

/** Why an opening must end at once, at whatever stage; None if it need not. */
function abortReason(s: Core, now: number): Reason {
  if (!hasSupply(s)) return Reason.Outage;
  if (now < s.unsteadyUntil) return Reason.Outage;
  if (s.in.stop) return Reason.StopInput;
  if (s.in.key) return Reason.KeyHold;
  if (s.set.shared && s.in.occupied) return Reason.Occupied;
  if (s.clockFault) return Reason.ClockFault;
  return Reason.None;
}

function beginDischarge(s: Core, now: number): void {
  s.t0 = s.rawAt[Sense.After];
  s.openMs = s.t0 - s.openAt;
  s.startedUtc = utcAt(s, s.t0);
  s.lastSampleAt = s.t0;
  s.sampleAt = now + Limit.SampleFastMs;
  s.wakeAt = s.sampleAt;
  enter(s, s.kind === TestKind.Brief ? Phase.Brief : Phase.Full, now);
}

function waitForDark(s: Core, now: number): void {
  const abort = abortReason(s, now);
  if (abort !== Reason.None) {
    release(s, abort, now);
    return;
  }
  if (isUnsupplied(s)) {
    beginDischarge(s, now);
    return;
  }
  if (now - s.openAt > Limit.OpenProofMs) {
    release(s, Reason.RelayStuckClosed, now);
    return;
  }
  s.leaseUntil = now + Limit.LeaseMs;
  wakeBy(s, now + Limit.LoopMs);
}

/**
 * Extends a running brief test by `seconds` for a walk-round: at most to the brief cap, and never past the
 * end of the window, nor in own hours so far that the full recharge it then needs has no room in them.
 * @returns None, or why not
 */
export function extendBrief(s: Core, seconds: number, now: number): Reason {
  if (s.phase !== Phase.Brief) return Reason.NothingToDo;
  const limitMs = s.limitMs + seconds * 1000;
  const error = clockErrorSec(s, now);
  const endUtc = utcAt(s, s.t0 + limitMs) + Limit.OpenGraceSec;
  if (!(seconds >= 1) || limitMs > s.set.briefCapSec * 1000 || endUtc + error > s.windowEndUtc)
    return Reason.OutOfBounds;
  const notOwn = notOwnReason(s, s.kind, utcAt(s, now), endUtc + s.set.rechargeSec, error);
  if (notOwn !== Reason.None) return notOwn;
  s.limitMs = limitMs;
  s.dirty = 1;
  return Reason.None;
}

export function openingStep(s: Core, now: number): void {
  if (s.stage === Stage.LookingOnMains) lookStep(s, now);
  else if (s.stage === Stage.WaitingForDark) waitForDark(s, now);
}

/** When the reading after one asked for at `asked` and taken now is due, monotonic ms. */
export function nextSampleAt(s: Core, asked: number, now: number): number {
  // A lamp is proven lit at its own end only by a reading there, all of it.
  const last = s.t0 + s.nextEndMs;
  const isFast = now - s.t0 < Limit.FullPointMs || s.dips > 0 || (now >= last && asked < last);
  let at = now + Limit.SampleFastMs;
  // Counted from when this one was asked for, because a reading may take its time.
  const periods = Math.floor((asked - s.t0) / Limit.SlowTurnMs) % Limit.SlowPeriods;
  const slow = asked + Limit.SampleSlowMs - periods * Limit.SampleFastMs;
  if (!isFast && slow > at) at = slow;
  return at > last - Limit.LoopMs && now < last ? last : at;
}

/** Takes the reading due now, if any. @returns what ends the test, or None. */
function sample(s: Core, now: number): Reason {
  if (now < s.sampleAt) return Reason.None;
  if (now - s.lastSampleAt > Limit.SampleGapMs) return Reason.SampleGap;
  if (s.in.read === Read.NotYet) return Reason.None;
  const asked = s.sampleAt;
  const verdict = judgeSample(s, now);
  s.sampleAt = nextSampleAt(s, asked, now);
  return verdict;
}

function isAtCap(s: Core, now: number): boolean {
  return now - s.openAt >= Limit.OpenCapSec * 1000;
}

/**
 * Whether the reading at the end has yet to come, or a module was missed in it. The relay then stays open a
 * little longer, within the grace of I1.
 * @param asked when the reading of this step was asked for
 */
function isAwaited(s: Core, asked: number, now: number): boolean {
  const isTaken = s.in.read !== Read.NotYet && now >= asked && asked - s.t0 >= s.limitMs;
  const isInTime = now - s.t0 < s.limitMs + Limit.SampleGapMs && !isAtCap(s, now);
  return s.undecided > 0 && (!isTaken || s.dips > 0) && isInTime;
}

/** Whether the test's time is up, whatever the state of its lamps. */
export function isTimeOver(s: Core, now: number): boolean {
  return now - s.t0 >= s.limitMs || isAtCap(s, now);
}

function auxDisagrees(s: Core, now: number): boolean {
  const isClosed = (s.set.fitted & Fitted.Aux) !== 0 && s.level[Sense.Aux] === 0;
  return isClosed && now - s.openAt > Limit.OpenProofMs;
}

/** Discharge: aborts first, then the reading, then the limits; the lease is renewed last. */
export function dischargeStep(s: Core, now: number): void {
  let end = abortReason(s, now);
  if (end === Reason.None && isSupplied(s)) end = Reason.RelayFellBack;
  if (end === Reason.None && auxDisagrees(s, now)) end = Reason.AuxDisagrees;
  // When the supply may just have returned on its own, or the mains have failed, a dark lamp proves nothing.
  const isSure = s.raw[Sense.After] === 0 && s.raw[Sense.Before] === 1;
  const asked = s.sampleAt;
  if (end === Reason.None && isSure) end = sample(s, now);
  else if (now >= s.sampleAt) s.sampleAt = now + Limit.LoopMs;
  const isOver = isTimeOver(s, now) && !(isSure && end === Reason.None && isAwaited(s, asked, now));
  // A change in the supply just before the end leaves the last moment unproven.
  if (isOver && end === Reason.None && s.undecided > 0) {
    if (s.raw[Sense.After] === 1) end = Reason.RelayFellBack;
    else if (s.raw[Sense.Before] === 0) end = Reason.Outage;
  }
  if ((end === Reason.None || end === Reason.AllDark) && isOver) end = Reason.Complete;
  if (end !== Reason.None) {
    release(s, end, now);
    return;
  }
  s.leaseUntil = now + Limit.LeaseMs;
  wakeBy(s, s.sampleAt);
}

/** Writes the one result of this opening and counts the test if it is complete. */
function writeResult(s: Core, restoreMs: number, now: number): void {
  // I4: if the queue is full, the newest of the other records is dropped.
  if (s.outCount >= Limit.QueuedRecords) s.outCount--;
  queueRecord(s, resultRecord(s, restoreMs, now));
  if ((s.end === Reason.Complete || s.end === Reason.AllDark) && isAnyJudged(s))
    satisfied(s, s.testPlan, s.test, s.kind, utcAt(s, now));
  s.dirty = 1;
}

/** After a brief test the batteries need little; after anything longer the full recharge is owed. */
function creditBrief(s: Core): void {
  if (s.kind !== TestKind.Brief || s.suppliedAt < 0) return;
  if (s.limitMs > s.set.briefSec * 1000) return;
  const brief = s.suppliedAt + s.set.briefRechargeSec * 1000;
  s.autonomyAt = brief > s.autonomyBefore ? brief : s.autonomyBefore;
}

function finish(s: Core, restoreMs: number, now: number): void {
  const end = s.end;
  writeResult(s, restoreMs, now);
  if (end !== Reason.Outage) creditBrief(s);
  beginCharge(s);
  s.kind = TestKind.None;
  if (isTesterFault(end)) raiseFault(s, end, 0, now);
  else if (s.slow) raiseFault(s, Reason.GuardSlow, s.proof, now);
  else enter(s, Phase.Recharging, now);
  s.wakeAt = now;
}

/** Supply proven back, or not in time (I6). */
export function restoreStep(s: Core, now: number): void {
  if (s.ending !== Ending.All) {
    const isOver = s.raw[Sense.After] === 1 || now >= s.leaseUntil;
    if (isOver || abortReason(s, now) !== Reason.None) endProof(s, now);
    else wakeBy(s, s.leaseUntil);
  }
  if (s.stage === Stage.Released) {
    s.stage = Stage.Closed;
    recordCurves(s);
    closeJudgement(s, s.end);
    s.wakeAt = now + Limit.LoopMs;
    return;
  }
  // A supply loss that has not settled yet must not pass for a supply that never failed.
  if (isSupplied(s) && s.raw[Sense.After] === 1) {
    const back = s.rawAt[Sense.After] - s.releasedAt;
    finish(s, back > 0 ? back : 0, now);
  } else if (!hasSupply(s) || s.in.key) {
    // An outage or the key in series keeps the supply off: the relay is not at fault.
    writeResult(s, -1, now);
    s.kind = TestKind.None;
    if (s.slow) raiseFault(s, Reason.GuardSlow, s.proof, now);
    else enter(s, Phase.Recharging, now);
    s.wakeAt = now;
  } else if (now - s.releasedAt >= Limit.RestoreProofMs) {
    writeResult(s, -1, now);
    s.kind = TestKind.None;
    raiseFault(s, Reason.RelayStuckOpen, 0, now);
  } else wakeBy(s, s.releasedAt + Limit.RestoreProofMs);
}
