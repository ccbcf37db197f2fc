// What becomes of a record: which entry it makes, whether it fits its neighbours, what is kept apart. The same for
// every engine, which gives on a shelf what is stored and takes what is added.
import { entryHash, linkOf, NO_PREV, prevOf } from './chain';
import type { Appended, Entry, Evidence, NewRecord, WriteNext } from './logbook';
import { KEPT, KEPT_MAX, keptBody, type OwnBody, ownText } from './own';

/** What is known of one journal without asking the engine. */
export interface Tail {
  through: number;
  /** Numbers stored beyond `through`. */
  ahead: Set<number>;
  /** What the record after `through` must carry as `prev`. */
  link: string;
}

/** What an engine has stored, and takes, within a transaction. */
export interface Shelf {
  /** Row id of a controller, undefined if it has none yet. */
  find(address: string): number | undefined;
  /** Makes a row for a controller and returns its id. */
  create(address: string): number;
  /** Numbers stored of a journal: all up to `through`, and those beyond. */
  numbers(controller: number, journal: string): Pick<Tail, 'through' | 'ahead'>;
  body(controller: number, journal: string, seq: number): string | undefined;
  /** How many texts of a controller are kept apart that are no entry. */
  kept(controller: number): number;
  /** Adds an entry, and its leaf to the tree. */
  put(entry: Entry, controller: number): void;
  /** Adds to the texts kept apart. @returns whether it was not there before */
  flag(controller: number, evidence: Evidence): boolean;
}

interface Remembered<K, V> {
  get(key: K): V | undefined;
  set(key: K, value: V): unknown;
}

/** What is known from before, so that a shelf need not be asked; only what has been committed may stay in it. */
export interface Known {
  controllers: Remembered<string, number>;
  /** By row id of the controller and name of the journal. */
  tails: Remembered<string, Tail>;
  kept: Remembered<number, number>;
}

/** Newest entry; number 0 and `NO_HASH` if there is none. */
export type Head = Pick<Entry, 'entry' | 'hash'>;

/** What may be written within a transaction. */
export interface Pen {
  /** Row id of a controller, created on first use. */
  controller(address: string): number;
  /** Adds an entry of the log book's own to a journal of its own; `at` is a UTC second. */
  own(address: string, journal: string, at: number, body: OwnBody): void;
}

export class Filing implements Pen {
  constructor(
    private readonly shelf: Shelf,
    private readonly known: Known,
    /** Moves on with each entry. */
    public head: Head,
  ) {}

  controller(address: string): number {
    let id = this.known.controllers.get(address);
    if (id === undefined) {
      id = this.shelf.find(address) ?? this.shelf.create(address);
      this.known.controllers.set(address, id);
    }
    return id;
  }

  tail(controller: number, journal: string): Tail {
    const name = `${controller} ${journal}`;
    let tail = this.known.tails.get(name);
    if (!tail) {
      const { through, ahead } = this.shelf.numbers(controller, journal);
      tail = { through, ahead, link: this.linkAt(controller, journal, through) };
      this.known.tails.set(name, tail);
    }
    return tail;
  }

  /** Takes a record, see `Logbook.appendBatch`. */
  append(r: NewRecord): Appended {
    const controller = this.controller(r.address);
    const tail = this.tail(controller, r.journal);
    if (r.seq > tail.through && !tail.ahead.has(r.seq)) {
      const entry = this.file(controller, tail, r);
      return { outcome: 'stored', entry, through: tail.through };
    }
    const { through } = tail;
    if (this.shelf.body(controller, r.journal, r.seq) === r.body) return { outcome: 'duplicate', through };
    const why = 'Another record is in the log book under the same number.';
    this.flag({ ...r, why });
    return { outcome: 'conflict', through };
  }

