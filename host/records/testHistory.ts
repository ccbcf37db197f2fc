// What the planner needs to know of the past, from the log book.
import { TestKind } from '../../firmware/contract/codes';
import type { Logbook } from '../logbook/logbook';
import type { CircuitHistory } from '../planner/planner';
import { resultAt, resultVerdict } from './result';
import { readRecord } from './schema';

/** Results looked at: with many void ones between, the last full test is more than a year back. */
const RESULTS_MAX = 200;

/** Numbers of the tests that a controller has completed under a plan's revision or a later one. */
export function doneTests(logbook: Pick<Logbook, 'results'>, address: string, revision: number): number[] {
  const done = new Set<number>();
  for (const entry of logbook.results(address, RESULTS_MAX)) {
    const r = readRecord(entry.body);
    if (r?.kind === 'result' && r.plan >= revision && r.test > 0 && resultVerdict(r) !== 'void')
      done.add(r.test);
  }
  return [...done];
}

/** Last completed tests of a controller, so that a new plan goes on where the old one ended. */
export function testHistory(logbook: Pick<Logbook, 'results'>, address: string): CircuitHistory {
  const history: CircuitHistory = {};
  for (const entry of logbook.results(address, RESULTS_MAX)) {
    const r = readRecord(entry.body);
    if (r?.kind !== 'result' || resultVerdict(r) === 'void') continue;
    const at = resultAt(r, entry.at);
    if (r.type === TestKind.Full) history.lastFull ??= at;
    if (r.type === TestKind.Limited) history.lastLimited ??= at;
    // A longer test shows all that a brief test would have shown.
    history.lastBrief ??= at;
  }
  return history;
}
