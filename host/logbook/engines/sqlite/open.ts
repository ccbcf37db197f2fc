// The SQLite log book, assembled; every error becomes one sentence.
import type { EntryFilter, JournalPlace, Logbook } from '../../logbook';
import { newAppender } from './append';
import { newCheckpointStore, newLogTree } from './checkpoints';
import { OpenFile } from './identity';
import { newMark, newMemoryStore } from './memory';
import { openDb } from './openDb';
import { newOrderStore } from './orders';
import { newReader } from './read';
import { plainError } from './schema';

export interface SqliteOptions {
  /** Largest size of the file in pages of 4096 bytes, so that it cannot fill the disk; 0 for no limit. */
  pagesMax?: number;
}

type Member = (...values: never[]) => unknown;
/** The same functions, each returning a promise. */
type Promised<T> = {
  [Name in keyof T]: T[Name] extends (...values: infer V) => infer R ? (...values: V) => Promise<R> : never;
};

/** The same functions as promises, with errors as sentences about `file`. The work itself is done at once. */
function plainly<T extends Record<keyof T, Member>>(file: string, target: T): Promised<T> {
  const out: Record<string, unknown> = {};
  for (const [name, member] of Object.entries(target)) {
    out[name] = async (...values: never[]) => {
      try {
        return (member as Member)(...values);
      } catch (error) {
        throw plainError(file, error);
      }
    };
  }
  return out as Promised<T>;
}

/**
 * The same functions for what is written, or said to be written: before, it must be sure that the file on the
 * disk is the open one, and again before anyone is told.
 */
function surely<T extends Record<keyof T, Member>>(open: OpenFile, target: T): T {
  const out: Record<string, unknown> = {};
  for (const [name, member] of Object.entries(target)) {
    out[name] = (...values: never[]) => {
      open.check();
      const result = (member as Member)(...values);
      open.check();
      return result;
    };
  }
  return out as T;
}

/**
 * Opens the log book in `file`, or creates it; ':memory:' keeps it in memory only.
 * @throws LogbookError with one sentence if the file is damaged, foreign, newer or cannot be opened.
 */
export function openSqlite(file: string, options: SqliteOptions): Logbook {
  const db = openDb(file, options.pagesMax ?? 0);
  const appender = newAppender(db);
  const reader = newReader(db);
  const open = new OpenFile(db, file);
  const records = plainly(file, {
    ...surely(open, {
      appendBatch: appender.append,
      appendNext: appender.next,
      appendNextAll: appender.nextAll,
      keep: appender.keep,
      through: (address: string, journal: string, after = 0) => appender.through(address, journal, after),
      throughAll: (journals: JournalPlace[]) =>
        journals.map(({ address, journal, after }) => appender.through(address, journal, after)),
    }),
    ...reader,
    total: (filter: Pick<EntryFilter, 'address' | 'kind'> = {}) => reader.total(filter),
    mark: newMark(db),
    close: () => {
      try {
        // The driver may keep the file open until the process ends; a copy made before that should be whole.
        db.pragma('wal_checkpoint(TRUNCATE)');
      } catch {
        // All is in the WAL already, and the next start reads it from there.
      }
      db.close();
    },
  });
  return {
    ...records,
    orders: plainly(file, surely(open, newOrderStore(db, appender.writing))),
    tree: plainly(file, newLogTree(appender.tree)),
    checkpoints: plainly(file, surely(open, newCheckpointStore(db))),
    memory: plainly(file, surely(open, newMemoryStore(db))),
  };
}
