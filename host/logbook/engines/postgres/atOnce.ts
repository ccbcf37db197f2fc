// The usual batch, records of controllers that are known, as one statement that is a transaction of its own: one way there
// and back, where a transaction in steps takes four, and on a busy machine each costs more than the work.
//
// What it adds was made for the end of the log book as this process knows it. Entries are never changed or removed, so
// it still fits if that entry is there and none has its first number, which the key of the table sees to, whatever
// others have written while it waited for its turn.
import { sha256Hex } from '../../../keys';
import type { Head } from '../../filing';
import { columnOf, rowsFrom } from './columns';
import { fenceOf } from './lock';
import { takeWriting } from './schema';
import type { Client, Row, Session } from './session';

export const ENTRY = ['entry', 'controller', 'journal', 'seq', 'kind', 'test', 'at', 'body', 'hash'];
const TILE = ['level', 'number', 'hashes', 'root'];
/** SQLSTATE of a row that is there already (PostgreSQL 15 documentation, appendix A). */
const UNIQUE = '23505';

function statement(place: Session['place'], fence: string): string {
  return (
    `WITH turn AS MATERIALIZED (${takeWriting(place)}), ` +
    `may AS MATERIALIZED (SELECT FROM turn WHERE current_setting('fsync') <> 'off' AND ${fence} ` +
    'AND EXISTS (SELECT FROM entries WHERE entry = $1 AND hash = $2) ' +
    'AND NOT EXISTS (SELECT FROM entries WHERE entry = $1::bigint + 1)), ' +
    `filled AS (INSERT INTO tiles (${TILE.join(', ')}) SELECT t.* FROM may, ${rowsFrom(TILE, 3)} AS t) ` +
    `INSERT INTO entries (${ENTRY.join(', ')}) SELECT e.* FROM may, ${rowsFrom(ENTRY, 3 + TILE.length)} AS e`
  );
}

/**
 * Adds entries after `head`, with the tiles they have filled; durable on return.
 * @returns false if nothing was added, because the log book goes on otherwise, or something is wrong that only the
 * transaction in steps tells
 */
export async function addAtOnce(
  client: Client,
  place: Session['place'],
  head: Head,
  rows: { entries: readonly Row[]; tiles: readonly Row[] },
): Promise<boolean> {
  const fence = await fenceOf(place);
  const text = statement(place, fence);
  const values = [
    ...[head.entry, head.hash],
    ...TILE.map((name) => columnOf(name, rows.tiles)),
    ...ENTRY.map((name) => columnOf(name, rows.entries)),
  ];
  try {
    // Prepared once a session, which is told by its name.
    const name = `add ${sha256Hex(text).slice(0, 16)}`;
    return (await client.query({ name, text, values })).rowCount === rows.entries.length;
  } catch (error) {
    if ((error as { code?: string }).code === UNIQUE) return false;
    throw error;
  }
}
