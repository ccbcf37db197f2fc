// What people decide at the host, written into the log book like everything else: chained and signed. The
// address of a note has a third level, which no message from the wire can have, and a key of its own: no
// controller can write one.
import { ClockTrust } from '../../firmware/contract/codes';
import { WIRE_VERSION } from '../../firmware/contract/limits';
import { hasValidSignature } from '../../firmware/contract/signature';
import { type KeyRing, signMessage } from '../keys';
import type { Logbook } from '../logbook/logbook';

export type NoteKind = 'baseline' | 'attended' | 'repaired';

/** One note as it was read back: its own fields, when and by whom. */
export interface Note<T> {
  entry: number;
  /** UTC second. */
  at: number;
  who: string;
  fields: T;
}

const LEVEL = '/host';
const JOURNAL = 'host';
/** Notes of one kind looked at for one circuit, newest first. */
const NOTES_MAX = 500;
/** Where the notes about a controller are filed. */
export function noteAddress(address: string): string {
  return `${address}${LEVEL}`;
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
  /** 1-40 printable ASCII characters without quote or backslash. */
  who: string;
  /** Numbers, and strings without quote or backslash. */
  fields: object;
}

/**
 * Writes a note, durable on return.
 * @returns the number of its entry
 * @throws LogbookError with one sentence when the log book cannot take it.
 */
export function writeNote(logbook: Pick<Logbook, 'appendNext'>, keys: KeyRing, note: NewNote): number {
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

/** The note in an entry's text; undefined when it is not one of ours. */
export function parseNote<T>(entry: { entry: number; at: number; body: string }): Note<T> | undefined {
  try {
    const { who, ...fields } = JSON.parse(entry.body) as T & { who: string };
    return { entry: entry.entry, at: entry.at, who, fields: fields as T };
  } catch {
    return undefined;
  }
}

/**
 * The notes of one kind about a controller, newest first; one without our signature is left out. Signatures
 * are checked as they are asked for.
 */
export function* readNotes<T>(
  logbook: Pick<Logbook, 'page'>,
  keys: KeyRing,
  address: string,
  kind: NoteKind,
): Generator<Note<T>> {
  const filed = noteAddress(address);
  const entries = logbook.page({ address: filed, kind, limit: NOTES_MAX });
  for (const entry of entries) {
    if (!hasValidSignature(keys.keyOf(filed), 'record', filed, entry.body)) continue;
    const note = parseNote<T>(entry);
    if (note) yield note;
  }
}
