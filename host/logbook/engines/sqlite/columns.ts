// Columns as they are safe to read. The driver ends the whole process on a text that is not UTF-8, which one flipped
// bit is enough for, so texts are read as bytes and numbers as numbers whatever is stored there.
import type { Entry } from '../../logbook';

type Row = Record<string, unknown>;

/** A column read as bytes, under its own name or another. */
export function bytes(column: string, name = column.replace(/^.*\./, '')): string {
  return `CAST(${column} AS BLOB) AS ${name}`;
}

/** A column read as a whole number. */
export function whole(column: string, name = column.replace(/^.*\./, '')): string {
  return `CAST(${column} AS INTEGER) AS ${name}`;
}

/** Bytes of a column; none if it holds none. The driver gives a Buffer for one row, an ArrayBuffer for many. */
export function bytesIn(value: unknown): Buffer {
  if (value instanceof ArrayBuffer) return Buffer.from(value);
  if (value instanceof Uint8Array) return Buffer.from(value.buffer, value.byteOffset, value.length);
  return Buffer.alloc(0);
}

/** Text of a column read as bytes; what is not UTF-8 comes out as U+FFFD, so it no longer has its hash. */
export function textIn(value: unknown): string {
  return bytesIn(value).toString();
}

/** All columns of entries `e` with their controllers `c`. An entry of a controller that is not there has no address. */
export const ENTRIES =
  `SELECT e.entry, ${bytes('c.address')}, ${bytes('e.journal')}, ${whole('e.seq')}, ${bytes('e.kind')}, ` +
  `${whole('e.test')}, ${whole('e.at')}, ${bytes('e.body')}, ${bytes('e.hash')} ` +
  'FROM entries e LEFT JOIN controllers c ON c.id = e.controller';

export function toEntry(row: unknown): Entry {
  const r = row as Row;
  return {
    entry: Number(r.entry),
    address: textIn(r.address),
    journal: textIn(r.journal),
    seq: Number(r.seq),
    kind: textIn(r.kind),
    test: Number(r.test),
    at: Number(r.at),
    body: textIn(r.body),
    hash: textIn(r.hash),
  };
}
