// A log book's SQLite file as it stands, opened for reading only. All texts are read as bytes: one that is no
// text would end the process inside the driver.
import { isAscii, isUtf8 } from 'node:buffer';
import { closeSync, existsSync, openSync, readSync, statSync } from 'node:fs';
import Database from 'libsql';
import { type Db, openWithWal } from '../../../sqlite';
import type { Inspected, RawEntry, RawTile, Repeated } from '../../inspect';
import { LogbookError } from '../../logbook';
import { unsealed } from '../../sealed';
import { newCheckpointStore } from './checkpoints';
import { bytesIn } from './columns';
import { isOpenMark } from './memory';
import { APPLICATION_ID, IN_USE, plainError, VERSIONS } from './schema';

/** First bytes of every SQLite file, and where in its header version and owner are: SQLite file format, 1.3. */
const MAGIC = 'SQLite format 3\0';
const [VERSION_AT, OWNER_AT, HEADER_BYTES] = [60, 68, 100];

/** @throws LogbookError if the file's first bytes are not those of a log book that this version can read */
function checkHeader(file: string): void {
  const header = Buffer.alloc(HEADER_BYTES);
  try {
    const handle = openSync(file, 'r');
    try {
      readSync(handle, header, 0, HEADER_BYTES, 0);
    } finally {
      closeSync(handle);
    }
  } catch (error) {
    throw new LogbookError(`The log book ${file} cannot be opened: ${(error as Error).message}.`);
  }
  if (header.toString('latin1', 0, MAGIC.length) !== MAGIC)
    throw new LogbookError(`${file} is not a log book; give another file with --db.`);
  if (header.readUInt32BE(OWNER_AT) !== APPLICATION_ID)
    throw new LogbookError(`${file} is the database of another program; give another file with --db.`);
  if (header.readUInt32BE(VERSION_AT) > VERSIONS.length)
    throw new LogbookError(
      `The log book ${file} was written by a newer version; use that version to check it.`,
    );
}

/** What `list` gives of an empty log book of this schema version. */
function schemaOf<T>(version: number, list: (db: Db) => T): T {
  const db = new Database(':memory:');
  try {
    for (const script of VERSIONS.slice(0, version)) db.exec(script);
    return list(db);
  } finally {
    db.close();
  }
}

/** Most contradictions that SQLite is asked to list. */
const LISTED_MAX = 100;

const TEXTS = ['journal', 'kind', 'hash', 'body'] as const;

/** All entries of a slice as one blob: the numbers of each as text, the lengths of its texts, the texts. */
const SLICE = `
SELECT CAST(group_concat(
  entry || ' ' || coalesce(controller, 0) || ' ' || coalesce(seq, 0) || ' ' || coalesce(test, 0) || ' ' ||
  coalesce(at, 0) || ' ' || ${TEXTS.map((name) => `length(CAST(coalesce(${name}, '') AS BLOB))`).join(" || ' ' || ")} ||
  char(10) || ${TEXTS.map((name) => `coalesce(${name}, '')`).join(' || ')}, '') AS BLOB)
FROM (SELECT * FROM entries WHERE entry > ? ORDER BY entry LIMIT ?)`;

/** Bytes as the text they are, or else as one character a byte. */
function textOf(bytes: Buffer): { text: string; isText: boolean } {
  const isText = isUtf8(bytes);
  return { text: isText ? bytes.toString('utf8') : bytes.toString('latin1'), isText };
}

function parseSlice(blob: Buffer, addresses: ReadonlyMap<string, string>): RawEntry[] {
  // A character a byte, so that lengths in bytes count; usually it is the text already.
  const all = blob.toString('latin1');
  const isPlain = isAscii(blob);
  const entries: RawEntry[] = [];
  for (let at = 0; at < all.length; ) {
    const line = all.indexOf('\n', at);
    const [entry, controller, seq, test, time, ...lengths] = all.slice(at, line).split(' ');
    let from = line + 1;
    let isText = true;
    const texts = lengths.map((length) => {
      const to = from + Number(length);
      const piece = isPlain ? { text: all.slice(from, to), isText: true } : textOf(blob.subarray(from, to));
      from = to;
      isText &&= piece.isText;
      return piece.text;
    });
    at = from;
    const address = addresses.get(controller) ?? `controller ${controller}, which is not known`;
    const [journal, kind, hash, body] = texts;
    const numbers = { entry: Number(entry), seq: Number(seq), test: Number(test), at: Number(time) };
    entries.push({ ...numbers, address, journal, kind, hash, body, isText });
  }
  return entries;
}

