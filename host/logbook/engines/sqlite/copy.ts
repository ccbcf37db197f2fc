// A consistent copy of a log book's file, made while a host may be writing to it.
import Database from 'libsql';
import { syncPath } from '../../../disk';
import { type Db, openWithWal } from '../../../sqlite';
import { IN_USE, plainError } from './schema';

/**
 * Copies the log book in `file`, as it is at this moment, into `target`, which must not exist yet.
 * @throws LogbookError with one sentence if that fails; what was written is then worthless.
 */
export function copySqlite(file: string, target: string): void {
  let db: Db | undefined;
  try {
    // Everything in the write-ahead file is in it: SQLite documentation, "VACUUM INTO" (2024).
    db = openWithWal(file, { readonly: true, timeout: 5000 });
    db.prepare('VACUUM INTO ?').run(target);
    db.close();
    db = new Database(target);
    // Nobody has the copy open, whoever has the log book.
    db.prepare('DELETE FROM memory WHERE name = ?').run(IN_USE);
    db.close();
    db = undefined;
    syncPath(target);
  } catch (error) {
    db?.close();
    throw plainError(file, error);
  }
}
