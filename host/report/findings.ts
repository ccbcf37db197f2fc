// What a report says beside the schedule and the defects: what went wrong, and what people did.
/** A departure from what was due: tests late or void, tester faults, doubts about clocks or the log book. */
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
  /** It ended only because the site file no longer has the circuit or the luminaires: nobody put it right. */
  isGone?: boolean;
  /** Nobody knows whether it is so. */
  isUnknown?: boolean;
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

/** An entry worth reading that is no deviation. */
export interface Remark {
  entry: number;
  at: number;
  circuit: string;
  text: string;
}

export function isOpen(one: Pick<Deviation, 'closedAt' | 'isGone' | 'isUnknown'>): boolean {
  return one.closedAt === 0 && one.isGone !== true && one.isUnknown !== true;
}

/** Most names in a sentence; the schedule and the list of luminaires have all. */
const NAMED_MAX = 60;

/** "A-01, A-02", and no more of them than fit on a sheet. */
export function someOf(names: readonly string[]): string {
  const more = names.length - NAMED_MAX;
  return `${names.slice(0, NAMED_MAX).join(', ')}${more > 0 ? ` and ${more} more` : ''}`;
}
