// What the records of each circuit say, in log book order: the state of its luminaires, which tests are done,
// what the newest complete test measured, who holds. Only what is needed later is kept, so memory does not
// grow with the log book.
import { OrderKind, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import type {
  AnyRecord,
  EventRecord,
  OrderRecord,
  ResultRecord,
  StartRecord,
} from '../../../firmware/contract/messages';
import type { LampStatus, TroubleTimes } from '../../api/views';
import type { CircuitHistory } from '../../planner/planner';
import { isDone, type LampResult, resultAt, resultVerdict } from '../../records/result';
import type { Site } from '../../site/model';
import { type Listed, type ListedIn, type Place, placedRows, placesOf } from '../rows/listed';
import { untested, withResult } from './lamps';
import { madeUpBy, type OverdueTimes, overdueKind, overdueSince } from './overdue';
import { type Stopped, stoppedAfter, stoppedAfterOverdue, stoppedBy } from './stopped';

/** How one numbered test ended. */
export interface TestEnd {
  test: number;
  /** Revision of the plan it belongs to. */
  plan: number;
  /** UTC second. */
  at: number;
  verdict: 'pass' | 'fail' | 'void';
  /** It need not be made again. */
  isDone: boolean;
  /** Somebody ended it, and it is to be made again. */
  isStopped: boolean;
}

/** The newest completed test of a circuit with a row for each of its luminaires. */
export interface CompleteTest {
  /** Number of its entry in the log book. */
  entry: number;
  /** UTC second it began. */
  at: number;
  /** In sensor order of today's site file. */
  lamps: LampResult[];
}

/** A circuit after all its records. */
export interface CircuitStanding {
  /** Last tests that were done, UTC seconds. */
  last: CircuitHistory;
  /** UTC second of the latest full test that was not void, 0 if none. A limited test never counts. */
  fullAt: number;
  /** Ends of numbered tests, oldest first. */
  ends: TestEnd[];
  complete: CompleteTest | undefined;
  /** In sensor order. */
  lamps: LampStatus[];
  /** Luminaires, in sensor order, that failed the last test longer than brief that judged them. */
  failedLong: boolean[];
  /** Latest tests that judged each luminaire, in sensor order: in whatever circuit it stood then. */
  own: CircuitHistory[];
  /** For the same tests, the number of the entry that lists the settings by which each was judged, 0 if unknown. */
  judgedBy: CircuitHistory[];
  /** Seconds by which the running test was extended. */
  extraSec: number;
  /** The newest order of the host: a controller keeps names without their accents. */
  ordered: { counter: number; who: string } | null;
  /** Who gave the newest order to restore the supply or to hold since the last test, '' if nobody did. */
  stopper: string;
  stopped: Stopped | null;
  /** Hold by order. */
  held: { who: string; until: number } | null;
  /** The controller has sent a reminder of the hold. */
  isReminded: boolean;
  /** UTC second at which each trouble that still lasts was first recorded, 0 if there is none. */
  troubleAt: TroubleTimes;
  /** Overdue tests by kind, until one has been completed that makes up for it. */
  overdueAt: OverdueTimes;
  /** Journal of the newest start, '' before the first. */
  journal: string;
  /** UTC second of the newest record that says something of the circuit, 0 if there is none. */
  recordAt: number;
  /** UTC second at which the controller began another journal, 0 once a test has been completed since. */
  anewAt: number;
}

/** What was read so far, as JSON can hold it: by circuit. */
export type HistoryState = { circuit: string; standing: CircuitStanding }[];

export interface History {
  /** A record of a circuit, in log book order; `at` is the UTC second it is filed under. */
  take(circuit: string, record: AnyRecord, entry: { entry: number; at: number }): void;
  /** An order to a circuit, with its number, before it was sent. */
  order(circuit: string, ordered: { counter: number; who: string }): void;
  /** @throws Error if the site has no such circuit */
  of(circuit: string): Readonly<CircuitStanding>;
  state(): HistoryState;
}

/** Kinds of records that change a circuit's state; others need not be read. */
export const HEEDED_KINDS: ReadonlySet<string> = new Set([
  ...['start', 'result', 'order', 'held', 'reminder', 'released'],
  ...['fault', 'cleared', 'outage', 'supply', 'overdue'],
]);

/** Test ends kept per circuit: enough for two years with every retry used. */
const ENDS_MAX = 200;

function newStanding(luminaires: string[]): CircuitStanding {
  return {
    ...{ last: {}, fullAt: 0, ends: [], complete: undefined, lamps: luminaires.map(untested) },
    ...{ failedLong: luminaires.map(() => false), own: luminaires.map(() => ({})) },
    judgedBy: luminaires.map(() => ({})),
    ...{ extraSec: 0, ordered: null, stopper: '', stopped: null, held: null, isReminded: false },
    ...{
      journal: '',
      recordAt: 0,
      anewAt: 0,
      troubleAt: { fault: 0, outage: 0, held: 0, overdue: 0 },
      overdueAt: {},
    },
  };
}

/** The length of a test and holds by order are known only from the orders. */
function takeOrder(standing: CircuitStanding, record: OrderRecord, at: number): void {
  if (record.do === OrderKind.Extend) standing.extraSec += record.arg;
  const { ordered } = standing;
  const who = ordered?.counter === record.counter ? ordered.who : record.who;
  if (record.do === OrderKind.Restore || record.do === OrderKind.Hold) standing.stopper = who;
  if (record.do === OrderKind.Hold) standing.held = { who, until: at + record.arg };
  if (record.do === OrderKind.Release) standing.held = null;
}

/**
 * Another journal than before: the controller's memory was erased, or the controller replaced. What it was in the
 * middle of will never be recorded as ended; a test stays overdue until one is completed.
 */
function takeStart(standing: CircuitStanding, { journal }: StartRecord, at: number): void {
  if (standing.journal !== '' && standing.journal !== journal) {
    standing.anewAt = at;
    standing.troubleAt = { fault: 0, outage: 0, held: 0, overdue: standing.troubleAt.overdue };
  }
  standing.journal = journal;
}

/** Which trouble a record ends; a supply that is unsteady is not back. */
function endedBy({ kind, reason }: EventRecord): keyof TroubleTimes | undefined {
  if (kind === 'cleared') return 'fault';
  if (kind === 'released') return 'held';
  return kind === 'supply' && reason !== Reason.UnsteadySupply ? 'outage' : undefined;
}

function setOverdue(standing: CircuitStanding, times: OverdueTimes): void {
  standing.overdueAt = times;
  standing.troubleAt.overdue = overdueSince(times);
}

/** A trouble recorded again, as a fault is after a restart, has lasted since its first record. */
function takeTrouble(standing: CircuitStanding, record: EventRecord, at: number): void {
  const { kind } = record;
  if (kind === 'fault' || kind === 'outage' || kind === 'held') standing.troubleAt[kind] ||= at;
  if (kind === 'overdue') {
    const owed = overdueKind(record);
    standing.stopped = stoppedAfterOverdue(standing.stopped, record, owed, standing.overdueAt);
    setOverdue(standing, { [owed]: at, ...standing.overdueAt });
  }
  const ended = endedBy(record);
  if (ended) standing.troubleAt[ended] = 0;
  if (kind === 'reminder') standing.isReminded = true;
  if (kind === 'held' || kind === 'released') standing.isReminded = false;
}

function lastsAfter(known: CircuitHistory, type: TestKind, at: number): CircuitHistory {
  // A longer test proves everything a brief test would.
  const last = { ...known, lastBrief: at };
  if (type === TestKind.Full) last.lastFull = at;
  if (type === TestKind.Limited) last.lastLimited = at;
  return last;
}

function takeEnd(standing: CircuitStanding, r: ResultRecord, at: number): void {
  const isMade = isDone(r);
  standing.extraSec = 0;
  standing.stopped = stoppedAfter(standing.stopped, r, at, standing.stopper);
  standing.stopper = '';
  if (isMade) {
    standing.last = lastsAfter(standing.last, r.type, at);
    if (r.type === TestKind.Full) standing.fullAt = Math.max(standing.fullAt, at);
    standing.anewAt = 0;
    const madeUp: readonly string[] = madeUpBy(r.type);
    const left = Object.entries(standing.overdueAt).filter(([kind]) => !madeUp.includes(kind));
    setOverdue(standing, Object.fromEntries(left));
  }
  if (r.test === 0) return;
  const isStopped = !isMade && stoppedBy(r.end) !== undefined;
  standing.ends.push({
    ...{ test: r.test, plan: r.plan, at },
    ...{ verdict: resultVerdict(r), isDone: isMade, isStopped },
  });
  if (standing.ends.length > ENDS_MAX) standing.ends.shift();
}

/** Of a result: UTC second it began, and the entry that lists the settings it was judged by. */
interface Origin {
  at: number;
  listedIn: number;
}

function takeLamp(
  standing: CircuitStanding,
  index: number,
  r: ResultRecord,
  row: LampResult,
  { at, listedIn }: Origin,
): void {
  standing.lamps[index] = withResult(standing.lamps[index], r, row, at);
  const isJudged = row.verdict === Verdict.Pass || row.verdict === Verdict.Fail;
  if (isJudged) {
    standing.own[index] = lastsAfter(standing.own[index], r.type, at);
    standing.judgedBy[index] = lastsAfter(standing.judgedBy[index], r.type, listedIn);
  }
  if (r.type === TestKind.Brief) return;
  if (row.verdict === Verdict.Fail) standing.failedLong[index] = true;
  else if (row.verdict === Verdict.Pass) standing.failedLong[index] = false;
}

class SiteHistory implements History {
  private readonly standings: Map<string, CircuitStanding>;
  private readonly places: ReadonlyMap<string, Place>;

  constructor(
    site: Site,
    private readonly listed: Listed,
    from: HistoryState,
    private readonly listedIn: ListedIn,
  ) {
    this.standings = new Map(
      site.circuits.map(({ id, luminaires }) => [id, newStanding(luminaires.map((lamp) => lamp.id))]),
    );
    for (const { circuit, standing } of from) this.standings.set(circuit, standing);
    this.places = placesOf(site);
  }

  take(circuit: string, record: AnyRecord, entry: { entry: number; at: number }): void {
    const standing = this.standings.get(circuit);
    if (!standing) return;
    standing.recordAt = Math.max(standing.recordAt, entry.at);
    if (record.kind === 'result') {
      const at = resultAt(record, entry.at);
      takeEnd(standing, record, at);
      this.takeRows(circuit, record, entry.entry, at);
    }
    if (record.kind === 'start') takeStart(standing, record, entry.at);
    if ('reason' in record && 'arg' in record && !('who' in record) && record.kind !== 'charge')
      takeTrouble(standing, record, entry.at);
    if (record.kind === 'order' && record.reason === Reason.None) takeOrder(standing, record, entry.at);
  }

  order(circuit: string, { counter, who }: { counter: number; who: string }): void {
    const standing = this.standings.get(circuit);
    if (standing) standing.ordered = { counter, who };
  }

  of(circuit: string): Readonly<CircuitStanding> {
    const standing = this.standings.get(circuit);
    if (!standing) throw new Error(`The site has no circuit ${circuit}.`);
    return standing;
  }

  state(): HistoryState {
    return [...this.standings].map(([circuit, standing]) => ({ circuit, standing }));
  }

  private takeRows(circuit: string, r: ResultRecord, entry: number, at: number): void {
    const standing = this.standings.get(circuit)!;
    const own: LampResult[] = [];
    const origin = { at, listedIn: this.listedIn(circuit, r.settings) };
    for (const { place, row } of placedRows(this.listed, this.places, circuit, r)) {
      takeLamp(this.standings.get(place.circuit)!, place.index, r, row, origin);
      if (place.circuit === circuit) own[place.index] = row;
    }
    if (r.end !== Reason.Complete) return;
    const isWhole = Object.keys(own).length === standing.lamps.length;
    standing.complete = isWhole ? { entry, at, lamps: own } : undefined;
  }
}

/** The history of a site before its first record, or after those that made a state; see `History`. */
export function createHistory(
  site: Site,
  listed: Listed,
  from: HistoryState = [],
  listedIn: ListedIn = () => 0,
): History {
  return new SiteHistory(site, listed, from, listedIn);
}

/** Numbers of the tests completed under a plan's revision or a later one. */
export function doneTests(ends: readonly TestEnd[], revision: number): number[] {
  const done = ends.filter((end) => end.plan >= revision && end.isDone);
  return [...new Set(done.map(({ test }) => test))];
}
