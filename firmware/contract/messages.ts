// Messages between controller and host. Each is one flat JSON object of integers and short strings; all but
// `live` and `presence` are signed (signature.ts). Unknown fields are ignored.
import type { ClockTrust, Ending, OrderKind, Phase, Reason, TestKind } from './codes';

// ---------------------------------------------------------------- host to controller

/** Topic `order`. A request: the controller's own rules decide. Never retained. */
export interface OrderMessage {
  v: number;
  /** Strictly rising per controller; a counter seen before means a replay. */
  counter: number;
  /** UTC second at which the order expires. */
  expires: number;
  do: OrderKind;
  /** Hold, Extend: seconds. Test: TestKind. Trace: characters. Otherwise 0. */
  arg: number;
  /** Who gave the order, 1-40 printable ASCII characters without quote or backslash. */
  who: string;
}

/**
 * Topic `plan`. Slots are rows `test,kind,wait,length;` (plan.ts): seconds from the start of the row before
 * (of the first row: from 1970), and seconds to its end. A row of kind 0 is a permitted window without a test
 * of its own: during it, someone on site may start tests by order.
 */
export interface PlanMessage {
  v: number;
  revision: number;
  /** UTC second until which the plan is valid; after that the fallback schedule applies. */
  until: number;
  slots: string;
}

/** Topic `settings`: everything the commissioned circuit needs to know. */
export interface SettingsMessage {
  v: number;
  revision: number;
  /** Length of the brief test, s. */
  briefSec: number;
  /** Uninterrupted supply needed after a full test, an outage or a start, s. */
  rechargeSec: number;
  /** Uninterrupted supply needed after a brief test, s. */
  briefRechargeSec: number;
  /** Uninterrupted supply needed before a commissioning test, s; missing or 0: `rechargeSec`. */
  firstChargeSec?: number;
  /** Length of the commissioning test at the longest rated duration, s; missing or 0: there is none. */
  commissionSec?: number;
  /** 1: the building is never empty, so the fallback schedule runs limited tests in place of full ones. */
  limited?: number;
  /** 50 % point and lit floor, % of the commissioned battery current. */
  earlyPercent: number;
  floorPercent: number;
  /** 1: the relay also switches off normal lighting; open only when proven empty. */
  shared: number;
  /** Seconds without movement that prove the area empty. */
  emptySec: number;
  /** Inputs that are wired, bit mask of Fitted. */
  fitted: number;
  /** Own nights (I7): (night - residue) mod cycle = 0, where night = floor((utc - noon) / 86400). */
  cycle: number;
  residue: number;
  noon: number;
  /**
   * Shared nights (I7): (night - sharedResidue) mod sharedCycle = 0. In one that is no own night, only function
   * tests may be made, and only if discharge and recharge lie inside own hours. Missing or 0: there are none.
   */
  sharedCycle?: number;
  sharedResidue?: number;
  /** Own hours in a shared night: second of the UTC day, and length, s. They end with the night at the latest. */
  hoursFrom?: number;
  hoursSec?: number;
  /** Fallback schedule once the plan has run out: second of the UTC day, length, intervals in days. */
  fallbackFrom: number;
  fallbackSec: number;
  briefDays: number;
  fullDays: number;
  /** Charging current of the circuit right after a full test, mA; missing: unknown. */
  chargeMilliamps?: number;
  /** Rows `mode,batteryMilliamps,mainsMilliamps,ratedSeconds;` (LampColumn), one per luminaire in sensor order. */
  lamps: string;
}

/** Topic `ack`: the log book holds every record of this journal up to and including `through`. */
export interface AckMessage {
  v: number;
  journal: string;
  through: number;
}

/** Topic `time`: answers the `up` of a state message; refused when that is older than 2 s. */
export interface TimeMessage {
  v: number;
  boot: number;
  up: number;
  /** UTC in ms at the moment of the answer. */
  utc: number;
}

// ---------------------------------------------------------------- controller to host

/** Topic `presence`, retained; `online` 0 is the last will. Not signed: a hint only. */
export interface PresenceMessage {
  v: number;
  online: 0 | 1;
}

/** Topic `state`, retained: heartbeat and every change of phase. */
export interface StateMessage {
  v: number;
  journal: string;
  boot: number;
  /** Monotonic ms since boot; the host answers it with the time. */
  up: number;
  /** UTC second, 0 if the clock was never set. */
  utc: number;
  clock: ClockTrust;
  phase: Phase;
  /** Tester fault or reason of the hold, else 0. */
  reason: Reason;
  /** Why a due test is not starting, else 0. */
  waiting: Reason;
  /** Supply, relay, red lamp and people: bit mask of StateBit. */
  bits: number;
  test: number;
  type: TestKind;
  /** UTC second when the discharge began, 0 if none. */
  since: number;
  /** UTC second when full autonomy is expected again, 0 when charged. */
  charged: number;
  /** Newest record written, newest record known to be in the log book. */
  last: number;
  acked: number;
  settings: number;
  plan: number;
  /** Tests in the plan whose last slot passed without a valid result. */
  overdue: number;
  /** Orders refused since boot. */
  refused: number;
}

