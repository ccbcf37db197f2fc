// The JSON shapes for the page and other readers. Times are UTC seconds, currents mA. GET /api/building, /api/status,
// /api/status/packed (packed.ts), /api/plan (PlanView), /api/defects?open=&closed=&limit= (defects.ts; at most
// `open` of the open ones, and `closed` of the closed ones are left out),
// /api/logbook?before=&limit=&circuit=&kind= (kind=failed: results with a failed luminaire), /api/luminaires/:id,
// /api/luminaires/:id/defects (a list of DefectView),
// /api/duties (duties.ts), GET /floor-plans/:id (a picture), GET /api/events (server-sent: `status` one ControllerStatus, `live` one LiveReading, `entry`
// one LogEntryView, `clock` {now, speed}), POST /api/circuits/:id/orders (OrderRequest -> OrderOutcome), POST
// /api/inspections, POST /api/report and /api/labels (a file each).

import type { Area, Circuit, Floor, FloorPlan } from '../site/model';
import type { KindWord } from '../words/codes';
import type { TakingView } from './site';

export interface BuildingView {
  id: string;
  name: string;
  timeZone: string;
  profile: string;
  responsible: string;
  /**
   * A lamp counts as lit at or above this share of its commissioned current on battery, %: the rule profile's
   * value.
   */
  floorPercent: number;
  /** True if the controllers are simulated. */
  simulated: boolean;
  floors: Floor[];
  floorPlans: FloorPlan[];
  areas: Area[];
  circuits: Circuit[];
  /** How long each kind of test switches off a circuit's supply, and the recharge after it, s; by circuit. */
  lengths: Record<string, Record<Exclude<KindWord, ''>, TestLength>>;
}

export interface TestLength {
  testSec: number;
  rechargeSec: number;
}

/** How recently a controller was heard. */
export type Contact = 'reporting' | 'late' | 'silent' | 'never heard';
export type VerdictWord = 'pass' | 'fail' | 'void' | 'open' | 'untested';

/** One result of a luminaire. */
export interface LampVerdict {
  verdict: VerdictWord;
  /** Plain words, '' for a pass. */
  reason: string;
  /** UTC second. */
  at: number;
  kind: KindWord;
}

export interface LampStatus {
  luminaire: string;
  verdict: VerdictWord;
  /** Plain words, '' for a pass. */
  reason: string;
  /** UTC second of the result, 0 when untested. */
  at: number;
  kind: KindWord;
  /** The same without void results, which prove nothing; null if nothing was ever proven. */
  proven: LampVerdict | null;
  /** The newest result, void or not; null if there is none. */
  attempt: LampVerdict | null;
  /** UTC second of the result that first showed the failure it still has; 0 if it has none. */
  failedSince: number;
  /** UTC second of its newest test with a verdict, in whatever order the records came; 0 if there is none. */
  judgedAt: number;
  /** Tests without a verdict, by kind, since a test that shows at least as much had one. */
  voids: Partial<Record<KindWord, number>>;
  /** The longest kind of test it has failed since it passed one that shows as much; '' if none. */
  failedKind: KindWord;
  /** Last duration test that proved something: seconds lit and verdict, if any. */
  fullSeconds: number | null;
  fullVerdict: VerdictWord;
  fullAt: number;
}

export interface LiveReading {
  circuit: string;
  test: number;
  kind: Exclude<KindWord, ''>;
  /** Seconds since the supply was seen to go. */
  t: number;
  ma: number[];
  verdict: VerdictWord[];
}

/** A luminaire that has not failed, but that no test has proven for too long, or of late. */
export interface UnprovenView {
  /** '' if all luminaires of the circuit are meant. */
  luminaire: string;
  /** UTC second of the newest test that proved it, 0 if none did. */
  since: number;
  /** What came instead: one sentence. */
  detail: string;
  /** What to do next, and the next test that may prove it. */
  next: string;
  /** UTC second of that test, 0 if none is planned. */
  nextAt: number;
}

/** A planned test that somebody stopped, until one that shows as much has been completed. */
export interface StoppedView {
  kind: Exclude<KindWord, ''>;
  /** UTC second at which it ended. */
  at: number;
  by: 'order' | 'key switch' | 'stop input';
  /** Who gave the order, '' if that is not known. */
  who: string;
  /** Luminaires that it did not judge, of how many. */
  unjudged: number;
  luminaires: number;
  /** UTC second of the next planned test that shows as much, 0 if none is planned yet. */
  nextAt: number;
}

export type TroubleTimes = Record<'fault' | 'outage' | 'held' | 'overdue', number>;

