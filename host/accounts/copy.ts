// A copy of the accounts, as they are at this moment; a host may be writing them.
import { closeSync, openSync, rmSync } from 'node:fs';
import Database from 'libsql';
import { syncPath } from '../disk';
import { openFile } from './rows';

const PATIENCE_MS = 3000;

/**
 * Copies accounts into a new file that only its owner may read. Sessions and known devices stay behind: what has ended since
 * must not begin again with a backup.
 * @throws Error with one sentence if they cannot be read or the file cannot be written; it is not there then
 */
export function copyAccounts(from: string, to: string): void {
  try {
    // Before SQLite does: only its owner may read it.
    closeSync(openSync(to, 'wx', 0o600));
  } catch (error) {
    const isThere = (error as NodeJS.ErrnoException).code === 'EEXIST';
    throw new Error(
      isThere
        ? `${to} exists already, and nothing is replaced; name another file or move it away.`
        : (error as Error).message,
    );
  }
  try {
    const source = new Database(from, { timeout: PATIENCE_MS });
    try {
      source.exec(`VACUUM INTO '${to.replaceAll("'", "''")}'`);
    } finally {
      source.close();
    }
    const copy = openFile(to, PATIENCE_MS);
    try {
      copy.exec('DELETE FROM sessions; DELETE FROM devices');
    } finally {
      copy.close();
    }
    syncPath(to);
  } catch (error) {
    rmSync(to, { force: true });
    throw new Error(`The accounts in ${from} cannot be copied: ${(error as Error).message}.`);
  }
}
