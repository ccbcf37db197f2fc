// Writing records: one transaction per batch, the log book's chain continued, every conflict kept.

import { type Db, inTransaction } from '../../../sqlite';
import { entryHash, linkOf, NO_HASH, NO_PREV, prevOf } from '../../chain';
import type { Appended, Entry, Evidence, NewRecord, WriteNext } from '../../logbook';
import { KEPT, KEPT_MAX, keptBody, type OwnBody, ownText } from '../../own';
import { entryLeaf } from '../../tree/tile';
import { bytes, textIn, whole } from './columns';
import { openTiles, type Tiles } from './tiles';

/** What is known of one journal without reading the file. */
interface Tail {
  through: number;
  /** Numbers stored beyond `through`. */
  ahead: Set<number>;
  /** What the record after `through` must carry as `prev`. */
  link: string;
}

/** What may be written within a transaction. */
export interface Pen {
  /** Row id of a controller, created on first use. */
  controller(address: string): number;
  /** Adds an entry of the log book's own to a journal of its own; `at` is a UTC second. */
  own(address: string, journal: string, at: number, body: OwnBody): void;
}

export interface Appender {
  keep(unfit: Omit<Evidence, 'journal' | 'seq'>): void;
  append(records: NewRecord[]): Appended[];
  next(address: string, journal: string, write: WriteNext): Entry;
  through(address: string, journal: string, after: number): number;
  /** Runs `work` as one durable transaction; nothing of it remains if it throws. */
  writing<T>(work: (pen: Pen) => T): T;
  /** The tree over all entries. */
  tree(): Tiles;
}

/** What a batch works with: the open file, its statements, and what is known of the journals. */
interface Appending {
  db: Db;
  controllers: Map<string, number>;
  tails: Map<string, Tail>;
  /** Texts kept apart that are no entry, per controller. */
  kept: Map<number, number>;
  head: { entry: number; hash: string };
  /** The tree up to `head`; undefined if it must be read again. */
  tiles: Tiles | undefined;
  statements: ReturnType<typeof prepare>;
}

