// What a log book is. Every engine must pass the same cases (tests/host/logbook/cases.ts); open.ts picks one. All of it
// is asynchronous, because an engine may be on another machine.
import type { KeyRing } from '../keys';
import type { CheckpointStore, LogTree } from './checkpoints';
import type { Fault } from './fault';

/** One record as a controller signed it, with the few fields the log book is searched by. */
export interface NewRecord {
  /** site/controller */
  address: string;
  journal: string;
  /** Rising by one per journal, from 1. */
  seq: number;
  kind: string;
  /** Test number, 0 if the record belongs to none. */
  test: number;
  /** UTC second. */
  at: number;
  /** The signed text, byte for byte. */
  body: string;
}

/** A record in the log book. */
export interface Entry extends NewRecord {
  /** Number in the log book, from 1 without gaps. */
  entry: number;
  /** SHA-256 of the previous entry's hash, the address and the body, hex. */
  hash: string;
}

/**
 * What happened to a record, and `through`, the highest number up to which its journal then lacks none. `duplicate`: the
 * very same text is already stored. `conflict`: another text is stored under the same number; the first one stays, the
 * second is kept as evidence.
 */
export type Appended = { through: number } & (
  | { outcome: 'stored'; entry: Entry }
  | { outcome: 'duplicate' | 'conflict' }
);

/** Something that should not be, kept for later investigation. */
export interface Evidence {
  at: number;
  address: string;
  journal: string;
  seq: number;
  /** Plain sentence. */
  why: string;
  body: string;
}

export interface EntryFilter {
  /** Only entries before this number. */
  before?: number;
  /** Most entries, 1-500. */
  limit: number;
  /** One address, or any of several. */
  address?: string | string[];
  kind?: string;
}

export interface Verification {
  valid: boolean;
  entries: number;
  /** Hash of the last entry; 64 zeros for an empty log book. */
  finalHash: string;
  /** The first fault that the log book did not say itself; entry 0 means the log book as a whole. */
  broken?: { entry: number; why: string };
  /** All that were found, up to a limit. */
  faults: Fault[];
}

/** An order on its way to a controller, or answered. */
export interface OrderRow {
  address: string;
  counter: number;
  do: number;
  arg: number;
  who: string;
  /** UTC second it was made. */
  at: number;
  /** '' until the controller has answered or the wait is over. */
  answer: string;
}

/** An order as it is given, with the account of who gave it. */
export interface NewOrder extends Omit<OrderRow, 'counter' | 'answer'> {
  account?: string;
}

/** A journal, and the number after which records are looked for. */
export interface JournalPlace {
  address: string;
  journal: string;
  after: number;
}

/** Makes a record from its number and the link to the record before. */
export type WriteNext = (seq: number, prev: string) => Omit<NewRecord, 'address' | 'journal' | 'seq'>;

/** The next record of a journal of the host's own. */
export interface NextRecord {
  address: string;
  journal: string;
  write: WriteNext;
}

export interface Logbook {
  /**
   * Stores records in one transaction: afterwards all are durable, or none is and it throws. Returns, in
   * order, what happened to each. A record whose `prev` does not fit its neighbours is still stored, and
   * flagged.
   * @throws LogbookError with one sentence (disk full, file damaged).
   */
  appendBatch(records: NewRecord[]): Promise<Appended[]>;
  /**
   * Writes the next record of a journal of the host's own, durable on return: `write` gets its number and
   * the link to the record before. @returns the entry it made. @throws LogbookError as above.
   */
  appendNext(address: string, journal: string, write: WriteNext): Promise<Entry>;
  /** The same for many at once, in order and in one transaction. */
  appendNextAll(records: NextRecord[]): Promise<Entry[]>;
  /** Keeps a signed text that is no record as evidence, once, under journal '' and number 0; durable on return. */
  keep(unfit: Omit<Evidence, 'journal' | 'seq'>): Promise<void>;
  /** Highest number up to which no record after `after` is missing; at least `after`. */
  through(address: string, journal: string, after?: number): Promise<number>;
  /** The same for many journals at once, in order. */
  throughAll(journals: JournalPlace[]): Promise<number[]>;
  /** Newest record number stored, 0 if none. */
  lastOf(address: string, journal: string): Promise<number>;
  /** Number of the newest entry, 0 if none. */
  entries(): Promise<number>;
  /** Newest first. */
  page(filter: EntryFilter): Promise<Entry[]>;
  total(filter?: Pick<EntryFilter, 'address' | 'kind'>): Promise<number>;
  /** Oldest first, `limit` entries after entry number `after`. */
  after(after: number, limit: number, kind?: string): Promise<Entry[]>;
  /** Results of one controller, newest first. */
  results(address: string, limit: number): Promise<Entry[]>;
  evidence(limit: number): Promise<Evidence[]>;
  evidenceCount(): Promise<number>;
  /**
   * Recomputes the chain of the log book, every controller's chain, the gaps, and the signatures. The command
   * `logbook verify` looks at the file as well.
   */
  verify(keys?: KeyRing): Promise<Verification>;
  tree: LogTree;
  checkpoints: CheckpointStore;
  orders: OrderStore;
  memory: MemoryStore;
  /**
   * Marks the file as one that a host has open, or no longer has, so that a copy of it without the newest entries is
   * recognised; durable on return.
   */
  mark(isOpen: boolean): Promise<void>;
  close(): Promise<void>;
}

export interface OrderStore {
  /** Makes the order an entry, durable on return, and returns its counter: higher than any before. */
  take(order: NewOrder): Promise<number>;
  /** Makes the answer an entry, durable on return; `at` is a UTC second. Ignored if there is no such order. */
  answer(address: string, counter: number, answer: string, at: number): Promise<void>;
  recent(limit: number): Promise<OrderRow[]>;
}

/** Small texts that must survive a restart: revisions, the current plan, when a controller was heard. */
export interface MemoryStore {
  /** All of them, by name. */
  all(): Promise<Map<string, string>>;
  /** Durable on return. */
  remember(name: string, text: string): Promise<void>;
  /** The same for many by name, in one transaction. */
  rememberAll(texts: ReadonlyMap<string, string>): Promise<void>;
}

/** A problem with the log book's file, as one sentence. */
export class LogbookError extends Error {}
