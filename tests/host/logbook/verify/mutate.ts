// Known changes to a log book's file, drawn at random. Each says where it is, so that what finds it can be judged.
import { readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import Database from 'libsql';
import { entryHash, NO_HASH } from '../../../../host/logbook/chain';
import { cut, replant, resign, rewriteAll } from './attacker';
import { addressesOf, attack, type Books, copyBook, type Row, rowsOf } from './book';

/** Whole numbers from 0 to below `n`. */
export type Draw = (n: number) => number;

export interface Mutation {
  kind: string;
  /** Entries that are not as they were; undefined where the file itself or what is beside the entries was changed. */
  from?: number;
  to?: number;
  /** False if what the file says is still the same, whatever its bytes. */
  tells: boolean;
}

const COLUMNS = ['journal', 'seq', 'kind', 'test', 'at', 'body', 'hash', 'controller'] as const;

function otherText(text: string, draw: Draw): string {
  const at = draw(text.length);
  const code = 33 + draw(94);
  const other = code === text.charCodeAt(at) ? 126 - (code === 126 ? 1 : 0) : code;
  return text.slice(0, at) + String.fromCharCode(other) + text.slice(at + 1);
}

function change(db: Database.Database, entry: number, draw: Draw): void {
  const [row] = db.prepare('SELECT * FROM entries WHERE entry = ?').all(entry) as Row[];
  const column = COLUMNS[draw(COLUMNS.length)];
  const is = row[column];
  const other = typeof is === 'string' ? otherText(is, draw) : is + 1000 + draw(1000);
  db.prepare(`UPDATE entries SET ${column} = ? WHERE entry = ?`).run(other, entry);
}

function swap(db: Database.Database, a: number, b: number): void {
  db.exec(`UPDATE entries SET entry = -1 WHERE entry = ${a}; UPDATE entries SET entry = ${a} WHERE entry = ${b};
    UPDATE entries SET entry = ${b} WHERE entry = -1`);
}

/** Puts a record that was never written before entry `at`, and moves all after it. */
function insert(db: Database.Database, at: number): void {
  db.exec(
    `UPDATE entries SET entry = -entry - 1 WHERE entry >= ${at}; UPDATE entries SET entry = -entry WHERE entry < 0`,
  );
  const [row] = db.prepare('SELECT * FROM entries WHERE entry = ?').all(at + 1) as Row[];
  db.prepare('INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)').run(
    ...[at, row.controller, row.journal, 1_000_000, row.kind, row.test, row.at, row.body, row.hash],
  );
}

/** Chain and tree made to fit again by someone without any secret. */
function chainAnew(db: Database.Database): void {
  const addresses = addressesOf(db);
  let last = NO_HASH;
  const update = db.prepare('UPDATE entries SET hash = ? WHERE entry = ?');
  for (const { entry, controller, body } of rowsOf(db)) {
    last = entryHash(last, addresses.get(controller)!, body);
    update.run(last, entry);
  }
  replant(db);
}

const BESIDE = [
  `UPDATE checkpoints SET text = replace(text, '=', 'A') WHERE size = (SELECT max(size) FROM checkpoints)`,
  `UPDATE checkpoints SET size = size + 1 WHERE size = (SELECT max(size) FROM checkpoints)`,
  `UPDATE cosignatures SET line = replace(line, 'B', 'C') WHERE id = 1`,
  `UPDATE tiles SET hashes = zeroblob(8192) WHERE level = 0 AND number = 0`,
  `UPDATE tiles SET root = zeroblob(32) WHERE level = 0 AND number = 0`,
  'DELETE FROM tiles WHERE level = 0 AND number = 0',
  `UPDATE orders SET answer = 'refused'`,
  `UPDATE orders SET who = 'Bob' WHERE rowid = 1`,
  'DELETE FROM orders',
  `UPDATE evidence SET body = body || ' '`,
  'DELETE FROM evidence WHERE id = 1',
  `UPDATE memory SET text = replace(text, 'revision', 'version')`,
  `UPDATE controllers SET address = 'demo/x' WHERE id = 1`,
];

/** Everything a file says, column by column, byte for byte. */
function content(file: string): string {
  const db = new Database(file, { readonly: true });
  try {
    const tables = db.prepare("SELECT name FROM sqlite_master WHERE type = 'table'").all() as {
      name: string;
    }[];
    return JSON.stringify(
      tables.map(({ name }) => {
        const columns = db.prepare(`PRAGMA table_info(${name})`).all() as { name: string }[];
        const list = columns.map((column) => `hex(CAST(${column.name} AS BLOB)), typeof(${column.name})`);
        return db
          .prepare(`SELECT ${list.join(', ')} FROM ${name} ORDER BY rowid`)
          .raw(true)
          .all();
      }),
    );
  } finally {
    db.close();
  }
}

function saysTheSame(whole: string, file: string): boolean {
  try {
    return content(whole) === content(file);
  } catch {
    return false;
  }
}

function flip(file: string, draw: Draw): void {
  const bytes = readFileSync(file);
  bytes[draw(bytes.length)] ^= 1 << draw(8);
  writeFileSync(file, bytes);
}

type Make = (file: string, books: Books, draw: Draw) => Omit<Mutation, 'kind' | 'tells'>;

const inFile =
  (work: (db: Database.Database, entries: number, draw: Draw) => { from?: number; to?: number }): Make =>
  (file, { entries }, draw) =>
    attack(file, (db) => work(db, entries, draw));

const KINDS: Record<string, Make> = {
  changed: inFile((db, entries, draw) => {
    const entry = 1 + draw(entries);
    change(db, entry, draw);
    return { from: entry, to: entry };
  }),
  'changed and chained anew': inFile((db, entries, draw) => {
    const entry = 1 + draw(entries);
    const [{ body }] = db.prepare('SELECT body FROM entries WHERE entry = ?').all(entry) as Row[];
    db.prepare('UPDATE entries SET body = ? WHERE entry = ?').run(otherText(body, draw), entry);
    chainAnew(db);
    return { from: entry, to: entry };
  }),
  removed: inFile((db, entries, draw) => {
    const [from, count] = [1 + draw(entries - 3), 1 + draw(3)];
    db.exec(`DELETE FROM entries WHERE entry >= ${from} AND entry < ${from + count}`);
    return { from, to: from + count };
  }),
  reordered: inFile((db, entries, draw) => {
    const from = 1 + draw(entries - 1);
    const to = from + 1 + draw(entries - from);
    swap(db, from, to);
    return { from, to };
  }),
  inserted: inFile((db, entries, draw) => {
    const at = 1 + draw(entries);
    insert(db, at);
    return { from: at, to: at };
  }),
  'newest removed': inFile((db, entries, draw) => {
    const count = 1 + draw(50);
    cut(db, count);
    if (draw(2) === 1) {
      replant(db);
      resign(db);
    }
    return { from: entries - count + 1, to: entries };
  }),
  beside: inFile((db, _entries, draw) => {
    db.exec(BESIDE[draw(BESIDE.length)]);
    return {};
  }),
  'bit flipped': (file, _books, draw) => {
    flip(file, draw);
    return {};
  },
  'file cut off': (file, _books, draw) => {
    truncateSync(file, draw(statSync(file).size));
    return {};
  },
  'rolled back': (file, { older }, draw) => {
    copyBook(older[draw(older.length)], file);
    return {};
  },
  'written anew with all secrets': inFile((db, entries, draw) => {
    const from = rewriteAll(db, 1 + draw(entries - 10));
    return { from, to: entries };
  }),
};

export const MUTATIONS = Object.keys(KINDS);

/** Changes `file`, a copy of the whole book, in the way named. */
export function mutate(kind: string, file: string, books: Books, draw: Draw): Mutation {
  const made = KINDS[kind](file, books, draw);
  return { kind, ...made, tells: kind !== 'bit flipped' || !saysTheSame(books.whole, file) };
}
