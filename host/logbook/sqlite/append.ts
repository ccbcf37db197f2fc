// Writing records: one transaction a batch, the log book's chain continued, every conflict kept.
import { entryHash, linkOf, NO_HASH, NO_PREV, prevOf } from '../chain';
import type { Appended, NewRecord, WriteNext } from '../logbook';
import { type Db, inTransaction } from './schema';

/** What is known of one journal without asking the file. */
interface Tail {
  through: number;
  /** Numbers stored beyond `through`. */
  ahead: Set<number>;
  /** What the record after `through` must carry as `prev`. */
  link: string;
}

export interface Appender {
  append(records: NewRecord[]): Appended[];
  next(address: string, journal: string, write: WriteNext): number;
  through(address: string, journal: string, after: number): number;
  /** Row id of a controller, made on first use. */
  controller(address: string): number;
}

/** What a batch works with: the open file, its statements, and what is remembered of the journals. */
interface Appending {
  db: Db;
  controllers: Map<string, number>;
  tails: Map<string, Tail>;
  head: { entry: number; hash: string };
  statements: ReturnType<typeof prepare>;
}

function prepare(db: Db) {
  return {
    head: db.prepare('SELECT entry, hash FROM entries ORDER BY entry DESC LIMIT 1'),
    find: db.prepare('SELECT id FROM controllers WHERE address = ?'),
    add: db.prepare('INSERT INTO controllers (address) VALUES (?)'),
    insert: db.prepare('INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)'),
    body: db.prepare('SELECT body FROM entries WHERE controller = ? AND journal = ? AND seq = ?'),
    seqs: db.prepare('SELECT seq FROM entries WHERE controller = ? AND journal = ? ORDER BY seq'),
    flag: db.prepare(
      'INSERT OR IGNORE INTO evidence (at, controller, journal, seq, why, body) VALUES (?, ?, ?, ?, ?, ?)',
    ),
  };
}

function controllerOf(desk: Appending, address: string): number {
  let id = desk.controllers.get(address);
  if (id === undefined) {
    const row = desk.statements.find.get(address) as { id: number } | undefined;
    id = row ? row.id : Number(desk.statements.add.run(address).lastInsertRowid);
    desk.controllers.set(address, id);
  }
  return id;
}

function bodyOf(desk: Appending, controller: number, journal: string, seq: number): string | undefined {
  return (desk.statements.body.get(controller, journal, seq) as { body: string } | undefined)?.body;
}

function linkAt(desk: Appending, controller: number, journal: string, seq: number): string {
  if (seq === 0) return NO_PREV;
  return linkOf(bodyOf(desk, controller, journal, seq) ?? '');
}

function tailOf(desk: Appending, controller: number, journal: string): Tail {
  const name = `${controller} ${journal}`;
  let tail = desk.tails.get(name);
  if (!tail) {
    let through = 0;
    const ahead = new Set<number>();
    for (const row of desk.statements.seqs.iterate(controller, journal) as Iterable<{ seq: number }>) {
      if (row.seq === through + 1) through++;
      else ahead.add(row.seq);
    }
    tail = { through, ahead, link: linkAt(desk, controller, journal, through) };
    desk.tails.set(name, tail);
  }
  return tail;
}

/** Why a record does not fit its stored neighbours; one that is missing is asked when it comes. */
function misfit(desk: Appending, tail: Tail, controller: number, r: NewRecord): string {
  const carried = prevOf(r.body);
  const inOrder = r.seq === tail.through + 1;
  const known = inOrder || tail.ahead.has(r.seq - 1);
  if (known && carried !== (inOrder ? tail.link : linkAt(desk, controller, r.journal, r.seq - 1)))
    return 'The record does not follow from the record before it.';
  if (!tail.ahead.has(r.seq + 1)) return '';
  const after = bodyOf(desk, controller, r.journal, r.seq + 1) ?? '';
  return prevOf(after) === linkOf(r.body) ? '' : 'The record after this one does not follow from it.';
}

function advance(desk: Appending, tail: Tail, controller: number, r: NewRecord): void {
  if (r.seq !== tail.through + 1) {
    tail.ahead.add(r.seq);
    return;
  }
  tail.through = r.seq;
  const before = tail.through;
  while (tail.ahead.delete(tail.through + 1)) tail.through++;
  tail.link = tail.through === before ? linkOf(r.body) : linkAt(desk, controller, r.journal, tail.through);
}

function appendOne(desk: Appending, r: NewRecord): Appended {
  const controller = controllerOf(desk, r.address);
  const tail = tailOf(desk, controller, r.journal);
  const s = desk.statements;
  if (r.seq <= tail.through || tail.ahead.has(r.seq)) {
    if (bodyOf(desk, controller, r.journal, r.seq) === r.body) return 'duplicate';
    const why = 'Another record is in the log book under the same number.';
    s.flag.run(r.at, controller, r.journal, r.seq, why, r.body);
    return 'conflict';
  }
  const why = misfit(desk, tail, controller, r);
  if (why) s.flag.run(r.at, controller, r.journal, r.seq, why, r.body);
  const entry = desk.head.entry + 1;
  const hash = entryHash(desk.head.hash, r.address, r.body);
  s.insert.run(entry, controller, r.journal, r.seq, r.kind, r.test, r.at, r.body, hash);
  desk.head = { entry, hash };
  advance(desk, tail, controller, r);
  return 'stored';
}

/** Whatever was remembered may be wrong: the transaction failed, or another process has written. */
function forget(desk: Appending): void {
  desk.controllers.clear();
  desk.tails.clear();
}

function readHead(desk: Appending): void {
  const row = (desk.statements.head.get() as { entry: number; hash: string } | undefined) ?? {
    entry: 0,
    hash: NO_HASH,
  };
  if (row.entry !== desk.head.entry || row.hash !== desk.head.hash) forget(desk);
  desk.head = { entry: row.entry, hash: row.hash };
}

export function newAppender(db: Db): Appender {
  const desk: Appending = {
    db,
    controllers: new Map(),
    tails: new Map(),
    head: { entry: 0, hash: NO_HASH },
    statements: prepare(db),
  };
  const writing = <T>(work: () => T): T => {
    try {
      return inTransaction(db, () => {
        readHead(desk);
        return work();
      });
    } catch (error) {
      forget(desk);
      throw error;
    }
  };
  return {
    append: (records) => writing(() => records.map((r) => appendOne(desk, r))),
    next: (address, journal, write) =>
      writing(() => {
        // Another process may have written to the same journal: its end is looked up inside the transaction.
        const tail = tailOf(desk, controllerOf(desk, address), journal);
        const seq = tail.through + 1;
        appendOne(desk, { address, journal, seq, ...write(seq, tail.link) });
        return desk.head.entry;
      }),
    through(address, journal, after) {
      const row = desk.statements.find.get(address) as { id: number } | undefined;
      if (!row) return after;
      const tail = tailOf(desk, row.id, journal);
      if (after <= tail.through) return tail.through;
      let through = after;
      while (tail.ahead.has(through + 1)) through++;
      return through;
    },
    controller: (address) => controllerOf(desk, address),
  };
}
