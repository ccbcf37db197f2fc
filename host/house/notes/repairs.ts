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

export interface RepairFields {
  /** Ids of the luminaires, separated by spaces. */
  luminaires: string;
  /** What was done; '' if not given. */
  what: string;
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

/** True if no test of a kind has been completed since a repair at a UTC second. */
function isOwedSince(
  at: number,
  kind: TestKind,
  { lastBrief = 0, lastFull = 0, lastLimited = 0 }: CircuitHistory,
): boolean {
  const long = kind === TestKind.Limited ? Math.max(lastFull, lastLimited) : lastFull;
  return (kind === TestKind.Brief ? lastBrief : long) < at;
}

/**
 * Tests of a circuit that repairs ask for and that are still owed, the newest repair first.
 * @param repairs the newest of each kind
 */
export function owedAfterRepairs(
  circuit: Circuit,
  repairs: Iterable<Repair>,
  history: CircuitHistory,
): Owed[] {
  return [...repairs]
    .map(({ entry, at, fields }) => ({ entry, at, kind: kindAfter(circuit, fields) }))
    .filter(({ at, kind }) => isOwedSince(at, kind, history))
    .sort((one, other) => other.entry - one.entry)
    .map(({ at, kind }) => ({ circuit: circuit.id, kind, from: at }));
}

/** Repaired luminaires of a circuit whose test is still owed, with its kind. */
export function pendingRetests(
  circuit: Circuit,
  repairs: ReadonlyMap<string, Repair>,
  history: CircuitHistory,
): { luminaire: string; kind: TestKind }[] {
  return [...repairs].flatMap(([luminaire, { at, fields }]) => {
    const kind = kindAfter(circuit, fields);
    return isOwedSince(at, kind, history) ? [{ luminaire, kind }] : [];
  });
}

/** A luminaire's newest repair and who entered it, while the test after it is still owed; otherwise ''. */
export function unprovenRepair(
  circuit: Circuit,
  repair: Repair | undefined,
  history: CircuitHistory,
  zone: string,
): string {
  if (!repair || !isOwedSince(repair.at, kindAfter(circuit, repair.fields), history)) return '';
  return `${repair.who} ${repairWords(repair.fields, repair.at, zone)}`;
}

/** A repair in words: "repaired E4 (battery changed); a full test is due again by 4 December 2026." */
export function repairWords({ luminaires, what, retest }: RepairFields, at: number, zone: string): string {
  const names = luminaires.split(' ').join(', ');
  const due = dayWord(at + RETEST_DAYS * DAY_SEC, zone);
  return `repaired ${names}${what === '' ? '' : ` (${what})`}; a ${testName(retest)} is due by ${due}.`;
}
