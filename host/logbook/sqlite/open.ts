// The SQLite log book, put together; every failure leaves as one sentence.
import type { Logbook } from '../logbook';
import { newAppender } from './append';
import { newMemory, newOrderStore } from './orders';
import { newReader } from './read';
import { openDb, plainError } from './schema';

export interface LogbookOptions {
  /** Largest size of the file in pages of 4096 bytes, so that it cannot fill the disk; 0 for no limit. */
  pagesMax?: number;
}

/** The same functions, whose errors are sentences about `file`. */
function plainly<T extends object>(file: string, target: T): T {
  const out: Record<string, unknown> = {};
  for (const [name, member] of Object.entries(target)) {
    out[name] = (...values: unknown[]) => {
      try {
        return (member as (...v: unknown[]) => unknown)(...values);
      } catch (error) {
        throw plainError(file, error);
      }
    };
  }
  return out as T;
}

/**
 * Opens the log book in `file`, or makes it; ':memory:' keeps it in memory only.
 * @throws LogbookError with one sentence when the file is damaged, foreign, newer or cannot be opened.
 */
export function openLogbook(file: string, options: LogbookOptions = {}): Logbook {
  const db = openDb(file, options.pagesMax ?? 0);
  const appender = newAppender(db);
  const reader = newReader(db);
  const records = plainly(file, {
    appendBatch: appender.append,
    appendNext: appender.next,
    through: (address: string, journal: string, after = 0) => appender.through(address, journal, after),
    ...reader,
    total: (filter = {}) => reader.total(filter),
    close: () => {
      db.close();
    },
  });
  return {
    ...records,
    orders: plainly(file, newOrderStore(db, appender.controller)),
    memory: plainly(file, newMemory(db)),
  };
}
