// The numbers used on the wire and in flash. A code is never reused or renumbered. Numeric const enums: the
// compiler inlines them, so they cost the controller no memory.

/** What the controller is doing. */
export const enum Phase {
  Starting = 0,
  Charged = 1,
  Recharging = 2,
  Opening = 3,
  Brief = 4,
  Full = 5,
  Restoring = 6,
  Outage = 7,
  Held = 8,
  Fault = 9,
}

/**
 * Kind of test. A limited test discharges two thirds of the rated duration, for a building that is never
 * empty (IEC 62034:2012, 6.3.3.4, title; 2/3 our reading of ANSI news of 2006); it never counts as a full test. A
 * commissioning test lasts longer than rated (AS 2293.1: 1.33 times).
 */
export const enum TestKind {
  None = 0,
  Brief = 1,
  Full = 2,
  Limited = 3,
  Commissioning = 4,
}

/** Verdict on one luminaire in one test. `Open` exists only while the test runs. */
export const enum Verdict {
  Open = 0,
  Pass = 1,
  Fail = 2,
  Void = 3,
}

/**
 * Reasons: one table for the end of a test, the verdict on a lamp, a refusal to open and a tester fault. 1-19
 * luminaire findings, 20-49 ends and refusals with an outside cause, 50-69 tester faults (bounds in Limit),
 * 70-89 refusals by rule, 90-99 refusals of a message.
 */
export const enum Reason {
  None = 0,
  NotLitAtFiveSeconds = 1,
  SlowStart = 2,
  NotFullAtSixtySeconds = 3,
  EndedEarly = 4,
  LitOnMains = 5,
  DarkOnMains = 6,
  Flickers = 7,
  StayedOnMains = 8,
  TooMuchCurrent = 9,
  AllDark = 10,
  NoCharge = 11,
  SlowRecharge = 12,
  Complete = 19,
  Outage = 20,
  OrderedRestore = 21,
  StopInput = 22,
  KeyHold = 23,
  OrderedHold = 24,
  Occupied = 25,
  Reset = 26,
  SampleGap = 27,
  RelayStuckClosed = 50,
  RelayStuckOpen = 51,
  RelayFellBack = 52,
  AuxDisagrees = 53,
  SensorOffset = 54,
  SensorRange = 55,
  NoneLit = 56,
  Simultaneous = 57,
  FlashFault = 58,
  SupplyLost = 59,
  Watchdog = 60,
  SensorStuck = 61,
  ClockFault = 62,
  SensorSilent = 63,
  SensorSlow = 64,
  SensorClash = 65,
  SensorGarbled = 66,
  GuardSlow = 67,
  SelfTest = 68,
  NotCommissioned = 70,
  ClockUntrusted = 71,
  NotOwnNight = 72,
  OutsideWindow = 73,
  WindowTooShort = 74,
  StillRecharging = 75,
  NotProvenEmpty = 76,
  JournalFull = 77,
  Busy = 78,
  NothingToDo = 79,
  UnsteadySupply = 80,
  OutsideOwnHours = 81,
  BadSignature = 90,
  Replayed = 91,
  Stale = 92,
  Malformed = 93,
  WrongVersion = 94,
  OutOfBounds = 95,
  Retained = 96,
}

/** What an order may ask for. All but `Test` and `Extend` can only shorten, stop, hold, clear or record. */
export const enum OrderKind {
  Restore = 1,
  Hold = 2,
  Release = 3,
  ClearFault = 4,
  Test = 5,
  /** Extends a running brief test for a walk-round, up to its cap. */
  Extend = 6,
  /** Records the core's inputs around its next test (trace/recorder.ts). */
  Trace = 7,
  /** Sends every record that is still kept again, for a log book that was restored from an older copy. */
  SendAgain = 8,
}

/**
 * How a completed test releases the relay: by one of its guards alone, in turns, so that every test proves one
 * (docs/guards.md). Any other release uses all of them at once.
 */
export const enum Ending {
  /** By every guard at once. */
  All = 0,
  /** By the pulse detector: the pulses stop, low or high, and `enable` stays. */
  StopsLow = 1,
  StopsHigh = 2,
  /** By `enable`: it goes low, and the pulses continue. */
  Enable = 3,
  Count = 4,
}

/** What a self-test found wrong: the `arg` of a fault record with reason SelfTest. */
export const enum SelfTest {
  None = 0,
  /** The program in flash does not match its checksum. */
  Program = 1,
  Memory = 2,
  /** Every lamp sensor reads beyond its range at once. */
  Converter = 3,
  Stack = 4,
}

/** How far the civil clock can be trusted. */
export const enum ClockTrust {
  NeverSet = 0,
  Coasting = 1,
  Synchronised = 2,
}

/** Bits of `bits` in a state message. */
export const enum StateBit {
  /** Supply before and after the relay. */
  SupplyBefore = 1,
  SupplyAfter = 2,
  /** The relay is driven to open. */
  RelayOpen = 4,
  RedLamp = 8,
  Occupied = 16,
}

/** Bits of `fitted` in the settings: which inputs are wired. */
export const enum Fitted {
  Aux = 1,
  Occupancy = 2,
  Stop = 4,
  Key = 8,
  Charge = 16,
  All = Aux | Occupancy | Stop | Key | Charge,
}
