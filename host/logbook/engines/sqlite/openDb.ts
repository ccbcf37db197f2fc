// How the SQLite file is opened, made, or brought to the newest version.
import { type Db, inTransaction, openWithWal, readAhead } from '../../../sqlite';
import { LogbookError } from '../../logbook';
import { carryOver } from './carryOver';
import { bytes, textIn } from './columns';
import { APPLICATION_ID, numberOf, plainError, VERSIONS } from './schema';

function checkWhole(db: Db, file: string): void {
  // What SQLite says may quote a damaged name.
  const sql = `SELECT ${bytes('quick_check', 'verdict')} FROM pragma_quick_check(1)`;
  const { verdict } = db.prepare(sql).get() as { verdict: unknown };
  if (textIn(verdict) !== 'ok') throw Object.assign(new Error(file), { code: 'SQLITE_CORRUPT' });
}

function migrate(db: Db, file: string): void {
  const version = numberOf(db, 'PRAGMA user_version', 'user_version');
  const owner = numberOf(db, 'PRAGMA application_id', 'application_id');
  const tables = numberOf(db, 'SELECT count(*) AS n FROM sqlite_master', 'n');
  if (tables > 0 && owner !== APPLICATION_ID)
    throw new LogbookError(`${file} is the database of another program; give another file with --db.`);
  if (version > VERSIONS.length)
    throw new LogbookError(
      `The log book ${file} was written by a newer version; use that version to open it.`,
    );
  const script = (v: number): string =>
    `${VERSIONS[v - 1]} PRAGMA application_id = ${APPLICATION_ID}; PRAGMA user_version = ${v};`;
  if (version < 1) inTransaction(db, () => db.exec(script(1)));
  if (version < 2) carryOver(db, script(2));
}

/**
 * Opens (or creates) the file, durable at every commit.
 * @param pagesMax largest size of the file in pages of 4096 bytes; 0 for no limit
 * @throws LogbookError with one sentence.
 */
export function openDb(file: string, pagesMax: number): Db {
  let db: Db | undefined;
  try {
    db = openWithWal(file, { timeout: 5000 });
    // Checked first: this writes nothing, so a foreign file stays as it is.
    numberOf(db, 'SELECT count(*) AS n FROM sqlite_master', 'n');
    const mark = numberOf(db, 'PRAGMA application_id', 'application_id');
    if (mark === APPLICATION_ID) {
      readAhead(file);
      checkWhole(db, file);
    }
    migrate(db, file);
    db.pragma('journal_mode = WAL');
    db.pragma('synchronous = FULL');
    db.pragma('foreign_keys = ON');
    db.pragma('journal_size_limit = 67108864');
    if (pagesMax > 0) db.pragma(`max_page_count = ${pagesMax}`);
    return db;
  } catch (error) {
    db?.close();
    throw plainError(file, error);
  }
}
