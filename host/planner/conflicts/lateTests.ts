// Late tests, gathered so that one reason is told once for all circuits it holds for.
import type { TestKind } from '../../../firmware/contract/codes';
import type { Circuit } from '../../site/model';
import type { Shortfall } from '../plan/plan';
import { type Interval, intervalOf, type Reason, reasonFor } from './lateReasons';
import type { Judged } from './wiring';

/** So many sets of dates without tests are told one by one; more than that come together. */
const DATES_MAX = 3;

/** Late tests of one kind that have the same reason. */
export interface Late {
  kind: TestKind;
  reason: Reason;
  circuits: Set<Circuit>;
  /** How many tests are late. */
  tests: number;
  /** The nights in which the first of them should have been. */
  interval: Interval;
  /** Number of the night by which the last of them was due. */
  lastDue: number;
  /** Where neighbours take turns: the circuits that have to, by one of those that are late. */
  rivals: Map<Circuit, Circuit[]>;
}

/** What two late tests must have in common to be told together. */
function keyOf(kind: TestKind, reason: Reason): string {
  const detail = 'dates' in reason ? reason.dates.join() : 'needSec' in reason ? reason.needSec : '';
  return [reason.why, kind, detail].join(' ');
}

/** Two reasons of one sort as one. */
function joined(a: Reason, b: Reason): Reason {
  if (a.why === 'length' && b.why === 'length')
    return { ...a, longestSec: Math.max(a.longestSec, b.longestSec) };
  if (a.why === 'turns' && b.why === 'turns') return a.cycle >= b.cycle ? a : b;
  if (a.why === 'barred' && b.why === 'barred')
    return { ...a, dates: [...new Set([...a.dates, ...b.dates])].sort() };
  return a;
}

function add(to: Late, late: Late): void {
  to.reason = joined(to.reason, late.reason);
  for (const circuit of late.circuits) to.circuits.add(circuit);
  for (const [circuit, rivals] of late.rivals) to.rivals.set(circuit, rivals);
  to.tests += late.tests;
  if (late.interval.last < to.interval.last) to.interval = late.interval;
  to.lastDue = Math.max(to.lastDue, late.lastDue);
}

/** Dates without tests differ from circuit to circuit; where that makes many sets, they are told together. */
function fewDates(lates: Late[]): Late[] {
  const out = lates.filter(({ reason }) => reason.why !== 'barred');
  for (const kind of new Set(lates.map((late) => late.kind))) {
    const barred = lates.filter((late) => late.reason.why === 'barred' && late.kind === kind);
    if (barred.length > DATES_MAX) for (const late of barred.splice(1)) add(barred[0], late);
    out.push(...barred);
  }
  return out;
}

/** All late tests of a plan, by reason. */
export function lateTests(shortfalls: Shortfall[], j: Judged): Late[] {
  const byId = new Map(j.works.map((work) => [work.circuit.id, work]));
  const byKey = new Map<string, Late>();
  for (const shortfall of shortfalls) {
    const { kind } = shortfall;
    const work = byId.get(shortfall.circuit)!;
    const { circuit } = work;
    const reason = reasonFor(work, shortfall, j);
    const interval = intervalOf(shortfall, j);
    const late: Late = {
      ...{ kind, reason, circuits: new Set([circuit]), tests: 1, interval, lastDue: interval.last },
      rivals: new Map(reason.why === 'turns' ? [[circuit, reason.rivals]] : []),
    };
    const key = keyOf(kind, reason);
    const same = byKey.get(key);
    if (same) add(same, late);
    else byKey.set(key, late);
  }
  return fewDates([...byKey.values()]);
}
