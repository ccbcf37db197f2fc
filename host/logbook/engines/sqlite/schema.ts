// What is in the SQLite file, and what its errors mean.
import type { Db } from '../../../sqlite';
import { LogbookError } from '../../logbook';

/** "NPLB": marks the file as ours, so that another program's database is not taken for a log book. */
export const APPLICATION_ID = 0x4e504c42;

/** Memory under this name says that a host has the file open, so its newest entries may stand beside it. */
export const IN_USE = 'in use';

function appendOnly(table: string): string {
  const refuse = "BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;";
  return `CREATE TRIGGER ${table}_stay BEFORE DELETE ON ${table}
  ${refuse}
CREATE TRIGGER ${table}_fixed BEFORE UPDATE ON ${table}
  ${refuse}
`;
}

/**
 * One script per schema version, run in order; a published one is never changed. Rowid table with a
 * unique index on a small integer: five times as fast as a text key (measured, 73,524 against 15,446 rows/s).
 */
export const VERSIONS = [
  `
CREATE TABLE controllers (id INTEGER PRIMARY KEY, address TEXT NOT NULL UNIQUE) STRICT;
CREATE TABLE entries (
  entry INTEGER PRIMARY KEY,
  controller INTEGER NOT NULL REFERENCES controllers(id),
  journal TEXT NOT NULL,
  seq INTEGER NOT NULL,
  kind TEXT NOT NULL,
  test INTEGER NOT NULL,
  at INTEGER NOT NULL,
  body TEXT NOT NULL,
  hash TEXT NOT NULL
) STRICT;
CREATE UNIQUE INDEX entries_once ON entries (controller, journal, seq);
CREATE INDEX entries_by_kind ON entries (kind, controller, entry);
CREATE INDEX entries_by_controller ON entries (controller, entry);
CREATE TABLE evidence (
  id INTEGER PRIMARY KEY,
  at INTEGER NOT NULL,
  controller INTEGER NOT NULL REFERENCES controllers(id),
  journal TEXT NOT NULL,
  seq INTEGER NOT NULL,
  why TEXT NOT NULL,
  body TEXT NOT NULL,
  UNIQUE (controller, journal, seq, why, body)
) STRICT;
CREATE TABLE orders (
  controller INTEGER NOT NULL REFERENCES controllers(id),
  counter INTEGER NOT NULL,
  what INTEGER NOT NULL,
  arg INTEGER NOT NULL,
  who TEXT NOT NULL,
  at INTEGER NOT NULL,
  answer TEXT NOT NULL,
  PRIMARY KEY (controller, counter)
) STRICT;
CREATE TABLE memory (name TEXT PRIMARY KEY, text TEXT NOT NULL) STRICT;
CREATE TRIGGER controllers_stay BEFORE DELETE ON controllers
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
CREATE TRIGGER controllers_fixed BEFORE UPDATE ON controllers
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
CREATE TRIGGER entries_stay BEFORE DELETE ON entries
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
CREATE TRIGGER entries_fixed BEFORE UPDATE ON entries
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
CREATE TRIGGER evidence_stays BEFORE DELETE ON evidence
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
CREATE TRIGGER evidence_fixed BEFORE UPDATE ON evidence
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
CREATE TRIGGER orders_stay BEFORE DELETE ON orders
  BEGIN SELECT RAISE(ABORT, 'the log book is append-only'); END;
`,
  // Orders and evidence only repeat what entries say (carryOver.ts); tiles can be made again from entries.
  `
CREATE TABLE tiles (
  level INTEGER NOT NULL,
  number INTEGER NOT NULL,
  hashes BLOB NOT NULL,
  root BLOB NOT NULL,
  PRIMARY KEY (level, number)
) STRICT;
CREATE TABLE checkpoints (size INTEGER PRIMARY KEY, at INTEGER NOT NULL, text TEXT NOT NULL) STRICT;
CREATE TABLE cosignatures (
  id INTEGER PRIMARY KEY,
  size INTEGER NOT NULL REFERENCES checkpoints(size),
  line TEXT NOT NULL,
  UNIQUE (size, line)
) STRICT;
CREATE TABLE stamps (
  id INTEGER PRIMARY KEY,
  size INTEGER NOT NULL REFERENCES checkpoints(size),
  url TEXT NOT NULL,
  at INTEGER NOT NULL,
  token BLOB NOT NULL
) STRICT;
CREATE INDEX stamps_by_size ON stamps (size);
${['checkpoints', 'cosignatures', 'stamps'].map(appendOnly).join('')}`,
];

/** Turns the driver's error into one sentence for the person who has to act. */
export function plainError(file: string, error: unknown): LogbookError {
  if (error instanceof LogbookError) return error;
  const { code = '', message } = error as { code?: string; message: string };
  if (code === 'SQLITE_FULL')
    return new LogbookError(
      `The disk of the log book ${file} is full. Nothing more is stored until there is room; the ` +
        'controllers keep their records until then.',
    );
  if (code === 'SQLITE_NOTADB')
    return new LogbookError(`${file} is not a log book; give another file with --db.`);
  if (code.startsWith('SQLITE_CORRUPT'))
    return new LogbookError(
      `The log book ${file} is damaged. Keep the file and restore your backup; the controllers then send ` +
        'what they have not sent yet.',
    );
  if (code.startsWith('SQLITE_BUSY'))
    return new LogbookError(`Another program is using the log book ${file}; stop it and try again.`);
  if (code.startsWith('SQLITE_READONLY'))
    return new LogbookError(
      `The log book ${file} cannot be written; check the permissions of file and folder.`,
    );
  if (code.startsWith('SQLITE_IOERR') || code === 'EIO')
    return new LogbookError(`The disk of the log book ${file} has failed: ${message}.`);
  if (message.includes('ConnectionFailed'))
    return new LogbookError(
      `The log book ${file} cannot be opened; check that its folder exists and that you may write there.`,
    );
  return new LogbookError(`The log book ${file} failed: ${message}.`);
}

/** One value from one row; libsql adds a field of its own to single rows, so columns are read by name. */
export function numberOf(db: Db, sql: string, name: string): number {
  return (db.prepare(sql).get() as Record<string, number>)[name];
}
