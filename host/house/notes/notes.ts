// What people decide at the host, written into the log book like everything else: chained and signed. A
// note's address has a third level, which no message from the wire can have, and its own key: no controller
// can write one.
import { ClockTrust } from '../../../firmware/contract/codes';
import { WIRE_VERSION } from '../../../firmware/contract/limits';
import { isSigned, type KeyRing, signMessage } from '../../keys';
import {
  type Entry,
  type Logbook,
  LogbookError,
  type NextRecord,
  type WriteNext,
} from '../../logbook/logbook';

/** Every kind of note; the page has a word for each. */
export const NOTE_KINDS = [
  'baseline',
  'attended',
  'repaired',
  'listed',
  'withdrawn',
  'inspection',
  'defect',
  'site',
  'account',
] as const;
export type NoteKind = (typeof NOTE_KINDS)[number];

/** One note as read back: its own fields, when and by whom. */
export interface Note<T> {
  entry: number;
  /** UTC second. */
  at: number;
  who: string;
  fields: T;
}

const LEVEL = '/host';
/** Stands in place of a controller where a note is about the whole site: no controller has this name. */
export const WHOLE_SITE = '*';
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
  /** The account of who signed in to enter it; left out where nobody has to sign in. */
  account?: string;
  /** What JSON can hold. */
  fields: object;
}

/** What to write, or why nothing is written: one sentence each. */
export type Decision<T extends NewNote = NewNote> = { note: T } | { refusals: string[] };

/** Its text as the next record of a journal of the host's. */
function textOf(keys: KeyRing, note: NewNote, journal: string, seq: number, prev: string): string {
  const { kind, at, who, account, fields } = note;
  const address = noteAddress(note.address);
  // The host's own clock.
  const clock = ClockTrust.Synchronised;
  const head = {
    v: WIRE_VERSION,
    journal,
    seq,
    boot: 0,
    utc: at,
    clock,
    kind,
    who,
    ...(account && { account }),
  };
  return signMessage(keys, address, 'record', { ...head, ...fields, prev });
}

/** A note as the next record of the host's journal on its controller. */
function nextRecord(keys: KeyRing, note: NewNote): NextRecord {
  const { address, kind, at } = note;
  const write: WriteNext = (seq, prev) => ({
    ...{ kind, test: 0, at, body: textOf(keys, note, JOURNAL, seq, prev) },
  });
  return { address: noteAddress(address), journal: JOURNAL, write };
}

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
  const { address, journal, write } = nextRecord(keys, note);
  return logbook.appendNext(address, journal, write);
}

/** The same for many in one transaction. @returns their entries in order */
export function writeNotes(
  logbook: Pick<Logbook, 'appendNextAll'>,
  keys: KeyRing,
  notes: NewNote[],
): Promise<Entry[]> {
  return logbook.appendNextAll(notes.map((note) => nextRecord(keys, note)));
}

class Stored extends LogbookError {}

/** The journal of a note that is written once, whoever sends it how often. */
function journalOf(id: string): string {
  return `${JOURNAL}-${id}`;
}

/** True if the log book holds the note that was written once under this id. */
export async function isWritten(
  logbook: Pick<Logbook, 'lastOf'>,
  address: string,
  id: string,
): Promise<boolean> {
  return (await logbook.lastOf(noteAddress(address), journalOf(id))) > 0;
}

/**
 * Writes a note unless the log book already holds one under this id: it has a journal of its own, whose first record
 * there can be only once. Durable on return.
 * @returns the entry it made; undefined if there was one before
 * @throws LogbookError with one sentence if the log book cannot take it.
 */
export async function writeOnce(
  logbook: Pick<Logbook, 'appendNext' | 'lastOf'>,
  keys: KeyRing,
  note: NewNote,
  id: string,
): Promise<Entry | undefined> {
  const { kind, at } = note;
  const journal = journalOf(id);
  if (await isWritten(logbook, note.address, id)) return undefined;
  try {
    return await logbook.appendNext(noteAddress(note.address), journal, (seq, prev) => {
      if (seq > 1) throw new Stored('It was stored before.');
      return { kind, test: 0, at, body: textOf(keys, note, journal, seq, prev) };
    });
  } catch (error) {
    if (error instanceof Stored) return undefined;
    throw error;
  }
}

/** The entry of a number; undefined if the log book has none. @throws LogbookError if it cannot be read */
export async function entryOf(logbook: Pick<Logbook, 'after'>, number: number): Promise<Entry | undefined> {
  const [entry] = await logbook.after(number - 1, 1);
  return entry?.entry === number ? entry : undefined;
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
