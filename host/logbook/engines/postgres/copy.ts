// A copy of a log book in a database as a SQLite log book: its backup, the way back to a file, and what is verified.
import { syncPath } from '../../../disk';
import { type Db, inTransaction } from '../../../sqlite';
import { openDb } from '../sqlite/openDb';
import { plainError } from '../sqlite/schema';
import type { Place } from './address';
import { missingGuards } from './schema';
import { type Client, type Row, Session } from './session';

/** Columns of every table, in both kinds of log book. */
export const TABLES = {
  controllers: ['id', 'address'],
  entries: ['entry', 'controller', 'journal', 'seq', 'kind', 'test', 'at', 'body', 'hash'],
  evidence: ['id', 'at', 'controller', 'journal', 'seq', 'why', 'body'],
  orders: ['controller', 'counter', 'what', 'arg', 'who', 'at', 'answer'],
  memory: ['name', 'text'],
  tiles: ['level', 'number', 'hashes', 'root'],
  checkpoints: ['size', 'at', 'text'],
  cosignatures: ['id', 'size', 'line'],
  stamps: ['id', 'size', 'url', 'at', 'token'],
} as const;

/** Rows per read. */
const SLICE = 2000;

/** Rows of one table in order, a slice at a time. */
async function* slicesOf(client: Client, table: keyof typeof TABLES): AsyncGenerator<Row[]> {
  const columns = TABLES[table].join(', ');
  await client.query(`DECLARE slices NO SCROLL CURSOR FOR SELECT ${columns} FROM ${table} ORDER BY 1, 2`);
  for (;;) {
    const { rows } = await client.query(`FETCH ${SLICE} FROM slices`);
    if (rows.length > 0) yield rows;
    if (rows.length < SLICE) break;
  }
  await client.query('CLOSE slices');
}

/** @returns how many rows contradict others: in a database whose indexes were removed */
async function copyTable(client: Client, db: Db, table: keyof typeof TABLES): Promise<number> {
  const columns: readonly string[] = TABLES[table];
  const put = db.prepare(
    `INSERT OR IGNORE INTO ${table} (${columns.join(', ')}) VALUES (${columns.map(() => '?').join(', ')})`,
  );
  let refused = 0;
  for await (const rows of slicesOf(client, table))
    inTransaction(db, () => {
      for (const row of rows) if (put.run(columns.map((name) => row[name])).changes === 0) refused++;
    });
  return refused;
}

/**
 * Copies a log book, as it is at this moment, into the SQLite file `target`, which must not exist yet.
 * @returns one sentence for each contradiction in the database itself
 * @throws LogbookError with one sentence if that fails; what was written is then worthless
 */
export async function copyPostgres(place: Place, target: string): Promise<string[]> {
  const session = new Session(place);
  let db: Db | undefined;
  try {
    const file = openDb(target, 0);
    db = file;
    file.pragma('foreign_keys = OFF');
    const faults = await session.use(async (client) => {
      await client.query('BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY');
      const found = await missingGuards(client, place);
      for (const table of Object.keys(TABLES) as (keyof typeof TABLES)[]) {
        const refused = await copyTable(client, file, table);
        if (refused > 0) found.push(`${refused} rows of "${table}" contradict other rows of it.`);
      }
      await client.query('COMMIT');
      return found;
    });
    file.pragma('wal_checkpoint(TRUNCATE)');
    file.close();
    db = undefined;
    syncPath(target);
    return faults;
  } catch (error) {
    throw plainError(target, error);
  } finally {
    db?.close();
    await session.close();
  }
}
