// The shapes the page and other readers get as JSON. Times are UTC seconds, currents mA.
// GET /api/building, /api/status, /api/plan (PlanView), /api/logbook?before=&limit=&circuit=&kind=, /api/luminaires/:id,
// GET /api/events (server-sent: `status` one ControllerStatus, `live` one LiveReading, `entry` one LogEntryView,
// `clock` {now, speed}), POST /api/circuits/:id/orders (OrderRequest -> OrderOutcome).
import type { Area, Circuit, Floor } from '../site/model';
import type { KindWord } from '../words/codes';

export interface BuildingView {
  id: string;
  name: string;
  timeZone: string;
  profile: string;
  responsible: string;
  /** A lamp counts as lit from this share of its commissioned current on battery on, %: the rule profile's. */
  floorPercent: number;
  /** True when the controllers are simulated. */
  simulated: boolean;
  floors: Floor[];
  areas: Area[];
  circuits: Circuit[];
}

/** How recently a controller was heard. */
export type Contact = 'reporting' | 'late' | 'silent' | 'never heard';
export type VerdictWord = 'pass' | 'fail' | 'void' | 'open' | 'untested';

export interface LampStatus {
  luminaire: string;
  verdict: VerdictWord;
  /** Plain words, '' for a pass. */
  reason: string;
  /** UTC second of the result, 0 when untested. */
  at: number;
  kind: KindWord;
  /** Last duration test: seconds lit and verdict, if any. */
  fullSeconds: number | null;
  fullVerdict: VerdictWord;
  fullAt: number;
}

export interface LiveReading {
  circuit: string;
  test: number;
  kind: Exclude<KindWord, ''>;
  /** Seconds since the supply was seen gone. */
  t: number;
  ma: number[];
  verdict: VerdictWord[];
}

export interface ControllerStatus {
  circuit: string;
  contact: Contact;
  /** UTC second last heard, 0 never. */
  heardAt: number;
  /** Word of the phase: starting, charged, recharging, opening, brief, full, restoring, outage, held, fault. */
  phase: string;
  /** One plain sentence about what is going on or wrong. */
  sentence: string;
  supplyBefore: boolean;
  supplyAfter: boolean;
  relayOpen: boolean;
  redLamp: boolean;
  occupied: boolean;
  kind: KindWord;
  /** UTC second the discharge began, 0 none; length it will have, s. */
  since: number;
  length: number;
  /** UTC second full autonomy is expected back, 0 when charged. */
  charged: number;
  overdue: number;
  /** Hold by order: who, and the UTC second it ends by itself; null when there is none or nobody knows. */
  held: { who: string; until: number } | null;
  /** A hold that the controller has brought to mind: it lasts long already. */
  heldLong: boolean;
  /** Window in which somebody is or will be at work, UTC seconds; null when there is none. */
  attended: { from: number; to: number; who: string } | null;
  /** UTC second of the last full test that was not void, 0 none; and by when the next one is due, 0 unknown. */
  fullAt: number;
  fullDueAt: number;
  fullOverdue: boolean;
  lamps: LampStatus[];
  live: LiveReading | null;
}

export interface TonightTest {
  circuit: string;
  test: number;
  kind: Exclude<KindWord, ''>;
  start: number;
  end: number;
  state: 'due' | 'running' | 'pass' | 'fail' | 'void' | 'not run';
}

/** A circuit whose batteries are not full now, or will not be after a test of this night. */
export interface RiskEntry {
  circuit: string;
  /** Names of the areas that its luminaires light. */
  areas: string[];
  state: 'discharging' | 'recharging' | 'planned';
  /** When a planned test begins, UTC second; 0 for what lasts already. */
  from: number;
  /** When the batteries are expected to be full again; 0: nobody knows, because the supply is away. */
  until: number;
  /** One plain sentence. */
  sentence: string;
}

export interface RiskNotice {
  /** UTC second. */
  at: number;
  entries: RiskEntry[];
  /** Circuits of which nothing is known now. */
  unknown: string[];
  /** What to do, '' when there is no entry. */
  ifPowerFails: string;
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
}

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
  /** Whether the sun is down when the test begins; null where nobody knows. */
  dark: boolean | null;
  /** Exposure that falls into this night, h. */
  exposureHours: number;
}

/** The plan in force, every test at its first chance. */
export interface PlanView {
  from: number;
  until: number;
  nights: PlanNight[];
  exposureHours: number;
}

export interface LogEntryView {
  entry: number;
  at: number;
  circuit: string;
  kind: string;
  /** One line in plain words. */
  text: string;
  /** pass, fail, void, alarm or note: how to mark the line. */
  mark: 'pass' | 'fail' | 'void' | 'alarm' | 'note';
  /** Full record as received. */
  body: string;
  hash: string;
}

export interface LogbookView {
  entries: LogEntryView[];
  total: number;
  chainValid: boolean;
}

/** Currents of a lamp in mA; mains 0 where it is dark on mains. */
export interface CurrentsView {
  battery: number;
  mains: number;
}

/** Against which currents a luminaire is judged, and what was measured. */
export interface BaselineView {
  site: CurrentsView;
  inForce: CurrentsView;
  /** Who accepted those in force, and when (UTC second); null: they are the site file's. */
  accepted: { who: string; at: number } | null;
  /** Newest complete test; `mains` null where the lamp was dark then; `refusal` '' when it can be accepted. */
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
  /** What most likely is wrong and the evidence for it, '' when nothing is. */
  diagnosis: string;
  /** Who has repaired it while the test after that is still owed, '' else. */
  repair: string;
}

/**
 * Orders a person can give from the page: mains back now; a repaired tester may test again; no tests for
 * some hours; tests again; a test now, where the controller's own rules permit it; a running brief test
 * some minutes longer. The host itself takes: somebody is at work here for some hours, and no longer; the
 * measured currents of a luminaire are accepted; a luminaire is repaired and due for a test.
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
  | { do: 'hold' | 'attend'; hours: number }
  | { do: 'test'; kind: Exclude<KindWord, ''> }
  | { do: 'extend'; minutes: number }
);

export interface OrderOutcome {
  ok: boolean;
  /** Plain words. */
  answer: string;
}
