// Repairs that people enter: what was mended and when. The luminaires are tested again soon after, so that the log
// book shows whether it helped.
import { TestKind, Verdict } from '../../firmware/contract/codes';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { type Owed, RETEST_DAYS } from '../planner/keep';
import { DAY_SEC } from '../planner/nights/nights';
import type { CircuitHistory } from '../planner/planner';
import { lampResult } from '../records/result';
import { readRecord } from '../records/schema';
import { testHistory } from '../records/testHistory';
import type { Circuit, Site } from '../site/model';
import { longKindOf } from '../site/settings';
import { testName } from '../words/codes';
import { dayWord } from '../words/when';
import { readNotes, writeNote } from './notes';

export interface RepairFields {
  /** Ids of the luminaires, with a space between them. */
  luminaires: string;
  /** What was done; '' where nobody said. */
  what: string;
  /** Kind of test that is owed after it. */
  retest: TestKind;
}

export interface Repair extends RepairFields {
  /** site/circuit */
  address: string;
  who: string;
  /** UTC second. */
  at: number;
}

type Results = Pick<Logbook, 'results'>;

/** Results looked at for the last failure of a luminaire. */
const RESULTS_MAX = 200;

/** The test that shows whether a repair helped: the long one where a luminaire failed its last long test. */
export function retestKind(
  logbook: Results,
  address: string,
  circuit: Circuit,
  luminaires: string[],
): TestKind {
  const unjudged = new Set(luminaires.map((id) => circuit.luminaires.findIndex((lamp) => lamp.id === id)));
  for (const entry of logbook.results(address, RESULTS_MAX)) {
    const r = readRecord(entry.body);
    if (r?.kind !== 'result' || r.type === TestKind.Brief) continue;
    for (const i of unjudged) {
      const verdict = lampResult(r, i)?.verdict;
      if (verdict === Verdict.Fail) return longKindOf(circuit);
      if (verdict === Verdict.Pass) unjudged.delete(i);
    }
  }
  return TestKind.Brief;
}

/** The long or brief test that a person asks for after a repair. */
export function retestOf(circuit: Circuit, word: 'brief' | 'full'): TestKind {
  return word === 'brief' ? TestKind.Brief : longKindOf(circuit);
}

/** Writes a repair into the log book. @returns the number of its entry */
export function writeRepair(logbook: Pick<Logbook, 'appendNext'>, keys: KeyRing, repair: Repair): number {
  const { address, at, who, ...fields } = repair;
  return writeNote(logbook, keys, { address, kind: 'repaired', at, who, fields });
}

/** The kind of test that a repair asks for, as the circuit stands now. */
function kindAfter(circuit: Circuit, { retest }: RepairFields): TestKind {
  return retest === TestKind.Brief ? TestKind.Brief : longKindOf(circuit);
}

/** Whether no test of a kind has been made since a repair at a UTC second. */
function isOwedSince(
  at: number,
  kind: TestKind,
  { lastBrief = 0, lastFull = 0, lastLimited = 0 }: CircuitHistory,
): boolean {
  const long = kind === TestKind.Limited ? Math.max(lastFull, lastLimited) : lastFull;
  return (kind === TestKind.Brief ? lastBrief : long) < at;
}

/** Tests of a circuit that repairs ask for and that have not been made since. */
export function owedAfterRepairs(
  logbook: Pick<Logbook, 'page' | 'results'>,
  keys: KeyRing,
  site: Site,
  circuit: Circuit,
): Owed[] {
  const address = `${site.id}/${circuit.id}`;
  let history: ReturnType<typeof testHistory> | undefined;
  const owed = new Map<TestKind, Owed>();
  for (const { at, fields } of readNotes<RepairFields>(logbook, keys, address, 'repaired')) {
    const kind = kindAfter(circuit, fields);
    if (owed.has(kind)) continue;
    history ??= testHistory(logbook, address);
    if (isOwedSince(at, kind, history)) owed.set(kind, { circuit: circuit.id, kind, from: at });
  }
  return [...owed.values()];
}

/** The newest repair of a luminaire with who entered it, while the test after it is still owed; else ''. */
export function unprovenRepair(
  logbook: Pick<Logbook, 'page' | 'results'>,
  keys: KeyRing,
  site: Site,
  circuit: Circuit,
  luminaire: string,
): string {
  const address = `${site.id}/${circuit.id}`;
  for (const { at, who, fields } of readNotes<RepairFields>(logbook, keys, address, 'repaired')) {
    if (!fields.luminaires.split(' ').includes(luminaire)) continue;
    const isOwed = isOwedSince(at, kindAfter(circuit, fields), testHistory(logbook, address));
    return isOwed ? `${who} ${repairWords(fields, at, site.timeZone)}` : '';
  }
  return '';
}

/** A repair in words: "repaired E4 (battery changed); a full test is due again by 4 December 2026." */
export function repairWords({ luminaires, what, retest }: RepairFields, at: number, zone: string): string {
  const names = luminaires.split(' ').join(', ');
  const due = dayWord(at + RETEST_DAYS * DAY_SEC, zone);
  return `repaired ${names}${what === '' ? '' : ` (${what})`}; a ${testName(retest)} is due again by ${due}.`;
}
