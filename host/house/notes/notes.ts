// What people decide at the host, written into the log book like everything else: chained and signed. A
// note's address has a third level, which no message from the wire can have, and its own key: no controller
// can write one.
import { ClockTrust } from '../../../firmware/contract/codes';
import { WIRE_VERSION } from '../../../firmware/contract/limits';
import { isSigned, type KeyRing, signMessage } from '../../keys';
import type { Entry, Logbook } from '../../logbook/logbook';

export type NoteKind = 'baseline' | 'attended' | 'repaired' | 'listed';

/** One note as read back: its own fields, when and by whom. */
export interface Note<T> {
  entry: number;
  /** UTC second. */
  at: number;
  who: string;
  fields: T;
}

const LEVEL = '/host';
const JOURNAL = 'host';

/** Where the notes about a controller are filed. */
export function noteAddress(address: string): string {
  return `${address}${LEVEL}`;
}

/** The controller a note at this address is about, site/circuit. */
export function aboutOf(address: string): string {
  return address.slice(0, -LEVEL.length);
}

export function isNoteAddress(address: string): boolean {
  return address.split('/').length === 3 && address.endsWith(LEVEL);
}

export interface NewNote {
  /** site/circuit */
  address: string;
  kind: NoteKind;
  /** UTC second. */
  at: number;
  /** A name as `isWho` of host/words/person.ts allows it. */
  who: string;
  /** Numbers, and strings without quote or backslash. */
  fields: object;
}

/** What to write, or why nothing is written: one sentence each. */
export type Decision<T extends NewNote = NewNote> = { note: T } | { refusals: string[] };

/**
 * Writes a note, durable on return.
 * @returns the entry it made
 * @throws LogbookError with one sentence if the log book cannot take it.
 */
export function writeNote(
  logbook: Pick<Logbook, 'appendNext'>,
  keys: KeyRing,
  note: NewNote,
): Promise<Entry> {
  const address = noteAddress(note.address);
  const { kind, at, who, fields } = note;
  // The host's own clock.
  const clock = ClockTrust.Synchronised;
  return logbook.appendNext(address, JOURNAL, (seq, prev) => {
    const head = { v: WIRE_VERSION, journal: JOURNAL, seq, boot: 0, utc: at, clock, kind, who };
    const body = signMessage(keys, address, 'record', { ...head, ...fields, prev });
    return { kind, test: 0, at, body };
  });
}

/** The note in an entry's text; undefined if it is not ours. */
export function parseNote<T>(entry: { entry: number; at: number; body: string }): Note<T> | undefined {
  try {
    const { who, ...fields } = JSON.parse(entry.body) as T & { who: string };
    return { entry: entry.entry, at: entry.at, who, fields: fields as T };
  } catch {
    return undefined;
  }
}

/** The same for an entry at a note address; undefined also if it lacks our signature. */
export function signedNote<T>(keys: KeyRing, entry: Entry): Note<T> | undefined {
  const { address, body } = entry;
  return isSigned(keys, address, 'record', body) ? parseNote<T>(entry) : undefined;
}
