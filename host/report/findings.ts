// What a report says beside the schedule: what went wrong, apart from what is broken, and what people did.
import type { KindWord } from '../words/codes';

/** A departure from what was due: tests late or void, testers at fault, doubts about clocks or the log book. */
export interface Deviation {
  what: DeviationKind;
  /** '' if it is about the whole building. */
  circuit: string;
  /** Empty if it is about the circuit, or the building. */
  luminaires: string[];
  /** UTC second at which it began. */
  at: number;
  /** UTC second at which it was put right, 0 while it is open. */
  closedAt: number;
  /** Number of the entry that shows it, 0 if there is no one entry. */
  entry: number;
  /** Plain sentence. */
  text: string;
}

export type DeviationKind =
  | 'test late'
  | 'test void'
  | 'tester fault'
  | 'hold'
  | 'test overdue'
  | 'charging'
  | 'circuit silent'
  | 'clock'
  | 'records'
  | 'log book';

/** A luminaire that failed, until a test that can disprove it was passed. */
export interface Defect {
  luminaire: string;
  circuit: string;
  /** UTC second of the test that first showed it, and its entry. */
  at: number;
  entry: number;
  kind: KindWord;
  /** Plain sentence. */
  reason: string;
  /** Failed tests while it was open. */
  fails: number;
  repairs: RepairNote[];
  /** UTC second, entry and kind of the test that was passed; 0, 0 and '' while it is open. */
  closedAt: number;
  closedEntry: number;
  closedKind: KindWord;
}

export interface RepairNote {
  entry: number;
  at: number;
  who: string;
  /** In the words of who entered it, '' if not given. */
  what: string;
}

/** An entry worth reading that is no deviation. */
export interface Remark {
  entry: number;
  at: number;
  circuit: string;
  text: string;
}

export function isOpen({ closedAt }: { closedAt: number }): boolean {
  return closedAt === 0;
}