export interface ControllerStatus {
  circuit: string;
  contact: Contact;
  /** UTC second last heard, 0 never. */
  heardAt: number;
  /** UTC second of its newest record of something, 0 if the log book has none. */
  recordAt: number;
  /**
   * Word of the phase: starting, charged, recharging, opening, brief, full, restoring, outage, held, fault; unknown
   * if it was never heard.
   */
  phase: string;
  /** One plain sentence about what is going on or wrong. */
  sentence: string;
  /** Why a test that is due cannot start; '' if none is, or it can. */
  waiting: string;
  /** As last reported; null if that is not known: never heard, or the controller is still reading its inputs. */
  supplyBefore: boolean | null;
  supplyAfter: boolean | null;
  relayOpen: boolean | null;
  redLamp: boolean | null;
  occupied: boolean | null;
  kind: KindWord;
  /** UTC second at which the discharge began, 0 if none; its planned length, s. */
  since: number;
  length: number;
  /** UTC second at which full autonomy is expected back, 0 if charged. */
  charged: number;
  overdue: number;
  /** A test that was stopped is not counted as overdue while its next try is planned. */
  stopped: StoppedView | null;
  /**
   * Hold by order: who, and the UTC second at which it ends on its own; null if there is none or it is
   * unknown.
   */
  held: { who: string; until: number } | null;
  /** UTC second at which each trouble that still lasts was recorded; 0 if there is none, or no record of it. */
  troubleAt: TroubleTimes;
  /** Repaired luminaires whose test is still to come: UTC second at which it is planned, 0 if not yet. */
  retests: { luminaire: string; at: number }[];
  /** A hold that the controller has sent a reminder about, because it has lasted long. */
  heldLong: boolean;
  /** UTC second at which its controller began with an empty memory; 0 once it has completed a test since. */
  anewAt: number;
  /** Window in which someone is or will be working, UTC seconds; null if there is none. */
  attended: { from: number; to: number; who: string } | null;
  /**
   * UTC second of the last full test that was not void, 0 if none; and when the next is due, 0 if unknown.
   */
  fullAt: number;
  fullDueAt: number;
  fullOverdue: boolean;
  unproven: UnprovenView[];
  lamps: LampStatus[];
  live: LiveReading | null;
}

export interface TonightTest {
  circuit: string;
  test: number;
  kind: Exclude<KindWord, ''>;
  start: number;
  end: number;
  /** "stopped": void, because somebody ended it; "not known": its time has come, and the controller is not heard. */
  state: 'due' | 'running' | 'pass' | 'fail' | 'void' | 'stopped' | 'not run' | 'not known';
}

/** A circuit whose batteries are not full now, or will not be after a test tonight. */
export interface RiskEntry {
  circuit: string;
  /** Names of the areas its luminaires light. */
  areas: string[];
  state: 'discharging' | 'recharging' | 'planned';
  /** UTC second at which a planned test begins; 0 if already in progress. */
  from: number;
  /** When the batteries are expected to be full again; 0 if unknown: the supply is off, or the circuit is silent. */
  until: number;
  /** One plain sentence. */
  sentence: string;
}

/** A circuit of which nobody knows whether its batteries are full. */
export interface RiskUnknown {
  circuit: string;
  /** Names of the areas its luminaires light. */
  areas: string[];
  /** UTC second last heard, 0 never. */
  heardAt: number;
  /** One plain sentence: why it is not known, and since when. */
  sentence: string;
}

export interface RiskNotice {
  /** UTC second. */
  at: number;
  entries: RiskEntry[];
  /** Circuits whose present state is unknown; those with an entry had it when they were last heard. */
  unknown: RiskUnknown[];
  /** Names of areas with luminaires of which no test has shown of late that they work. */
  unproven: string[];
  /** Number of circuits whose present state is known. */
  known: number;
  /** What to do, '' if there is no entry. */
  ifPowerFails: string;
}

/** What a witness or a time stamp server has done with the log book's checkpoints. */
export interface WitnessView {
  name: string;
  /** Entries of the checkpoint it signed last since the host was started, 0 if none. */
  size: number;
  /** UTC second it signed, 0 if it has not. */
  at: number;
  /** Why the newest checkpoint lacks its signature, '' if it does not. */
  problem: string;
}

/** The newest signed head of the log book. */
export interface CheckpointView {
  /** Name of the log. */
  origin: string;
  /** Entries it covers. */
  size: number;
  /** UTC second. */
  at: number;
  /** Base64. */
  root: string;
  /** Public key of the host, as a verifier takes it. */
  key: string;
  witnesses: WitnessView[];
  /** Plain sentences about witnesses that refuse this log book. */
  alarms: string[];
}

export interface StatusView {
  now: number;
  /** Simulated seconds per real second; 1 for real controllers. */
  speed: number;
  controllers: ControllerStatus[];
  /** Tests of the present or coming night. */
  tonight: TonightTest[];
  notice: RiskNotice;
  counts: { pass: number; fail: number; void: number; untested: number };
  /** Null before the first. */
  checkpoint: CheckpointView | null;
  /** A change of the site that the host does not work with yet; null if there is none. */
  taking: TakingView | null;
}

/** The part of the status that the state of the house says. */
export type HouseStatus = Omit<StatusView, 'checkpoint' | 'taking'>;

