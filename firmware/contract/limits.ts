// Every bound of the controller in one place, with its unit and its reason. "CP" = common practice, no
// source.

export const enum Limit {
  /** Luminaires on one circuit; the sensor multiplexer has 16 inputs. */
  Luminaires = 16,
  /** Longest opening compiled in, s: 3 h rated duration is the longest in common use (CP), plus margin. No setting or order can exceed it (I1). */
  OpenCapSec = 11700,
  /** Longest rated duration accepted in settings, s (3 h). */
  RatedSecMax = 10800,
  /** Shortest rated duration accepted in settings, s. */
  RatedSecMin = 900,
  /** I1: an opening may outlast the test's own limit by at most this, s. */
  OpenGraceSec = 60,
  /** Shortest brief test, s: the 60 s point of EN 1838 must fall inside. */
  BriefSecMin = 65,
  /** A brief test is at most 1/4 of the shortest rated duration, walk-round included (CIE 193:2010). */
  BriefShareOfRated = 4,
  /** Main loop period of the board, ms. The relay pulse toggles once per turn. */
  LoopMs = 250,
  /** Seconds without a turn of the loop after which the hardware resets the board. */
  WatchdogSec = 5,
  /**
   * The same for one connection attempt that may stop the loop, at rest only. TCP on the ESP32 gives up after
   * 18 s: 12 SYN of 1.5 s or 6 of 3 s (sdkconfig of the interpreter's builds).
   */
  ConnectSec = 60,
  /**
   * Such an attempt is not made when a test could begin within this, ms: five times the longest stop, so that
   * inputs, clock and readings are fresh when it begins.
   */
  QuietMs = 300000,
  /**
   * How long the relay lease outlives the step that renewed it, ms; longer than the slowest sample period.
   */
  LeaseMs = 3000,
  /** Sampling period in the first minute and near a threshold, ms. */
  SampleFastMs = 250,
  /**
   * Longest sampling period afterwards, ms: gives the end of duration to +-1 s (middle of two samples). It
   * changes between three in turns of about half a minute, so that the readings do not keep step with a lamp
   * that flickers.
   */
  SampleSlowMs = 2000,
  SlowPeriods = 3,
  SlowTurnMs = 32000,
  /** Longest gap between two samples that still counts as continuous evidence, ms. */
  SampleGapMs = 5000,
  /** 50 % of emergency output due by, ms: EN 1838 / IEC 60598-2-22 (5 s). */
  EarlyPointMs = 5000,
  /** 100 % of emergency output due by, ms: EN 1838 / IEC 60598-2-22 (60 s). */
  FullPointMs = 60000,
  /** A drop below the lit floor shorter than this is a dip, not the end of duration, ms (CP). */
  DipMs = 2000,
  /**
   * A lamp has ended when its readings together lack this many times its level: that many dark ones, which
   * takes `DipMs`; and at least this many mA, so that the noise of a sensor does not add up to it (CALC,
   * docs/judging.md).
   */
  FallReadings = DipMs / SampleFastMs + 1,
  FallMilliamps = 480,
  /** Until it is proven full, from the 60 s point on, it takes as many as this, from the middle half of them (the same). */
  FullReadings = 4,
  /** Most lamps looked at closely in one reading: a turn of the slowest board must stay short. */
  CloseLooks = 12,
  /** A reading that takes several turns counts for at most this many. */
  WeightMost = 4,
  /** Supply must be seen to go / return within, ms (I6: 5 s to prove the restore). */
  OpenProofMs = 2000,
  RestoreProofMs = 5000,
  /**
   * A guard proven at the end of a test must have given the supply back by then, ms: the pulse detector 1.5 s
   * after the last edge, `enable` with the relay's drop-out (docs/guards.md), each plus a turn to see it.
   */
  DetectorProofMs = 1750,
  EnableProofMs = 750,
  /** An input must hold its new level this long before it counts, ms. */
  DebounceMs = 500,
  /** Lamp readings on mains before the relay opens, for zero offset and lamp state, count. */
  PreSamples = 4,
  /**
   * Where they vary by more than this share of the smallest lamp's current, %, they go on for so long, ms: two
   * hundred of them leave a fourteenth of their noise in the zero offset (CALC, docs/judging.md).
   */
  NoisyPercent = 3,
  LookMs = 50000,
  /** If a dark lamp's sensor offset exceeds this share of the baseline, the sensor is not trusted, %. */
  OffsetPercent = 20,
  /** Below this share of the baseline a lamp counts as dark at 5 s rather than slow, %. */
  DarkPercent = 10,
  /**
   * A lamp's currents on mains and on battery tell which it is on if commissioned at least this share of the
   * larger apart, and read on mains this share of the one on battery from it, % (CP).
   */
  ApartPercent = 20,
  ChangePercent = 15,
  /**
   * By so much more than the baseline, %, and at least so many mA because of noise, in two of the readings at 5 s, at
   * 60 s and at the end, the current is not that of the lamp alone (CP).
   */
  MorePercent = 50,
  MoreMilliamps = 45,
  /** This many lamps failing in the same sample point to a tester fault (CP). */
  TogetherCount = 3,
  /**
   * Most points in the stored discharge curve of one luminaire; an older host accepts texts of 64 characters.
   */
  CurvePoints = 20,
  /** Readings that make up a curve, over the whole discharge. */
  CurveGrid = 360,
  /**
   * Most settled points (the newest reading follows them); most points at any time; grid places for one more.
   */
  CurveSettled = CurvePoints - 1,
  CurveEarly = 4,
  CurvePlaces = CurveGrid / (CurveSettled - CurveEarly),
  /** Charge current checks after the first, over the recharge time. */
  ChargeLooks = 36,
  /** Longest cycle of own or shared nights: a function test at least about once a year, as the longest `briefDays`. */
  CycleNights = 400,
  /** Plan slots kept on the controller: a year of brief tests with two retries each, and full tests. */
  PlanSlots = 72,
  /** Rows of a received plan parsed in one turn. */
  PlanRowsATurn = 12,
  /** Assumed worst drift of an unsynchronised clock, parts per million (CP: crystal plus temperature). */
  DriftPpm = 100,
  /** No test starts when the clock may be further off than this, s. */
  ClockErrorSecMax = 3600,
  /** A clock set more recently than this counts as synchronised, s. */
  SyncFreshSec = 172800,
  /** Oldest time request that may be answered, ms: this bounds the error of an answer. */
  TimeAnswerMs = 2000,
  /** The clock is compared with an answer up to this old, ms, so that small errors add up until they show. */
  ClockAnchorMs = 21600000,
  /**
   * An answer that contradicts the clock is believed once another, at least this much later, agrees with it,
   * ms.
   */
  ClockConfirmMs = 30000,
  /**
   * A contradiction unconfirmed for this long, ms, no longer blocks tests: they must not stop silently (I9).
   */
  ClockDoubtMs = 3600000,
  /**
   * Assumed worst drift of the clock chip, parts per million: temperature-compensated parts state 2 to 3.5 and
   * some 5 for ageing (DS3231 data sheet, Maxim 19-5170, electrical characteristics; from memory), and the rest
   * is margin.
   */
  ChipDriftPpm = 20,
  /** Possible error of the chip just after it was set, s: up to 5 of the clock itself, and whole seconds. */
  ChipErrorSec = 6,
  /** The chip and the clock are compared this often, ms; after it was found wrong or dead, once a day. */
  ChipCheckMs = 3600000,
  /** The chip is set again after this long, s: bounds its error, and keeps the record of it in the journal. */
  ChipSetSec = 2592000,
  /** Time of a chip is believed between the year of this firmware, 2026, and the end of 2099, UTC s. */
  ChipUtcMin = 1767225600,
  ChipUtcMax = 4102444799,
  /** This many jumps in one direction within a day mean a rate error: no duration can be trusted (CP). */
  ClockJumps = 3,
  /** Time without a clock after which it is recorded that no test is made, ms, first and again (CP). */
  UntimedFirstMs = 86400000,
  UntimedAgainMs = 604800000,
  /** A due test that may not start is checked again this often, ms. */
  AskAgainMs = 10000,
  /**
   * How long to show why a test by order was called off before it opened, ms, so that whoever ordered it can
   * see it (CP).
   */
  CalledOffShownMs = 60000,
  /** Longest hold by order, s (7 days). */
  HoldSecMax = 604800,
  /** An order that expires later than this from now is refused, s: orders are for now, not for later. */
  OrderLifeSecMax = 900,
  /** Reminder interval of a hold, ms; and, while it keeps the supply off, in its first day. */
  HoldReminderMs = 86400000,
  UnsuppliedReminderMs = 3600000,
  /** A stuck supply alarm is repeated this often, ms. */
  AlarmRepeatMs = 60000,
  /** A contact stuck open: number of coil exercises, and the longest time of each, ms (CP). */
  Exercises = 3,
  ExerciseMs = 1000,
  /** Delay of the first exercise after the alarm, and of each further one after the one before, ms (CP). */
  FirstExerciseMs = 10000,
  SecondExerciseMs = 50000,
  ThirdExerciseMs = 540000,
  /**
   * This many supply dips too short to be an outage, each within a minute of the one before, make the supply
   * unsteady (CP).
   */
  UnsteadyDips = 6,
  DipSpanMs = 60000,
  /** An unsteady supply is trusted again after this long without a dip, ms (CP). */
  SteadyMs = 600000,
  /** Refused orders are journalled at most this often, ms: an attacker must not wear out the flash. */
  RefusalRecordMs = 3600000,
  /** Longest MQTT packet the controller accepts, bytes. */
  PacketBytes = 4096,
  /** Room for a saved text with its head, bytes: a packet that carries it is no longer. */
  SavedBytes = PacketBytes,
  /** Header of a file in the interpreter's storage, bytes (src/jsflash.c, 2v29). */
  StorageHeaderBytes = 32,
  /**
   * Longest payload of settings and plan, and of the other messages to a controller, bytes. A plan of 72 rows of at most
   * 25 characters takes 1,912, settings of 16 luminaires 1,100, an order 200. A longer one is not stored.
   */
  LongBytes = 2048,
  ShortBytes = 384,
  /** Records queued for the journal; while flash takes no writes, later ones are dropped. */
  QueuedRecords = 8,
  /** Longest record text, bytes. */
  RecordBytes = 3072,
  /**
   * Fewest and most characters of a trace: with the records around it, it must fit one of the two journal
   * files.
   */
  TraceCharsMin = 6000,
  TraceCharsMax = 24000,
  /** Bytes of the program that the self-test reads in one turn; its checksum chains them. */
  ProgramSliceBytes = 512,
  /** Free journal space required before a relay may open, bytes: intent, result and a fault record. */
  JournalReserveBytes = 8192,
  /** First and last reason that put the tester in doubt, never a luminaire. */
  TesterFaultFirst = 50,
  TesterFaultLast = 69,
  /** Readings of a lamp sensor whose input is open or saturated, mA. */
  RailLow = -32768,
  RailHigh = 32767,
  /**
   * In place of the reading of a module on a bus that was not heard, one for each reason from SensorSilent
   * on, mA.
   */
  Unheard = -32767,
  UnheardLast = -32764,
  /** Speed of a bus of current modules, bit/s, where nothing else is said (MODBUS over Serial Line V1.02, 2.5, 3.2). */
  BusBaud = 19200,
  /** Largest current a module may report, mA; anything above counts as saturated. */
  ModuleMost = 32000,
}

/** Length of a limited test: 2/3 of the rated duration, s, rounded up (our reading of ANSI news of 2006). */
export function limitedSec(ratedSec: number): number {
  return Math.ceil((ratedSec * 2) / 3);
}

/** Whether a reason puts the tester in doubt rather than a luminaire. */
export function isTesterFault(reason: number): boolean {
  return reason >= Limit.TesterFaultFirst && reason <= Limit.TesterFaultLast;
}

/** Firmware version, reported in every start record. */
export const FIRMWARE = '0.1.0';

/** Version of the wire contract; a message with another major version is refused with a reply. */
export const WIRE_VERSION = 1;
