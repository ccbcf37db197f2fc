// Repairs that people enter: what was repaired and when. The luminaires are tested again soon after, so that
// the log book shows whether it helped.
import { TestKind } from '../../../firmware/contract/codes';
import type { RepairPart } from '../../api/views';
import { type Owed, RETEST_DAYS } from '../../planner/keep';
import { DAY_SEC } from '../../planner/nights/nights';
import type { CircuitHistory } from '../../planner/planner';
import type { Circuit } from '../../site/model';
import { longKindOf } from '../../site/settings';
import { testName } from '../../words/codes';
import { dayWord } from '../../words/when';
import { allIdsOf } from '../rows/listed';

export interface RepairFields {
  /** Ids of the luminaires, separated by spaces. */
  luminaires: string;
  /** What was done; '' if not given. */
  what: string;
  /** What was changed; not in notes of earlier versions. */
  part?: RepairPart;
  /** Kind of test owed after it. */
  retest: TestKind;
}

/** A repair as entered. */
export interface Repair {
  /** Number of its entry in the log book. */
  entry: number;
  who: string;
  /** UTC second. */
  at: number;
  fields: RepairFields;
}

/** The test that shows whether a repair helped: a long one if a luminaire failed its last long test. */
export function retestKind(circuit: Circuit, failedLong: readonly boolean[], luminaires: string[]): TestKind {
  const hasFailed = circuit.luminaires.some((lamp, i) => luminaires.includes(lamp.id) && failedLong[i]);
  return hasFailed ? longKindOf(circuit) : TestKind.Brief;
}

/**
 * True if the part changed feeds the lamp, or is the lamp: only a long test proves it (common practice, no source).
 */
export function changesFeed(part: RepairPart): boolean {
  return part !== 'other';
}

/** True if the luminaire may take another current since: what was measured before was of another lamp or driver. */
export function changesCurrent({ part, what }: RepairFields): boolean {
  const parts: RepairPart[] = ['lamp', 'driver or charger', 'whole luminaire'];
  return parts.some((one) => one === part || partWords(one) === what);
}

/** The test owed after a repair, by page and by command: a long one after a change of what feeds the lamp. */
export function retestAfter(
  circuit: Circuit,
  failedLong: readonly boolean[],
  luminaires: string[],
  part: RepairPart,
): TestKind {
  return changesFeed(part) ? longKindOf(circuit) : retestKind(circuit, failedLong, luminaires);
}

/** What was done, where nobody says more; '' if the part does not tell. */
export function partWords(part: RepairPart): string {
  return part === 'other' ? '' : `${part} changed`;
}

/** The long or brief test requested after a repair. */
export function retestOf(circuit: Circuit, word: 'brief' | 'full'): TestKind {
  return word === 'brief' ? TestKind.Brief : longKindOf(circuit);
}

/** The kind of test a repair asks for in the circuit's present state. */
export function kindAfter(circuit: Circuit, { retest }: RepairFields): TestKind {
  return retest === TestKind.Brief ? TestKind.Brief : longKindOf(circuit);
}

/**
 * True if no test of a kind has judged a luminaire since a repair: a UTC second, or an entry where the tests are
 * numbers of entries.
 */
export function isOwedSince(
  at: number,
  kind: TestKind,
  { lastBrief = 0, lastFull = 0, lastLimited = 0 }: CircuitHistory,
): boolean {
  const long = kind === TestKind.Limited ? Math.max(lastFull, lastLimited) : lastFull;
  return (kind === TestKind.Brief ? lastBrief : long) < at;
}

/**
 * Tests of a circuit that repairs ask for and that are still owed, the newest repair first, one of each kind. What
 * counts is a test that judged the luminaire itself: it may have stood in another circuit.
 * @param repairs in log book order
 * @param own of its luminaires, in sensor order
 */
export function owedAfterRepairs(
  circuit: Circuit,
  repairs: readonly Repair[],
  own: readonly CircuitHistory[],
): Owed[] {
  const owed = new Map<TestKind, Owed>();
  for (const { at, fields } of repairs) {
    const kind = kindAfter(circuit, fields);
    const ids = fields.luminaires.split(' ');
    const isOwed = circuit.luminaires.some(
      (lamp, i) => allIdsOf(lamp).some((id) => ids.includes(id)) && isOwedSince(at, kind, own[i]),
    );
    if (!isOwed) continue;
    owed.delete(kind);
    owed.set(kind, { circuit: circuit.id, kind, from: at });
  }
  return [...owed.values()].reverse();
}

/** True if no test has judged a luminaire of the circuit since its repair. */
function isUnproven(
  circuit: Circuit,
  luminaire: string,
  { at, fields }: Repair,
  own: readonly CircuitHistory[],
): boolean {
  const index = circuit.luminaires.findIndex(({ id }) => id === luminaire);
  return isOwedSince(at, kindAfter(circuit, fields), own[index]);
}

/**
 * Repaired luminaires of a circuit that no test has judged since, with the kind of that test.
 * @param repairs the newest of each luminaire, by its id of today
 * @param own in sensor order
 */
export function pendingRetests(
  circuit: Circuit,
  repairs: ReadonlyMap<string, Repair>,
  own: readonly CircuitHistory[],
): { luminaire: string; kind: TestKind }[] {
  return [...repairs].flatMap(([luminaire, repair]) => {
    const kind = kindAfter(circuit, repair.fields);
    return isUnproven(circuit, luminaire, repair, own) ? [{ luminaire, kind }] : [];
  });
}

/**
 * A luminaire's newest repair and who entered it, until the test after it has judged the luminaire; otherwise ''.
 * @param repairs the newest of each luminaire, by its id of today
 * @param own in sensor order
 */
export function unprovenRepair(
  circuit: Circuit,
  luminaire: string,
  { repairs, own }: { repairs: ReadonlyMap<string, Repair>; own: readonly CircuitHistory[] },
  zone: string,
): string {
  const repair = repairs.get(luminaire);
  if (!repair || !isUnproven(circuit, luminaire, repair, own)) return '';
  return `${repair.who} ${repairWords(repair.fields, repair.at, zone)}`;
}

/** A repair in words: "repaired E4 (battery changed); a full test is due again by 4 December 2026." */
export function repairWords({ luminaires, what, retest }: RepairFields, at: number, zone: string): string {
  const names = luminaires.split(' ').join(', ');
  const due = dayWord(at + RETEST_DAYS * DAY_SEC, zone);
  return `repaired ${names}${what === '' ? '' : ` (${what})`}; a ${testName(retest)} is due by ${due}.`;
}
