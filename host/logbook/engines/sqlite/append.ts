// Writing records: one transaction per batch, the log book's chain continued, every conflict kept.
import { entryHash, linkOf, NO_HASH, NO_PREV, prevOf } from '../../chain';
import type { Appended, Entry, Evidence, NewRecord, WriteNext } from '../../logbook';
import { type Db, inTransaction } from './schema';

/** What is known of one journal without reading the file. */
interface Tail {
  through: number;
  /** Numbers stored beyond `through`. */
  ahead: Set<number>;
  /** What the record after `through` must carry as `prev`. */
  link: string;
}

export interface Appender {
  keep(unfit: Omit<Evidence, 'journal' | 'seq'>): void;
  append(records: NewRecord[]): Appended[];
  next(address: string, journal: string, write: WriteNext): Entry;
  through(address: string, journal: string, after: number): number;
  /** Row id of a controller, created on first use. */
  controller(address: string): number;
}

/** What a batch works with: the open file, its statements, and what is known of the journals. */
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

function controllerOf(state: Appending, address: string): number {
  let id = state.controllers.get(address);
  if (id === undefined) {
    const row = state.statements.find.get(address) as { id: number } | undefined;
    id = row ? row.id : Number(state.statements.add.run(address).lastInsertRowid);
    state.controllers.set(address, id);
  }
  return id;
}

function bodyOf(state: Appending, controller: number, journal: string, seq: number): string | undefined {
  return (state.statements.body.get(controller, journal, seq) as { body: string } | undefined)?.body;
}

function linkAt(state: Appending, controller: number, journal: string, seq: number): string {
  if (seq === 0) return NO_PREV;
  return linkOf(bodyOf(state, controller, journal, seq) ?? '');
}

function tailOf(state: Appending, controller: number, journal: string): Tail {
  const name = `${controller} ${journal}`;
  let tail = state.tails.get(name);
  if (!tail) {
    let through = 0;
    const ahead = new Set<number>();
    for (const row of state.statements.seqs.iterate(controller, journal) as Iterable<{ seq: number }>) {
      if (row.seq === through + 1) through++;
      else ahead.add(row.seq);
    }
    tail = { through, ahead, link: linkAt(state, controller, journal, through) };
    state.tails.set(name, tail);
  }
  return tail;
}

/** Why a record does not fit its stored neighbours; against a missing one it is checked when that arrives. */
function misfit(state: Appending, tail: Tail, controller: number, r: NewRecord): string {
  const carried = prevOf(r.body);
  const inOrder = r.seq === tail.through + 1;
  const known = inOrder || tail.ahead.has(r.seq - 1);
  if (known && carried !== (inOrder ? tail.link : linkAt(state, controller, r.journal, r.seq - 1)))
    return 'The record does not follow from the record before it.';
  if (!tail.ahead.has(r.seq + 1)) return '';
  const after = bodyOf(state, controller, r.journal, r.seq + 1) ?? '';
  return prevOf(after) === linkOf(r.body) ? '' : 'The record after this one does not follow from it.';
}

function advance(state: Appending, tail: Tail, controller: number, r: NewRecord): void {
  if (r.seq !== tail.through + 1) {
    tail.ahead.add(r.seq);
    return;
  }
  tail.through = r.seq;
  const before = tail.through;
  while (tail.ahead.delete(tail.through + 1)) tail.through++;
  tail.link = tail.through === before ? linkOf(r.body) : linkAt(state, controller, r.journal, tail.through);
}

/** Adds a record after the last entry, flagged if it does not fit its neighbours. */
function file(state: Appending, controller: number, tail: Tail, r: NewRecord): Entry {
  const s = state.statements;
  const why = misfit(state, tail, controller, r);
  if (why) s.flag.run(r.at, controller, r.journal, r.seq, why, r.body);
  const entry = state.head.entry + 1;
  const hash = entryHash(state.head.hash, r.address, r.body);
  s.insert.run(entry, controller, r.journal, r.seq, r.kind, r.test, r.at, r.body, hash);
  state.head = { entry, hash };
  advance(state, tail, controller, r);
  const { address, journal, seq, kind, test, at, body } = r;
  return { entry, address, journal, seq, kind, test, at, body, hash };
}

function appendOne(state: Appending, r: NewRecord): Appended {
  const controller = controllerOf(state, r.address);
  const tail = tailOf(state, controller, r.journal);
  if (r.seq > tail.through && !tail.ahead.has(r.seq))
    return { outcome: 'stored', entry: file(state, controller, tail, r) };
  if (bodyOf(state, controller, r.journal, r.seq) === r.body) return { outcome: 'duplicate' };
  const why = 'Another record is in the log book under the same number.';
  state.statements.flag.run(r.at, controller, r.journal, r.seq, why, r.body);
  return { outcome: 'conflict' };
}

/** What is known may be wrong: the transaction failed, or another process has written. */
function forget(state: Appending): void {
  state.controllers.clear();
  state.tails.clear();
}

function readHead(state: Appending): void {
  const row = (state.statements.head.get() as { entry: number; hash: string } | undefined) ?? {
    entry: 0,
    hash: NO_HASH,
  };
  if (row.entry !== state.head.entry || row.hash !== state.head.hash) forget(state);
  state.head = { entry: row.entry, hash: row.hash };
}

export function newAppender(db: Db): Appender {
  const state: Appending = {
    db,
    controllers: new Map(),
    tails: new Map(),
    head: { entry: 0, hash: NO_HASH },
    statements: prepare(db),
  };
  const writing = <T>(work: () => T): T => {
    try {
      return inTransaction(db, () => {
        readHead(state);
        return work();
      });
    } catch (error) {
      forget(state);
      throw error;
    }
  };
  return {
    keep: ({ address, at, why, body }) =>
      writing(() => void state.statements.flag.run(at, controllerOf(state, address), '', 0, why, body)),
    append: (records) => writing(() => records.map((r) => appendOne(state, r))),
    next: (address, journal, write) =>
      writing(() => {
        // Another process may have written to the same journal, so its end is read inside the transaction.
        const controller = controllerOf(state, address);
        const tail = tailOf(state, controller, journal);
        const seq = tail.through + 1;
        return file(state, controller, tail, { address, journal, seq, ...write(seq, tail.link) });
      }),
    through(address, journal, after) {
      const row = state.statements.find.get(address) as { id: number } | undefined;
      if (!row) return after;
      const tail = tailOf(state, row.id, journal);
      if (after <= tail.through) return tail.through;
      let through = after;
      while (tail.ahead.has(through + 1)) through++;
      return through;
    },
    controller: (address) => controllerOf(state, address),
  };
}