/** A night, from local noon to noon, in which a circuit is tested by the plan or recharges after its test. */
export interface PlanNight {
  circuit: string;
  /** Local date on which it begins, "YYYY-MM-DD". */
  date: string;
  mark: Exclude<KindWord, ''> | 'recharge';
  /** The test it belongs to. */
  kind: Exclude<KindWord, ''>;
  start: number;
  end: number;
  recharged: number;
  /** True if the sun is down when the test begins; null if unknown. */
  dark: boolean | null;
  /** Exposure within this night, h. */
  exposureHours: number;
}

/** The current plan, every test at its first attempt. */
export interface PlanView {
  from: number;
  until: number;
  nights: PlanNight[];
  exposureHours: number;
}

export interface LogEntryView {
  entry: number;
  at: number;
  /** '' if it is about the whole site. */
  circuit: string;
  kind: string;
  /** One line in plain words. */
  text: string;
  /** pass, fail, void, alarm or note: how to mark the line. */
  mark: 'pass' | 'fail' | 'void' | 'alarm' | 'note';
  /** Full record as received. */
  body: string;
  hash: string;
  /** Who withdrew it and why, in words, '' while nobody has; missing where that is not possible. */
  withdrawn?: string;
}

/** What the running host knows of the chain. It says nothing of entries after `checked`. */
export interface ChainView {
  /** All entries from the first to this one were checked. */
  checked: number;
  /** Entries in the whole log book. */
  entries: number;
  /** UTC second at which everything was last checked, 0 while that has not been. */
  at: number;
  broken: { entry: number; why: string } | null;
}

export interface LogbookView {
  entries: LogEntryView[];
  /** Entries that fit the question; null if they were not counted. */
  total: number | null;
  /**
   * Number of the oldest entry looked at, from which a reader goes on by `before`, also if nothing was found; 0 if
   * nothing older is left.
   */
  lookedTo: number;
  chain: ChainView;
}

/** Currents of a lamp in mA; mains is 0 in modes that are dark on mains. */
export interface CurrentsView {
  battery: number;
  mains: number;
}

/** The currents a luminaire is judged by, and what was measured. */
export interface BaselineView {
  site: CurrentsView;
  inForce: CurrentsView;
  /** Who accepted the current values, and when (UTC second); null if they are the site file's. */
  accepted: { who: string; at: number } | null;
  /**
   * Newest complete test; `mains` is null if the lamp was dark then; `refusal` is '' if it can be accepted.
   */
  measured: { battery: number; mains: number | null; at: number; refusal: string } | null;
}

export interface LuminaireHistory {
  luminaire: string;
  circuit: string;
  results: {
    entry: number;
    at: number;
    kind: Exclude<KindWord, ''>;
    verdict: VerdictWord;
    reason: string;
    seconds: number;
    milliampsAt5: number;
    milliampsAt60: number;
    milliampsEnd: number;
  }[];
  /** Newest first. Seconds per point, % of the commissioned current (-1 unknown), and its error bound, %. */
  curves: { at: number; step: number; percent: number[]; bound: number }[];
  baseline: BaselineView;
  /** The most likely fault and the evidence for it, '' if there is none. */
  diagnosis: string;
  /** By when its battery probably no longer lasts its rated duration, '' if nothing is said. */
  batteryOutlook: string;
  /** Who repaired it, while the test owed after the repair is still to come; otherwise ''. */
  repair: string;
}

/**
 * Orders a person can give from the page: restore the mains now; let a repaired tester test again; hold tests
 * for some hours; allow tests again; run a test now if the controller's own rules permit it; extend a running
 * function test by some minutes. The host itself handles: someone is working here for some hours, or has
 * finished; the measured currents of a luminaire are accepted; a luminaire is repaired and due for a test.
 */
export type OrderName =
  | 'restore'
  | 'clear fault'
  | 'hold'
  | 'release'
  | 'test'
  | 'extend'
  | 'attend'
  | 'leave'
  | 'accept'
  | 'repaired';

/** What was changed in a luminaire. */
export type RepairPart = 'battery' | 'lamp' | 'driver or charger' | 'whole luminaire' | 'other';

export type OrderRequest = { who: string } & (
  | { do: 'restore' | 'clear fault' | 'release' | 'trace' }
  | { do: 'leave' }
  | { do: 'accept'; luminaire: string }
  | { do: 'repaired'; luminaire: string; part: RepairPart }
  | { do: 'defect'; luminaire: string; owner: string; due: string; interim: string; words: string }
  | { do: 'hold' | 'attend'; hours: number }
  | { do: 'test'; kind: Exclude<KindWord, ''> }
  | { do: 'extend'; minutes: number }
);

/** POST /api/withdrawals (WithdrawalRequest -> OrderOutcome): an entry of the log book that no longer counts. */
export interface WithdrawalRequest {
  entry: number;
  who: string;
  why: string;
}

export interface OrderOutcome {
  ok: boolean;
  /** True if there was no answer: the controller may or may not have acted. */
  unanswered?: boolean;
  /** True if the controller was not holding the supply off: there was nothing to restore. */
  nothingToDo?: boolean;
  /** True if it needs the password once more; nothing was done. */
  askPassword?: boolean;
  /** True if the host no longer knew who asked; nothing was done. */
  signedOut?: boolean;
  /** Plain words. */
  answer: string;
}
