// What the records of each circuit say, in log book order: the state of its luminaires, which tests are done,
// what the newest complete test measured, who holds. Only what is needed later is kept, so memory does not
// grow with the log book.
import { OrderKind, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import type { AnyRecord, OrderRecord, ResultRecord } from '../../../firmware/contract/messages';
import type { LampStatus } from '../../api/views';
import type { CircuitHistory } from '../../planner/planner';
import { type LampResult, lampResult, lampResults, resultAt, resultVerdict } from '../../records/result';
import type { Site } from '../../site/model';
import { untested, withResult } from './lamps';

/** How one numbered test ended. */
export interface TestEnd {
  test: number;
  /** Revision of the plan it belongs to. */
  plan: number;
  /** UTC second. */
  at: number;
  verdict: 'pass' | 'fail' | 'void';
}

/** The newest completed test of a circuit. */
export interface CompleteTest {
  /** Number of its entry in the log book. */
  entry: number;
  /** UTC second it began. */
  at: number;
  lamps: LampResult[];
}

/** A circuit after all its records. */
export interface CircuitStanding {
  /** Last tests that were not void, UTC seconds. */
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
  /** Seconds by which the running test was extended. */
  extraSec: number;
  /** Hold by order. */
  held: { who: string; until: number } | null;
  /** The controller has sent a reminder of the hold. */
  isReminded: boolean;
}

export interface History {
  /** A record of a circuit, in log book order; `at` is the UTC second it is filed under. */
  take(circuit: string, record: AnyRecord, entry: { entry: number; at: number }): void;
  /** @throws Error if the site has no such circuit */
  of(circuit: string): Readonly<CircuitStanding>;
}

/** Kinds of records that change a circuit's state; others need not be read. */
export const HEEDED_KINDS: ReadonlySet<string> = new Set([
  ...['result', 'order', 'held', 'reminder', 'released'],
]);

/** Test ends kept per circuit: enough for two years with every retry used. */
const ENDS_MAX = 200;

function newStanding(luminaires: string[]): CircuitStanding {
  return {
    ...{ last: {}, fullAt: 0, ends: [], complete: undefined, lamps: luminaires.map(untested) },
    ...{ failedLong: luminaires.map(() => false), extraSec: 0, held: null, isReminded: false },
  };
}

/** The length of a test and holds by order are known only from the orders. */
function takeOrder(standing: CircuitStanding, record: OrderRecord, at: number): void {
  if (record.do === OrderKind.Extend) standing.extraSec += record.arg;
  if (record.do === OrderKind.Hold) standing.held = { who: record.who, until: at + record.arg };
  if (record.do === OrderKind.Release) standing.held = null;
}

function takeLasts(standing: CircuitStanding, { type }: ResultRecord, at: number): void {
  // A longer test proves everything a brief test would.
  const last = { ...standing.last, lastBrief: at };
  if (type === TestKind.Full) {
    last.lastFull = at;
    standing.fullAt = Math.max(standing.fullAt, at);
  }
  if (type === TestKind.Limited) last.lastLimited = at;
  standing.last = last;
}

function takeResult(standing: CircuitStanding, r: ResultRecord, entry: { entry: number; at: number }): void {
  const at = resultAt(r, entry.at);
  const verdict = resultVerdict(r);
  standing.extraSec = 0;
  standing.lamps = standing.lamps.map((known, i) => {
    const lamp = lampResult(r, i);
    return lamp ? withResult(known, r, lamp, at) : known;
  });
  if (r.type !== TestKind.Brief)
    standing.failedLong = standing.failedLong.map((failed, i) => {
      const verdict = lampResult(r, i)?.verdict;
      return verdict === Verdict.Fail || (verdict !== Verdict.Pass && failed);
    });
  if (r.end === Reason.Complete) standing.complete = { entry: entry.entry, at, lamps: lampResults(r) };
  if (verdict !== 'void') takeLasts(standing, r, at);
  if (r.test === 0) return;
  standing.ends.push({ test: r.test, plan: r.plan, at, verdict });
  if (standing.ends.length > ENDS_MAX) standing.ends.shift();
}

/** The history of a site before its first record; see `History`. */
export function createHistory(site: Site): History {
  const standings = new Map(
    site.circuits.map(({ id, luminaires }) => [id, newStanding(luminaires.map((lamp) => lamp.id))]),
  );
  return {
    take(circuit, record, entry) {
      const standing = standings.get(circuit);
      if (!standing) return;
      if (record.kind === 'result') takeResult(standing, record, entry);
      if (record.kind === 'reminder') standing.isReminded = true;
      if (record.kind === 'held' || record.kind === 'released') standing.isReminded = false;
      if (record.kind === 'order' && record.reason === Reason.None) takeOrder(standing, record, entry.at);
    },
    of(circuit) {
      const standing = standings.get(circuit);
      if (!standing) throw new Error(`The site has no circuit ${circuit}.`);
      return standing;
    },
  };
}

/** Numbers of the tests completed under a plan's revision or a later one. */
export function doneTests(ends: readonly TestEnd[], revision: number): number[] {
  const done = ends.filter(({ plan, verdict }) => plan >= revision && verdict !== 'void');
  return [...new Set(done.map(({ test }) => test))];
}
