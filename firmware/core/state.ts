// Everything the controller knows while it runs. One long-lived object, changed in place: cells are scarce on
// the board. Instants named ...At and t0 are monotonic ms; ...Utc are UTC seconds.
import { Ending, Phase, Reason, SelfTest, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { Column } from './draft';
import { type Inputs, newInputs } from './inputs';
import { newSettings, type Settings } from './settings';

/** Index of a debounced input. */
export const enum Sense {
  Before = 0,
  After = 1,
  Aux = 2,
}

/** Stage within an opening. */
export const enum Stage {
  LookingOnMains = 0,
  IntentWritten = 1,
  WaitingForDark = 2,
  /** The relay was released; the verdicts are yet to be closed. */
  Released = 3,
  Closed = 4,
}

export interface Core {
  in: Inputs;
  set: Settings;

  phase: Phase;
  phaseAt: number;
  /** Tester fault or reason of the hold. */
  reason: Reason;
  /** Why a due test is not starting, or why one by order was called off. */
  waiting: Reason;
  /** Until when the latter is shown; 0: there is none. */
  calledOffUntil: number;
  /** When the core wants the next step. */
  wakeAt: number;
  /** When it wants a fresh lamp reading; 0 none. */
  sampleAt: number;

  /** Requested relay level: 1 holds the coil, which switches the supply off. */
  drive: number;
  /** Until when the request, or the ending, is valid. */
  leaseUntil: number;
  /** The guard that alone releases the relay now; 0: all of them. */
  ending: Ending;
  /** The guard tried last, the one tried at the end of this test, 0 none, and 1: it was slow. */
  guard: Ending;
  proof: Ending;
  slow: number;
  red: number;
  alarmAt: number;
  /** 1: in a fault that began with the supply missing, until it returns. */
  supplyMissing: number;
  /** 1: the state message is out of date. */
  dirty: number;
  /** Record bodies waiting for the journal, in order; `outCount` of them are valid. */
  out: string[];
  outCount: number;

  boot: number;
  clockSet: number;
  /** UTC ms minus monotonic ms. */
  utcBase: number;
  syncAt: number;
  /** `utcBase` when the clock was last set, last jumped or was last compared some hours on. */
  anchorBase: number;
  anchorAt: number;
  /** What a contradicting answer said, and when; 0: none contradicts the clock. */
  doubtBase: number;
  doubtAt: number;
  /** Jumps in one direction, negative for backwards, and when the first of them was. */
  jumps: number;
  jumpsAt: number;
  /** 1: the clock's rate is wrong. */
  clockFault: number;
  /** The self-test that found a fault (SelfTest), 0 none. */
  selfTest: SelfTest;
  /** When the clock chip is next compared with the clock; 0: no chip is fitted. */
  chipAt: number;
  /** UTC second at which the chip was last set to signed time; 0: it is not to be trusted. */
  chipSetUtc: number;
  /** Error of the chip when the clock was started from it, s; 0: the clock has signed time. */
  chipErrorSec: number;
  /** When it is next recorded that the clock is not set. */
  untimedAt: number;

  raw: Int8Array;
  level: Int8Array;
  rawAt: Float64Array;
  seenStop: number;
  seenKey: number;
  seenOccupied: number;
  /** Since when the luminaires have had uninterrupted supply; -1 while they have none. */
  suppliedAt: number;
  /** When full autonomy is expected back. */
  autonomyAt: number;
  /** The same as expected before the current test began. */
  autonomyBefore: number;
  /** Last movement seen in the area. */
  movedAt: number;
  /** When the current outage was seen; 0: none. */
  outageAt: number;
  /** Short supply dips in a row, the last of them, and until when the supply counts as unsteady. */
  supplyDips: number;
  supplyDipAt: number;
  unsteadyUntil: number;
  /** Remaining exercises of a stuck contact's coil, and when the next is due. */
  exercisesLeft: number;
  exerciseAt: number;
  /** When the current hold was last reported. */
  remindedAt: number;
  holdUntil: number;
  /** 1: the journal has room for an opening and its result. */
  journalReady: number;

  planRevision: number;
  planUntil: number;
  slotCount: number;
  /** Flat rows of test, kind, start, end: as many as the plan in force has room for. */
  slots: Uint32Array;
  slotState: Uint8Array;
  overdue: number;
  lastBriefUtc: number;
  lastLongUtc: number;
  /** Night in which the fallback schedule had its attempt. */
  fallbackNight: number;
  /** 1: reported that even the fallback schedule is overdue. */
  fallbackTold: number;

  kind: TestKind;
  test: number;
  testPlan: number;
  /** Slot of the running test; -1 for an order or the fallback schedule. */
  slot: number;
  stage: Stage;
  windowEndUtc: number;
  limitMs: number;
  openAt: number;
  t0: number;
  startedUtc: number;
  releasedAt: number;
  dischargeSec: number;
  end: Reason;
  openMs: number;
  preCount: number;
  /** How far the first readings on mains were apart, all together, mA; -1: so far that more are taken. */
  noise: number;
  lastSampleAt: number;
  judgedEarly: number;
  judgedFull: number;
  dips: number;
  /** How much the reading counts that is being judged, and the lamp at which judging it begins. */
  weight: number;
  from: number;
  undecided: number;
  /** Instant of the discharge, ms, at which the next lamp still open may pass. */
  nextEndMs: number;
  /** Seconds between two readings for the curves, and the number of the next one. */
  curveGridSec: number;
  curveNext: number;

  /** Recharge watch (charge.ts): next check, 0 none; since when; s between checks; mA at the first. */
  chargeAt: number;
  chargeSince: number;
  chargeStepSec: number;
  chargeFirst: number;
  chargeCurve: Uint8Array;

  verdict: Uint8Array;
  why: Uint8Array;
  finding: Uint8Array;
  /** What still needs checking on a lamp (judgement.ts). */
  marks: Uint8Array;
  /** Raw reading at or above which a lamp needs no closer look. */
  quick: Int16Array;
  litSec: Uint16Array;
  zero: Int16Array;
  /** Sum, then mean of the readings on mains. */
  sum: Int32Array;
  ma: Int16Array;
  at5: Int16Array;
  at60: Int16Array;
  /** What a lamp's readings together lack to its level, mA (judgement.ts). */
  fall: Uint16Array;
  /** When the latest fall began, turns of the loop after t0. */
  fallAt: Uint16Array;
  /** While a sensor gives no reading: when it last gave one, ms after t0. */
  heardAt: Uint32Array;
  /**
   * Curve points (curves.ts): points, how many of them are settled, half width of the door, %, and its
   * slopes.
   */
  curve: Uint16Array;
  curveSettled: Uint8Array;
  curveDoor: Uint8Array;
  doorLow: Int32Array;
  doorHigh: Int32Array;
}

/** A controller in its initial state: relay at rest, clock unset, not commissioned. */
export function newCore(boot: number): Core {
  const n = Limit.Luminaires;
  return {
    in: newInputs(),
    set: newSettings(),
    phase: Phase.Starting,
    phaseAt: 0,
    reason: Reason.None,
    waiting: Reason.None,
    calledOffUntil: 0,
    wakeAt: 0,
    sampleAt: 0,
    drive: 0,
    leaseUntil: 0,
    ending: Ending.All,
    guard: Ending.All,
    proof: Ending.All,
    slow: 0,
    red: 0,
    alarmAt: 0,
    supplyMissing: 0,
    dirty: 1,
    out: [],
    outCount: 0,
    boot: boot,
    clockSet: 0,
    utcBase: 0,
    syncAt: 0,
    anchorBase: 0,
    anchorAt: 0,
    doubtBase: 0,
    doubtAt: 0,
    jumps: 0,
    jumpsAt: 0,
    clockFault: 0,
    selfTest: SelfTest.None,
    chipAt: 0,
    chipSetUtc: 0,
    chipErrorSec: 0,
    untimedAt: Limit.UntimedFirstMs,
    raw: new Int8Array([-1, -1, -1]),
    level: new Int8Array([-1, -1, -1]),
    rawAt: new Float64Array(3),
    seenStop: 0,
    seenKey: 0,
    seenOccupied: 0,
    suppliedAt: -1,
    autonomyAt: 0,
    autonomyBefore: 0,
    movedAt: 0,
    outageAt: 0,
    supplyDips: 0,
    supplyDipAt: 0,
    unsteadyUntil: 0,
    exercisesLeft: 0,
    exerciseAt: 0,
    remindedAt: 0,
    holdUntil: 0,
    journalReady: 0,
    planRevision: 0,
    planUntil: 0,
    slotCount: 0,
    slots: new Uint32Array(Limit.PlanSlots * Column.Count),
    slotState: new Uint8Array(Limit.PlanSlots),
    overdue: 0,
    lastBriefUtc: 0,
    lastLongUtc: 0,
    fallbackNight: -1,
    fallbackTold: 0,
    kind: TestKind.None,
    test: 0,
    testPlan: 0,
    slot: -1,
    stage: Stage.LookingOnMains,
    windowEndUtc: 0,
    limitMs: 0,
    openAt: 0,
    t0: 0,
    startedUtc: 0,
    releasedAt: 0,
    dischargeSec: 0,
    end: Reason.None,
    openMs: -1,
    preCount: 0,
    noise: 0,
    lastSampleAt: 0,
    judgedEarly: 0,
    judgedFull: 0,
    dips: 0,
    weight: 1,
    from: 0,
    undecided: 0,
    nextEndMs: 0,
    curveGridSec: 0,
    curveNext: 0,
    chargeAt: 0,
    chargeSince: 0,
    chargeStepSec: 0,
    chargeFirst: 0,
    chargeCurve: new Uint8Array(Limit.ChargeLooks + 1),
    verdict: new Uint8Array(n),
    why: new Uint8Array(n),
    finding: new Uint8Array(n),
    marks: new Uint8Array(n),
    quick: new Int16Array(n),
    litSec: new Uint16Array(n),
    zero: new Int16Array(n),
    sum: new Int32Array(n),
    ma: new Int16Array(n),
    at5: new Int16Array(n),
    at60: new Int16Array(n),
    fall: new Uint16Array(n),
    fallAt: new Uint16Array(n),
    heardAt: new Uint32Array(n),
    curve: new Uint16Array(n * Limit.CurvePoints),
    curveSettled: new Uint8Array(n),
    curveDoor: new Uint8Array(n),
    doorLow: new Int32Array(n),
    doorHigh: new Int32Array(n),
  };
}

/** Asks for a step no later than `at`. */
export function wakeBy(s: Core, at: number): void {
  if (at < s.wakeAt) s.wakeAt = at;
}

/** Enters a phase; the state message becomes due. */
export function enter(s: Core, phase: Phase, now: number): void {
  s.phase = phase;
  s.phaseAt = now;
  s.dirty = 1;
}

/** Whether only the plan, the recharge and orders can cause action. */
export function isAtRest(s: Core): boolean {
  return s.phase === Phase.Charged || s.phase === Phase.Recharging;
}

/** Whether the phase is one in which the relay may be driven open. */
export function isDischarging(s: Core): boolean {
  return s.phase === Phase.Brief || s.phase === Phase.Full;
}