function rowsOf(db: Db, sql: string, ...values: unknown[]): unknown[][] {
  return db
    .prepare(sql)
    .raw(true)
    .all(...values) as unknown[][];
}

const blobText = (value: unknown): string => textOf(bytesIn(value)).text;

function hasTable(db: Db, name: string): boolean {
  return rowsOf(db, "SELECT 1 FROM sqlite_master WHERE type = 'table' AND name = ?", name).length > 0;
}

/** What the file should consist of, and does not. */
function strangeSchema(db: Db): string[] {
  const list = (from: Db): Map<string, string> =>
    new Map(
      rowsOf(from, 'SELECT CAST(name AS BLOB), CAST(coalesce(sql, type) AS BLOB) FROM sqlite_master').map(
        ([name, sql]) => [blobText(name), blobText(sql)],
      ),
    );
  const [version] = rowsOf(db, 'PRAGMA user_version')[0] as [number];
  const [should, is] = [schemaOf(version, list), list(db)];
  const lost = [...should].filter(([name, sql]) => is.get(name) !== sql).map(([name]) => name);
  const added = [...is.keys()].filter((name) => !should.has(name) && !name.startsWith('sqlite_'));
  return [
    ...lost.map(
      (name) => `The file's part "${name}" is missing or was changed; it is there to prevent changes.`,
    ),
    ...added.map((name) => `The file holds a part "${name}" that no version of this program makes.`),
  ];
}

/** A book copied while a host had it open, without the file that holds its newest entries. */
function lostLog(db: Db, file: string): string[] {
  const wal = `${file}-wal`;
  if (existsSync(wal) && statSync(wal).size > 0) return [];
  const rows = rowsOf(db, 'SELECT CAST(text AS BLOB) FROM memory WHERE name = ?', IN_USE);
  if (!rows.some(([text]) => isOpenMark(blobText(text)))) return [];
  return [
    `The file was copied while a host was using it, and ${file}-wal, which holds the newest entries, is ` +
      'missing. Copy it with "logbook backup".',
  ];
}

function reported(error: unknown): string {
  return `SQLite reports "${(error as Error).message}".`;
}

/** Each check by itself: one that cannot be made must not keep the others from being made. */
function eachOf(checks: (() => string[])[]): string[] {
  return checks.flatMap((check) => {
    try {
      return check();
    } catch (error) {
      return [`The file cannot be checked: ${reported(error)}`];
    }
  });
}

function storageFaults(db: Db, file: string): string[] {
  const pragma = (name: string) => rowsOf(db, `PRAGMA ${name}`);
  return eachOf([
    () => strangeSchema(db),
    () => lostLog(db, file),
    () =>
      pragma(`integrity_check(${LISTED_MAX})`)
        .map(([line]) => String(line))
        .filter((line) => line !== 'ok')
        .map((line) => `SQLite finds: ${line.replace(/\.$/, '')}.`),
    () =>
      pragma('foreign_key_check').map(
        ([table, row]) => `Row ${row} of "${table}" belongs to a controller that is not in the file.`,
      ),
  ]);
}

function* tilesOf(db: Db): Iterable<RawTile> {
  const read =
    'SELECT level, number, hashes, root FROM tiles WHERE (level, number) > (?, ?) ORDER BY level, number LIMIT 64';
  for (let after = [-1, -1]; ; ) {
    const rows = rowsOf(db, read, ...after);
    for (const [level, number, hashes, root] of rows) {
      after = [Number(level), Number(number)];
      yield { level: after[0], number: after[1], hashes: bytesIn(hashes), root: bytesIn(root) };
    }
    if (rows.length < 64) return;
  }
}

