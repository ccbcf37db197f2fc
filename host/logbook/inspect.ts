// What verifying needs of a log book's file: everything that stands in it as it stands there, whatever has
// become of it. Reading never writes, and never ends the process.
import type { StoredCheckpoint } from './checkpoints';
import type { Entry, Evidence, OrderRow } from './logbook';

/** An entry as it is stored. */
export interface RawEntry extends Entry {
  /** False if its text has bytes that no text has; it is then given byte by byte. */
  isText: boolean;
}

/** A part of the tree as it is stored: up to 256 hashes of 32 bytes, and their root. */
export interface RawTile {
  level: number;
  number: number;
  hashes: Uint8Array;
  root: Uint8Array;
}

export interface Repeated {
  /** By controller and counter. */
  orders: OrderRow[];
  /** Oldest first. */
  kept: Evidence[];
}

export interface Inspected {
  /**
   * Up to `limit` entries after number `after`, oldest first.
   * @throws Error if a part of the file cannot be read
   */
  slice(after: number, limit: number): RawEntry[];
  /** One sentence for each contradiction in the file itself; the last may say that there are more. */
  storage(): string[];
  /** Whether the log book said of this record, when it arrived, that it does not fit; older files only. */
  isSaid(address: string, journal: string, seq: number): boolean;
  /** False for a file written before checkpoints were kept. */
  hasTree: boolean;
  /** Oldest first. */
  checkpoints(): StoredCheckpoint[];
  /** By level and number. */
  tiles(): Iterable<RawTile>;
  /** What stands beside the entries and only repeats them. */
  repeated(): Repeated;
  /** Names of texts in the host's memory that are not as they were written. */
  memory(): string[];
  close(): void;
}

/** Entries per read. */
const SLICE = 2000;

/** All entries, oldest first. @throws Error where a part of the file cannot be read */
export function* entriesOf(book: Pick<Inspected, 'slice'>): Generator<RawEntry> {
  for (let after = 0; ; ) {
    const entries = book.slice(after, SLICE);
    yield* entries;
    if (entries.length < SLICE) return;
    after = entries[entries.length - 1].entry;
  }
}
