// One host a log book. SQLite's own write lock on an empty file beside it is held as long as the host runs; the
// operating system takes it away with the process, however that ends, so no lock is ever left behind. On a network
// file system it holds between machines only where that passes on the locks of fcntl(2); between hosts on one
// machine it always holds.
import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import Database from 'libsql';
import type { Db } from '../../../sqlite';
import { type HostLock, taken } from '../../lock';
import { plainError } from './schema';

const NO_LOCK: HostLock = { tell: () => {}, release: () => {} };

function pageFile(file: string): string {
  return `${file}.lock.page`;
}

function pageOf(file: string): string {
  try {
    return readFileSync(pageFile(file), 'utf8').trim();
  } catch {
    // The other host is still starting.
    return '';
  }
}

function lock(file: string): Db {
  const db: Db = new Database(`${file}.lock`, { timeout: 0 });
  try {
    db.exec('BEGIN IMMEDIATE');
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

/**
 * Takes the log book in `file` for this host.
 * @throws LogbookError with one sentence that names the other host's page if there is one, or says why the log
 * book cannot be locked.
 */
export function lockSqlite(file: string): HostLock {
  if (file === ':memory:') return NO_LOCK;
  let db: Db;
  try {
    db = lock(file);
  } catch (error) {
    if (`${(error as { code?: string }).code}`.startsWith('SQLITE_BUSY')) throw taken(file, pageOf(file));
    throw plainError(file, error);
  }
  rmSync(pageFile(file), { force: true });
  return {
    tell(page) {
      try {
        writeFileSync(pageFile(file), `${page}\n`);
      } catch {
        // On a full disk whoever is refused is not told the address; the lock holds all the same.
      }
    },
    release() {
      rmSync(pageFile(file), { force: true });
      if (db.inTransaction) db.exec('ROLLBACK');
      db.close();
    },
  };
}