/** Topic `live`, QoS 0, only while a test runs: one reading of every lamp. */
export interface LiveMessage {
  v: number;
  test: number;
  type: TestKind;
  /** Seconds since the supply was seen to go. */
  t: number;
  /** mA, zero offset removed, in sensor order. */
  ma: number[];
  /** Verdict so far, in sensor order. */
  verdict: number[];
}

/** Topic `reply`: the answer to an order. */
export interface ReplyMessage {
  v: number;
  counter: number;
  ok: 0 | 1;
  reason: Reason;
}

/** Fields common to all records (topic `record`); `prev` is the chain hash of the record before. */
export interface RecordBase {
  v: number;
  journal: string;
  seq: number;
  boot: number;
  utc: number;
  clock: ClockTrust;
  kind: string;
  prev: string;
  mac: string;
}

export interface StartRecord extends RecordBase {
  kind: 'start';
  /** Boot cause number where the board knows it, else 0. */
  cause: number;
  firmware: string;
}

/** Written and read back before the relay opens. */
export interface IntentRecord extends RecordBase {
  kind: 'intent';
  /** Revision of the plan the test belongs to; 0 for the fallback schedule or an order. */
  plan: number;
  /** Test number in the plan; 0 for a test by order. */
  test: number;
  type: TestKind;
}

/**
 * The one result of an opening. Each lamp is a row of ResultColumn: [verdict, reason, seconds lit, mA at 5 s,
 * mA at 60 s, mA at the end, mA on mains].
 */
export interface ResultRecord extends RecordBase {
  kind: 'result';
  plan: number;
  test: number;
  type: TestKind;
  /** Revision of the settings, which says which luminaires the rows of `lamps` describe. */
  settings: number;
  started: number;
  /** Seconds of discharge, from supply seen gone to supply ordered back. */
  seconds: number;
  end: Reason;
  /** ms from the order to the proof; -1 if never proven. */
  openMs: number;
  restoreMs: number;
  /** The guard that alone released the relay (Ending), 0 if none was proven; missing in older records. */
  guard?: Ending;
  lamps: number[][];
  /** All but brief tests: seconds between the readings of `curves`, one string per lamp (curve.ts, new form). */
  grid?: number;
  /** In records of older firmware, instead of `grid`: seconds per point of `curves` in the older form. */
  step?: number;
  curves?: string[];
}

type ClockKind = 'clock' | 'chip';

/** Fault, alarm, its clearing, outage, hold, overdue test: events a person should read. */
export interface EventRecord extends RecordBase {
  kind: 'fault' | 'cleared' | 'outage' | 'supply' | 'held' | 'reminder' | 'released' | 'overdue' | ClockKind;
  reason: Reason;
  /**
   * Outage, hold: seconds. Unsteady supply: dips. Overdue: test number. Fault by a self-test: which one
   * (SelfTest). Clock: seconds it was put forward, negative when it was put back. Chip: seconds the clock chip
   * was ahead, negative when it was behind, 0 when it does not answer (ClockFault) or was set (None).
   */
  arg: number;
  /** Overdue: revision of the plan, and kind of test, None if no test is made at all; missing in older records. */
  plan?: number;
  type?: TestKind;
}

/**
 * How the circuit charged after a test, where its charging current is measured. NoCharge: no current at the
 * first check, 60 s after the supply returned. Otherwise only after longer tests; SlowRecharge when the
 * current had not dropped by the end of the recharge time; fewer checks than 37 when the supply was
 * interrupted.
 */
export interface ChargeRecord extends RecordBase {
  kind: 'charge';
  reason: Reason;
  /** mA at the first check. */
  arg: number;
  plan: number;
  test: number;
  /** Seconds until the current had dropped to a half and to a fifth of the first check; -1 if not seen. */
  half: number;
  float: number;
  /**
   * Seconds between checks, and one character for each (curve.ts, older form), % of the commissioned current.
   */
  step: number;
  curve: string;
}

export interface OrderRecord extends RecordBase {
  kind: 'order' | 'refused';
  counter: number;
  do: number;
  arg: number;
  reason: Reason;
  who: string;
}

/** Part of a trace of the core's inputs (trace/recorder.ts), in the order of `part`. */
export interface TraceRecord extends RecordBase {
  kind: 'trace';
  part: number;
  /** Characters of room left after this part; 0: it is the last. */
  left: number;
  text: string;
}

export type AnyRecord =
  | StartRecord
  | IntentRecord
  | ResultRecord
  | EventRecord
  | ChargeRecord
  | OrderRecord
  | TraceRecord;