  /** Writes the next record of a journal, see `Logbook.appendNext`. */
  next(address: string, journal: string, write: WriteNext): Entry {
    const controller = this.controller(address);
    const tail = this.tail(controller, journal);
    const seq = tail.through + 1;
    return this.file(controller, tail, { address, journal, seq, ...write(seq, tail.link) });
  }

  /** Adds an entry that only the log book writes; its journals have no gaps. */
  own(address: string, journal: string, at: number, own: OwnBody): void {
    const controller = this.controller(address);
    const tail = this.tail(controller, journal);
    const seq = tail.through + 1;
    const body = ownText(journal, seq, tail.link, at, own);
    this.add(controller, tail, { address, journal, seq, kind: own.kind, test: 0, at, body });
  }

  /** Keeps a text apart, once, and so many of a controller at most. */
  flag(e: Evidence): void {
    const controller = this.controller(e.address);
    const kept = this.known.kept.get(controller) ?? this.shelf.kept(controller);
    if (kept >= KEPT_MAX) return;
    const why = kept + 1 < KEPT_MAX ? e.why : `${e.why} No more texts of this controller are kept.`;
    this.known.kept.set(controller, this.keep(controller, { ...e, why }) ? kept + 1 : kept);
  }

  /** @returns whether it was not kept before */
  private keep(controller: number, e: Evidence): boolean {
    const isNew = this.shelf.flag(controller, e);
    if (isNew) this.own(e.address, KEPT, e.at, keptBody(e));
    return isNew;
  }

  /** Adds a record after the last entry, and flags it if it does not fit its neighbours. */
  private file(controller: number, tail: Tail, r: NewRecord): Entry {
    const why = this.misfit(tail, controller, r);
    const entry = this.add(controller, tail, r);
    // The text stands in its entry, so this is no way to fill the disk, and it must be said of every one.
    if (why) this.keep(controller, { ...r, why });
    return entry;
  }

  /** Adds a record after the last entry. */
  private add(controller: number, tail: Tail, r: NewRecord): Entry {
    const { address, journal, seq, kind, test, at, body } = r;
    const number = this.head.entry + 1;
    const hash = entryHash(this.head.hash, address, body);
    const entry = { entry: number, address, journal, seq, kind, test, at, body, hash };
    this.shelf.put(entry, controller);
    this.head = { entry: number, hash };
    this.advance(tail, controller, r);
    return entry;
  }

  private linkAt(controller: number, journal: string, seq: number): string {
    if (seq === 0) return NO_PREV;
    return linkOf(this.shelf.body(controller, journal, seq) ?? '');
  }

  /** Why a record does not fit its stored neighbours; against a missing one it is checked when that arrives. */
  private misfit(tail: Tail, controller: number, r: NewRecord): string {
    const carried = prevOf(r.body);
    const inOrder = r.seq === tail.through + 1;
    const known = inOrder || tail.ahead.has(r.seq - 1);
    if (known && carried !== (inOrder ? tail.link : this.linkAt(controller, r.journal, r.seq - 1)))
      return 'The record does not follow from the record before it.';
    if (!tail.ahead.has(r.seq + 1)) return '';
    const after = this.shelf.body(controller, r.journal, r.seq + 1) ?? '';
    return prevOf(after) === linkOf(r.body) ? '' : 'The record after this one does not follow from it.';
  }

  private advance(tail: Tail, controller: number, r: NewRecord): void {
    if (r.seq !== tail.through + 1) {
      tail.ahead.add(r.seq);
      return;
    }
    tail.through = r.seq;
    const before = tail.through;
    while (tail.ahead.delete(tail.through + 1)) tail.through++;
    tail.link = tail.through === before ? linkOf(r.body) : this.linkAt(controller, r.journal, tail.through);
  }
}

/** Highest number up to which no record after `after` is missing; at least `after`. */
export function throughOf(tail: Tail, after: number): number {
  if (after <= tail.through) return tail.through;
  let through = after;
  while (tail.ahead.has(through + 1)) through++;
  return through;
}
