// A SQLite log book put into a database where there is none: how a host moves there, and how a backup is restored.
import { type Db, openWithWal } from '../../../sqlite';
import { LogbookError } from '../../logbook';
import { bytes, bytesIn, textIn, whole } from '../sqlite/columns';
import { IN_USE, plainError } from '../sqlite/schema';
import type { Place } from './address';
import { insertion, kindOf } from './columns';
import { TABLES } from './copy';
import { emptySchema, takeWriting } from './schema';
import { type Client, type Row, Session } from './session';
import { markOf } from './shelf';

/** Rows per statement. */
const SLICE = 1000;

/** Every column as what it is, whatever is stored in the file. */
function readable(column: string): string {
  return /text|bytea/.test(kindOf(column)) ? bytes(column) : whole(column);
}

function asValue(column: string, value: unknown): unknown {
  if (kindOf(column) === 'text') return textIn(value);
  return kindOf(column) === 'bytea' ? bytesIn(value).toString('hex') : Number(value);
}

/** Numbers of rows that only say in which order they came are made anew. */
function columnsOf(table: keyof typeof TABLES): string[] {
  return TABLES[table].filter((column) => column !== 'id' || table === 'controllers');
}

async function fillTable(client: Client, db: Db, table: keyof typeof TABLES): Promise<void> {
  const columns = columnsOf(table);
  const isKept = table === 'evidence';
  const put = insertion(table, [...columns, ...(isKept ? ['mark'] : [])]);
  const others = table === 'memory' ? ` AND name <> '${IN_USE}'` : '';
  const read = db.prepare(
    `SELECT rowid AS "row", ${columns.map(readable).join(', ')} FROM ${table} WHERE rowid > ?${others} ` +
      `ORDER BY rowid LIMIT ${SLICE}`,
  );
  for (let last = Number.MIN_SAFE_INTEGER; ; ) {
    const found = read.all(last) as Row[];
    last = Number(found.at(-1)?.row);
    const rows = found.map((row) =>
      Object.fromEntries(columns.map((name) => [name, asValue(name, row[name])])),
    );
    if (isKept) for (const row of rows) row.mark = markOf(row as unknown as Parameters<typeof markOf>[0]);
    if (rows.length > 0) await client.query(put, [JSON.stringify(rows)]);
    if (rows.length < SLICE) return;
  }
}

function expectLast(db: Db, file: string, finalHash: string | undefined): void {
  const row = db.prepare('SELECT hash FROM entries ORDER BY entry DESC LIMIT 1').get() as Row | undefined;
  if (finalHash !== undefined && row && row.hash !== finalHash)
    throw new LogbookError(
      `${file} was written to after it was verified; stop what uses it, and restore it again.`,
    );
}

/**
 * Puts the SQLite log book `file` into a database, all of it or nothing, as it is at one moment.
 * @param finalHash what its last entry must have
 * @throws LogbookError with one sentence if there is a log book already, or it cannot be done
 */
export async function fillPostgres(file: string, place: Place, finalHash?: string): Promise<void> {
  const session = new Session(place);
  let db: Db | undefined;
  try {
    const source = openWithWal(file, { readonly: true, timeout: 5000 });
    db = source;
    source.exec('BEGIN');
    expectLast(source, file, finalHash);
    await session.use(async (client) => {
      await client.query('BEGIN');
      await client.query(takeWriting(place));
      await emptySchema(client, place);
      for (const table of Object.keys(TABLES) as (keyof typeof TABLES)[])
        await fillTable(client, source, table);
      await client.query('COMMIT');
    });
  } catch (error) {
    throw plainError(file, error);
  } finally {
    db?.close();
    await session.close();
  }
}
