// What all SQLite files of the host share.
import type Database from 'libsql';

export type Db = Database.Database;

/** Runs `work` as one durable transaction; nothing of it remains if it throws. */
export function inTransaction<T>(db: Db, work: () => T): T {
  db.exec('BEGIN IMMEDIATE');
  try {
    const result = work();
    db.exec('COMMIT');
    return result;
  } catch (error) {
    if (db.inTransaction) db.exec('ROLLBACK');
    throw error;
  }
}
