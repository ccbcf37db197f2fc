// What all SQLite files of the host share.
import { closeSync, existsSync, openSync, readSync, statSync } from 'node:fs';
import Database from 'libsql';

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

const PIECE_BYTES = 1 << 20;
/** From this size on the order of reading matters: 64 MiB. */
const LARGE_BYTES = 1 << 26;

function readThrough(path: string): void {
  const handle = openSync(path, 'r');
  const piece = Buffer.allocUnsafe(PIECE_BYTES);
  try {
    for (let at = 0; ; ) {
      const got = readSync(handle, piece, 0, PIECE_BYTES, at);
      if (got === 0) return;
      at += got;
    }
  } finally {
    closeSync(handle);
  }
}

/**
 * Opens a file that may have a write-ahead file, which is read once before the driver does. After a crash it holds the
 * newest entries, and libsql 0.5.29 takes one that it cannot read for an empty one, which it then removes (SQLite 3.40
 * refuses to open the file). What has been read here the driver finds in the memory of the operating system.
 * @throws Error if a part of it cannot be read
 */
export function openWithWal(file: string, options: Database.Options): Db {
  const wal = `${file}-wal`;
  if (existsSync(wal)) readThrough(wal);
  return new Database(file, options);
}

/**
 * Reads a large file from its beginning to its end before SQLite checks it, tree by tree: in that order a disk takes
 * ten times as long.
 * @throws Error if a part of it cannot be read
 */
export function readAhead(file: string): void {
  if ((statSync(file, { throwIfNoEntry: false })?.size ?? 0) >= LARGE_BYTES) readThrough(file);
}
