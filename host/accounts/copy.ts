// A copy of the accounts, as they are at this moment; a host may be writing them.
import { closeSync, openSync, rmSync } from 'node:fs';
import Database from 'libsql';
import { syncPath } from '../disk';
import { openFile } from './rows';

const PATIENCE_MS = 3000;

/** What belongs to a browser, and to the host that it signed in at. */
const SESSIONS = 'DELETE FROM sessions; DELETE FROM devices;';
/** What may have been withdrawn or used since. */
const KEYS = "DELETE FROM tokens; DELETE FROM passkeys; UPDATE accounts SET code = x'', code_until = 0;";

/**
 * Copies accounts into a new file that only its owner may read. Sessions, known devices, access tokens, passkeys and one-time
 * codes stay behind: what has ended since must not begin again with a backup.
 * @throws Error with one sentence if they cannot be read or the file cannot be written; it is not there then
 */
export function copyAccounts(from: string, to: string): void {
  duplicate(from, to, SESSIONS + KEYS);
}

/** Copies accounts for another host, which takes the place of theirs; only sessions and known devices stay behind. @throws as `copyAccounts` */
export function carryAccounts(from: string, to: string): void {
  duplicate(from, to, SESSIONS);
}

/**
 * @param without what is not to be in the copy, as SQL
 * @throws Error with one sentence if they cannot be read or the file cannot be written; it is not there then
 */
function duplicate(from: string, to: string, without: string): void {
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
      source.prepare('VACUUM INTO ?').run(to);
    } finally {
      source.close();
    }
    const copy = openFile(to, PATIENCE_MS);
    try {
      copy.exec(without);
      // Nothing of it stays on free pages.
      copy.exec('VACUUM');
    } finally {
      copy.close();
    }
    syncPath(to);
  } catch (error) {
    rmSync(to, { force: true });
    throw new Error(`The accounts in ${from} cannot be copied: ${(error as Error).message}.`);
  }
}
