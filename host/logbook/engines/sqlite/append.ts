// Writing records: one transaction per batch, the log book's chain continued, every conflict kept.
import { type Db, inTransaction } from '../../../sqlite';
import { NO_HASH } from '../../chain';
import { Filing, type Head, type Pen, type Shelf, type Tail, throughOf } from '../../filing';
import type { Appended, Entry, Evidence, NewRecord, NextRecord, WriteNext } from '../../logbook';
import { entryLeaf } from '../../tree/tile';
import type { Tiles } from '../../tree/tiles';
import { bytes, textIn, whole } from './columns';
import { openTiles } from './tiles';

export interface Appender {
  keep(unfit: Omit<Evidence, 'journal' | 'seq'>): void;
  append(records: NewRecord[]): Appended[];
  next(address: string, journal: string, write: WriteNext): Entry;
  nextAll(records: NextRecord[]): Entry[];
  through(address: string, journal: string, after: number): number;
  /** Runs `work` as one durable transaction; nothing of it remains if it throws. */
  writing<T>(work: (pen: Pen) => T): T;
  /** The tree over all entries. */
  tree(): Tiles;
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

type Statements = ReturnType<typeof prepare>;

function find(s: Statements, address: string): number | undefined {
  return (s.find.get(address) as { id: number } | undefined)?.id;
}

/** @param tiles the tree up to the newest entry */
function shelfOf(s: Statements, tiles: () => Tiles): Shelf {
  return {
    find: (address) => find(s, address),
    create: (address) => Number(s.add.run(address).lastInsertRowid),
    numbers(controller, journal) {
      let through = 0;
      const ahead = new Set<number>();
      for (const { n } of s.seqs.iterate(controller, journal) as Iterable<{ n: number }>) {
        if (n === through + 1) through++;
        else ahead.add(n);
      }
      return { through, ahead };
    },
    body(controller, journal, seq) {
      const row = s.body.get(controller, journal, seq) as { body: unknown } | undefined;
      return row && textIn(row.body);
    },
    kept: (controller) => (s.kept.get(controller) as { n: number }).n,
    put(e, controller) {
      const tree = tiles();
      // As one array: the driver would make one of many values.
      s.insert.run([e.entry, controller, e.journal, e.seq, e.kind, e.test, e.at, e.body, e.hash]);
      tree.add(entryLeaf(e));
    },
    flag: (controller, e) => s.flag.run(e.at, controller, e.journal, e.seq, e.why, e.body).changes > 0,
  };
}

function headIn(s: Statements): Head {
  const row = s.head.get() as { entry: number; hash: unknown } | undefined;
  return row ? { entry: row.entry, hash: textIn(row.hash) } : { entry: 0, hash: NO_HASH };
}

class FileAppender implements Appender {
  private readonly s: Statements;
  private readonly known = {
    controllers: new Map<string, number>(),
    tails: new Map<string, Tail>(),
    kept: new Map<number, number>(),
  };
  /** The tree up to the newest entry; undefined if it must be read again. */
  private tiles: Tiles | undefined;
  private readonly filing: Filing;

  constructor(private readonly db: Db) {
    this.s = prepare(db);
    const shelf = shelfOf(this.s, () => this.tilesNow());
    this.filing = new Filing(shelf, this.known, { entry: 0, hash: NO_HASH });
  }

  keep(unfit: Omit<Evidence, 'journal' | 'seq'>): void {
    this.writing(() => this.filing.flag({ ...unfit, journal: '', seq: 0 }));
  }

  append(records: NewRecord[]): Appended[] {
    return this.writing(() => records.map((r) => this.filing.append(r)));
  }

  next(address: string, journal: string, write: WriteNext): Entry {
    return this.nextAll([{ address, journal, write }])[0];
  }

  nextAll(records: NextRecord[]): Entry[] {
    // Another process may have written to the same journals, so their ends are read inside the transaction.
    return this.writing(() => records.map((r) => this.filing.next(r.address, r.journal, r.write)));
  }

  through(address: string, journal: string, after: number): number {
    const id = this.known.controllers.get(address) ?? find(this.s, address);
    return id === undefined ? after : throughOf(this.filing.tail(id, journal), after);
  }

  writing<T>(work: (pen: Pen) => T): T {
    try {
      return inTransaction(this.db, () => {
        this.readHead();
        return work(this.filing);
      });
    } catch (error) {
      this.forget();
      throw error;
    }
  }

  tree(): Tiles {
    this.readHead();
    // Tiles that must be made again are written.
    return this.tiles ?? this.writing(() => this.tilesNow());
  }

  private tilesNow(): Tiles {
    this.tiles ??= openTiles(this.db, this.filing.head.entry);
    return this.tiles;
  }

  private readHead(): void {
    const head = headIn(this.s);
    const { entry, hash } = this.filing.head;
    if (head.entry !== entry || head.hash !== hash) this.forget();
    this.filing.head = head;
  }

  /** What is known may be wrong: the transaction failed, or another process has written. */
  private forget(): void {
    this.known.controllers.clear();
    this.known.tails.clear();
    this.known.kept.clear();
    this.tiles = undefined;
  }
}

export function newAppender(db: Db): Appender {
  const appender = new FileAppender(db);
  return {
    keep: (unfit) => appender.keep(unfit),
    append: (records) => appender.append(records),
    next: (address, journal, write) => appender.next(address, journal, write),
    nextAll: (records) => appender.nextAll(records),
    through: (address, journal, after) => appender.through(address, journal, after),
    writing: (work) => appender.writing(work),
    tree: () => appender.tree(),
  };
}
