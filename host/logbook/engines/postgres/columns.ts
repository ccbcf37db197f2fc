// What the columns are, and rows of entries as everyone else has them.
import type { Entry } from '../../logbook';
import type { Row } from './session';

/** All columns of entries `e` with their controllers `c`. An entry of a controller that is not there has no address. */
export const ENTRIES =
  "SELECT e.entry, coalesce(c.address, '') AS address, e.journal, e.seq, e.kind, e.test, e.at, e.body, e.hash " +
  'FROM entries e LEFT JOIN controllers c ON c.id = e.controller';

export function toEntry(row: Row): Entry {
  const { entry, address, journal, seq, kind, test, at, body, hash } = row as unknown as Entry;
  return { entry, address, journal, seq, kind, test, at, body, hash };
}

type Kind = 'bigint' | 'integer' | 'text' | 'bytea';

/** Columns that are no text. */
const KINDS: { [column: string]: Kind } = {
  ...{ id: 'integer', entry: 'bigint', controller: 'integer', seq: 'bigint', test: 'bigint', at: 'bigint' },
  ...{ counter: 'bigint', what: 'bigint', arg: 'bigint', level: 'integer', number: 'bigint', size: 'bigint' },
  ...{ hashes: 'bytea', root: 'bytea', token: 'bytea' },
};

export function kindOf(column: string): Kind {
  return KINDS[column] ?? 'text';
}

/** Puts rows into a table that are given as one JSON text, bytes in it as hex digits. */
export function insertion(table: string, columns: readonly string[]): string {
  const values = columns.map((name) => (kindOf(name) === 'bytea' ? `decode(${name}, 'hex')` : name));
  const types = columns.map((name) => `${name} ${kindOf(name).replace('bytea', 'text')}`);
  return (
    `INSERT INTO ${table} (${columns.join(', ')}) SELECT ${values.join(', ')} ` +
    `FROM json_to_recordset($1) AS t(${types.join(', ')})`
  );
}