function addressesOf(db: Db): Map<string, string> {
  const rows = rowsOf(db, 'SELECT id, CAST(address AS BLOB) FROM controllers');
  return new Map(rows.map(([id, address]) => [String(id), blobText(address)]));
}

/**
 * Opens a log book's file to inspect it.
 * @throws LogbookError with one sentence if there is none, or it is foreign, newer or cannot be opened at all.
 */
export function inspectSqlite(file: string): Inspected {
  try {
    checkHeader(file);
    return inspected(openWithWal(file, { readonly: true, timeout: 5000 }), file);
  } catch (error) {
    throw plainError(file, error);
  }
}

/** What `read` gives, or else: that it cannot be read is found by SQLite's own check. */
function orElse<T>(read: () => T, otherwise: T): T {
  try {
    return read();
  } catch {
    return otherwise;
  }
}

/** What only repeats entries: orders with their answers, and texts kept apart. */
function repeatedOf(db: Db): Repeated {
  const orders = rowsOf(
    db,
    'SELECT controller, counter, what, arg, CAST(who AS BLOB), at, CAST(answer AS BLOB) FROM orders ' +
      'ORDER BY controller, counter',
  );
  const kept = rowsOf(
    db,
    'SELECT controller, CAST(journal AS BLOB), seq, at, CAST(why AS BLOB), CAST(body AS BLOB) FROM evidence ' +
      'ORDER BY id',
  );
  const addresses = addressesOf(db);
  const address = (id: unknown) => addresses.get(String(id)) ?? `controller ${id}`;
  return {
    orders: orders.map(([controller, counter, what, arg, who, at, answer]) => ({
      ...{ address: address(controller), counter: Number(counter), do: Number(what), arg: Number(arg) },
      ...{ who: blobText(who), at: Number(at), answer: blobText(answer) },
    })),
    kept: kept.map(([controller, journal, seq, at, why, body]) => ({
      ...{ address: address(controller), journal: blobText(journal), seq: Number(seq), at: Number(at) },
      ...{ why: blobText(why), body: blobText(body) },
    })),
  };
}

/** Names under which the memory does not hold what was written. */
function changedMemory(db: Db): string[] {
  const rows = rowsOf(db, 'SELECT CAST(name AS BLOB), CAST(text AS BLOB) FROM memory');
  return rows
    .map(([name, text]) => [blobText(name), blobText(text)])
    .filter(([name, text]) => unsealed(name, text) === undefined)
    .map(([name]) => name);
}

function inspected(db: Db, file: string): Inspected {
  const addresses = orElse(() => addressesOf(db), new Map<string, string>());
  const hasTree = orElse(() => hasTable(db, 'checkpoints'), false);
  let slice: Database.Statement | undefined;
  return {
    slice(after, limit) {
      try {
        slice ??= db.prepare(SLICE).raw(true);
        const [blob] = slice.get(after, limit) as [Buffer | null];
        return blob ? parseSlice(Buffer.from(blob), addresses) : [];
      } catch (error) {
        // It gives nothing more after a failure.
        slice = undefined;
        throw new LogbookError(reported(error));
      }
    },
    storage: () => storageFaults(db, file),
    isSaid(address, journal, seq) {
      const sql =
        'SELECT 1 FROM evidence WHERE controller = (SELECT id FROM controllers WHERE address = ?) ' +
        'AND journal = ? AND seq IN (?, ?)';
      return rowsOf(db, sql, address, journal, seq, seq - 1).length > 0;
    },
    hasTree,
    checkpoints: () => (hasTree ? newCheckpointStore(db).all() : []),
    tiles: () => (hasTree ? tilesOf(db) : []),
    repeated: () => repeatedOf(db),
    memory: () => (hasTree ? changedMemory(db) : []),
    close: () => db.close(),
  };
}
