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

/** Numbers of the types (PostgreSQL 15, pg_type.dat). */
const TYPES = { bigint: 20, integer: 23, text: 25, bytea: 17 } as const;
const HEAD_BYTES = 20;

function lengthOf(kind: Kind, value: unknown): number {
  if (kind === 'text') return Buffer.byteLength(value as string);
  if (kind === 'bytea') return (value as Uint8Array).length;
  return kind === 'bigint' ? 8 : 4;
}

function put(bytes: Buffer, at: number, kind: Kind, value: unknown): void {
  if (kind === 'text') bytes.write(value as string, at);
  else if (kind === 'bytea') bytes.set(value as Uint8Array, at);
  else if (kind === 'bigint') bytes.writeBigInt64BE(BigInt(value as number), at);
  else bytes.writeInt32BE(value as number, at);
}

/**
 * One column of many rows as the server takes it without reading text: an array of one dimension without nulls, counted
 * from 1 (PostgreSQL 15, array_recv in arrayfuncs.c). It takes half the time that rows as JSON take.
 */
export function columnOf(column: string, rows: readonly Row[]): Buffer {
  const kind = kindOf(column);
  const values = rows.map((row) => row[column]);
  const size = values.reduce<number>((sum, value) => sum + 4 + lengthOf(kind, value), HEAD_BYTES);
  const bytes = Buffer.allocUnsafe(size);
  let at = 0;
  for (const number of [1, 0, TYPES[kind], values.length, 1]) at = bytes.writeInt32BE(number, at);
  for (const value of values) {
    const length = lengthOf(kind, value);
    bytes.writeInt32BE(length, at);
    put(bytes, at + 4, kind, value);
    at += 4 + length;
  }
  return bytes;
}

/** The same on the server: rows of these columns, the first of them given as `$first`. */
export function rowsFrom(columns: readonly string[], first: number): string {
  return `unnest(${columns.map((name, i) => `$${first + i}::${kindOf(name)}[]`).join(', ')})`;
}