function prepare(db: Db) {
  return {
    head: db.prepare(`SELECT entry, ${bytes('hash')} FROM entries ORDER BY entry DESC LIMIT 1`),
    find: db.prepare('SELECT id FROM controllers WHERE address = ?'),
    add: db.prepare('INSERT INTO controllers (address) VALUES (?)'),
    insert: db.prepare('INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)'),
    body: db.prepare(`SELECT ${bytes('body')} FROM entries WHERE controller = ? AND journal = ? AND seq = ?`),
    kept: db.prepare(
      'SELECT count(*) AS n FROM evidence v WHERE controller = ? AND NOT EXISTS (SELECT 1 FROM entries e ' +
        'WHERE e.controller = v.controller AND e.journal = v.journal AND e.seq = v.seq AND e.body = v.body)',
    ),
    seqs: db.prepare(
      `SELECT ${whole('seq', 'n')} FROM entries WHERE controller = ? AND journal = ? ORDER BY seq`,
    ),
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
  const row = state.statements.body.get(controller, journal, seq) as { body: unknown } | undefined;
  return row && textIn(row.body);
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
    for (const row of state.statements.seqs.iterate(controller, journal) as Iterable<{ n: number }>) {
      if (row.n === through + 1) through++;
      else ahead.add(row.n);
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

/** Adds a record after the last entry. */
function add(state: Appending, controller: number, tail: Tail, r: NewRecord): Entry {
  const { address, journal, seq, kind, test, at, body } = r;
  const tiles = tilesOf(state);
  const entry = state.head.entry + 1;
  const hash = entryHash(state.head.hash, address, body);
  state.statements.insert.run(entry, controller, journal, seq, kind, test, at, body, hash);
  state.head = { entry, hash };
  tiles.add(entryLeaf(r));
  advance(state, tail, controller, r);
  return { entry, address, journal, seq, kind, test, at, body, hash };
}

/** Adds an entry that only the log book writes; its journals have no gaps. */
function addOwn(state: Appending, address: string, journal: string, at: number, own: OwnBody): void {
  const controller = controllerOf(state, address);
  const tail = tailOf(state, controller, journal);
  const seq = tail.through + 1;
  const body = ownText(journal, seq, tail.link, at, own);
  add(state, controller, tail, { address, journal, seq, kind: own.kind, test: 0, at, body });
}

/** Keeps a text apart, once, and so many of a controller at most. */
function flag(state: Appending, e: Evidence): void {
  const controller = controllerOf(state, e.address);
  const kept = state.kept.get(controller) ?? (state.statements.kept.get(controller) as { n: number }).n;
  if (kept >= KEPT_MAX) return;
  const why = kept + 1 < KEPT_MAX ? e.why : `${e.why} No more texts of this controller are kept.`;
  state.kept.set(controller, kept + keep(state, controller, { ...e, why }));
}

/** @returns 1, or 0 if it was kept before */
function keep(state: Appending, controller: number, e: Evidence): number {
  const { changes } = state.statements.flag.run(e.at, controller, e.journal, e.seq, e.why, e.body);
  if (changes > 0) addOwn(state, e.address, KEPT, e.at, keptBody(e));
  return changes;
}

/** Adds a record after the last entry, and flags it if it does not fit its neighbours. */
function file(state: Appending, controller: number, tail: Tail, r: NewRecord): Entry {
  const why = misfit(state, tail, controller, r);
  const entry = add(state, controller, tail, r);
  // The text stands in its entry, so this is no way to fill the disk, and it must be said of every one.
  if (why) keep(state, controller, { ...r, why });
  return entry;
}

function appendOne(state: Appending, r: NewRecord): Appended {
  const controller = controllerOf(state, r.address);
  const tail = tailOf(state, controller, r.journal);
  if (r.seq > tail.through && !tail.ahead.has(r.seq))
    return { outcome: 'stored', entry: file(state, controller, tail, r) };
  if (bodyOf(state, controller, r.journal, r.seq) === r.body) return { outcome: 'duplicate' };
  const why = 'Another record is in the log book under the same number.';
  flag(state, { ...r, why });
  return { outcome: 'conflict' };
}

/** What is known may be wrong: the transaction failed, or another process has written. */
function forget(state: Appending): void {
  state.controllers.clear();
  state.tails.clear();
  state.kept.clear();
  state.tiles = undefined;
}

function readHead(state: Appending): void {
  const row = state.statements.head.get() as { entry: number; hash: unknown } | undefined;
  const head = row ? { entry: row.entry, hash: textIn(row.hash) } : { entry: 0, hash: NO_HASH };
  if (head.entry !== state.head.entry || head.hash !== state.head.hash) forget(state);
  state.head = head;
}

function tilesOf(state: Appending): Tiles {
  state.tiles ??= openTiles(state.db, state.head.entry);
  return state.tiles;
}

function penOf(state: Appending): Pen {
  return {
    controller: (address) => controllerOf(state, address),
    own: (address, journal, at, body) => addOwn(state, address, journal, at, body),
  };
}

export function newAppender(db: Db): Appender {
  const state: Appending = {
    db,
    controllers: new Map(),
    tails: new Map(),
    kept: new Map(),
    head: { entry: 0, hash: NO_HASH },
    tiles: undefined,
    statements: prepare(db),
  };
  const pen = penOf(state);
  const writing = <T>(work: (pen: Pen) => T): T => {
    try {
      return inTransaction(db, () => {
        readHead(state);
        return work(pen);
      });
    } catch (error) {
      forget(state);
      throw error;
    }
  };
  return {
    keep: (unfit) => writing(() => flag(state, { ...unfit, journal: '', seq: 0 })),
    writing,
    tree() {
      readHead(state);
      // Tiles that must be made again are written.
      return state.tiles ?? writing(() => tilesOf(state));
    },
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
  };
}
