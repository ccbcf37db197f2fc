// Writing: one transaction a batch, in which nobody else writes; the log book's chain continued.
import { setTimeout as wait } from 'node:timers/promises';
import { NO_HASH } from '../../chain';
import { Filing, type Head, type Tail, throughOf } from '../../filing';
import { LogbookError } from '../../logbook';
import { entryLeaf } from '../../tree/tile';
import type { Tiles } from '../../tree/tiles';
import { addAtOnce, ENTRY } from './atOnce';
import { insertion } from './columns';
import { isLost, plainly } from './errors';
import { beginFenced } from './lock';
import { takeWriting } from './schema';
import type { Client, Row, Session } from './session';
import { Draft, Layer, type Loaded, load } from './shelf';
import { StoredTiles } from './tiles';

/** Attempts to hear what became of a commit whose confirmation was lost, and the wait between two, ms. */
const SETTLE_TRIES = 20;
const SETTLE_MS = 500;

const HEAD = 'SELECT entry, hash FROM entries ORDER BY entry DESC LIMIT 1';

async function newestOf(client: Client): Promise<Head | undefined> {
  return (await client.query(HEAD)).rows[0];
}

/** What an attempt files with, and what it adds. */
export interface Desk {
  filing: Filing;
  draft: Draft;
}

interface Attempt<T> extends Desk {
  result: T;
  keep(): void;
}

function copyTail({ through, ahead, link }: Tail): Tail {
  return { through, ahead: new Set(ahead), link };
}

const INSERT = {
  controllers: insertion('controllers', ['id', 'address']),
  entries: insertion('entries', ENTRY),
  evidence: insertion('evidence', ['at', 'controller', 'journal', 'seq', 'why', 'body', 'mark']),
};

async function insert(client: Client, table: keyof typeof INSERT, rows: Row[]): Promise<void> {
  if (rows.length > 0) await client.query(INSERT[table], [JSON.stringify(rows)]);
}

async function insertOrders(client: Client, { orders, answers }: Draft): Promise<void> {
  for (const { controller, counter, what, arg, who, at } of orders)
    await client.query("INSERT INTO orders VALUES ($1, $2, $3, $4, $5, $6, '')", [
      ...[controller, counter, what, arg, who, at],
    ]);
  for (const { controller, counter, answer } of answers)
    await client.query('UPDATE orders SET answer = $3 WHERE controller = $1 AND counter = $2', [
      ...[controller, counter, answer],
    ]);
}

export class Appender {
  private head: Head = { entry: 0, hash: NO_HASH };
  private readonly known = {
    controllers: new Map<string, number>(),
    tails: new Map<string, Tail>(),
    kept: new Map<number, number>(),
  };
  private tiles: StoredTiles | undefined;
  /** The last work that was begun: it is done one after the other. */
  private turn: Promise<unknown> = Promise.resolve();

  constructor(private readonly session: Session) {}

  /**
   * Runs `work` as one durable transaction; nothing of it remains if it throws. It may be run several times, until all
   * it asks for is loaded: only what the last run added counts.
   */
  writing<T>(work: (desk: Desk) => T): Promise<T> {
    return this.inTurn(async () => {
      let done: Attempt<T> | undefined;
      try {
        await this.session.use(async (client) => {
          done = await this.atOnce(client, work);
          if (done) return;
          const firstNew = await this.begin(client);
          done = await this.attempt(client, firstNew, work);
          await this.write(client, done);
          await this.commit(client, done.filing.head);
        });
      } catch (error) {
        this.forget();
        throw error;
      }
      done!.keep();
      this.head = done!.filing.head;
      return done!.result;
    });
  }

  through(address: string, journal: string, after: number): Promise<number> {
    return this.throughAll([{ address, journal, after }]).then(([through]) => through);
  }

  throughAll(places: { address: string; journal: string; after: number }[]): Promise<number[]> {
    const look = ({ filing, draft }: Desk): number[] =>
      places.map(({ address, journal, after }) => {
        const id = this.known.controllers.get(address) ?? draft.find(address);
        return id === undefined ? after : throughOf(filing.tail(id, journal), after);
      });
    return this.inTurn(() =>
      this.session.use(async (client) => {
        // Another process may have stored what this one has not heard of.
        this.look(await newestOf(client));
        const { result, keep } = await this.attempt(client, Number.POSITIVE_INFINITY, look);
        keep();
        return result;
      }),
    );
  }

  /** What `read` makes of the tree over all entries. */
  reading<T>(read: (tree: Tiles) => T): Promise<T> {
    return this.inTurn(() =>
      this.session.use(async (client) => {
        this.look(await newestOf(client));
        // Tiles that must be made again are written.
        this.tiles ??= (await StoredTiles.load(client, this.head.entry)) ?? (await this.rebuilt(client));
        return this.tiles.reading(client, read);
      }),
    );
  }

  private inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.turn.then(work, work);
    this.turn = done.catch(() => {});
    return done;
  }

  /** Does what needs nothing loaded as one statement. @returns undefined if it is to be done in steps */
  private async atOnce<T>(client: Client, work: (desk: Desk) => T): Promise<Attempt<T> | undefined> {
    const { tiles, head } = this;
    if (!tiles) return undefined;
    const done = this.file(new Map(), Number.POSITIVE_INFINITY, work);
    const { missing, entries, evidence, orders, answers } = done.draft;
    if (missing.size > 0 || entries.length === 0) return undefined;
    if (evidence.length + orders.length + answers.length > 0) return undefined;
    for (const entry of entries) tiles.tree.add(entryLeaf(entry));
    const rows = { entries: done.draft.rows(), tiles: tiles.filled() };
    const add = () => addAtOnce(client, this.session.place, head, rows);
    if (await this.settled(add, done.filing.head)) return done;
    this.forget();
    return undefined;
  }

  /** Begins a transaction in which nobody else writes. @returns row id of the next new controller */
  private async begin(client: Client): Promise<number> {
    const { place } = this.session;
    const [[head], [controllers], [state]] = await beginFenced(client, place, [
      ...[HEAD, 'SELECT coalesce(max(id), 0) + 1 AS id FROM controllers'],
      "SELECT current_setting('fsync') AS fsync",
    ]);
    if (state.fsync === 'off')
      throw new LogbookError(
        `The server of the log book ${place.shown} was set to fsync = off; set it to on.`,
      );
    this.look(head as unknown as Head | undefined);
    return controllers.id as number;
  }

  /** Notices whether another process has written. */
  private look(newest: Head | undefined): void {
    const head = newest ?? { entry: 0, hash: NO_HASH };
    if (head.entry !== this.head.entry || head.hash !== this.head.hash) this.forget();
    this.head = head;
  }

  private async attempt<T>(client: Client, firstNew: number, work: (desk: Desk) => T): Promise<Attempt<T>> {
    const loaded: Loaded = new Map();
    for (;;) {
      const done = this.file(loaded, firstNew, work);
      const { missing } = done.draft;
      if (missing.size === 0) return done;
      await load(client, missing.values(), loaded);
    }
  }

  private file<T>(loaded: Loaded, firstNew: number, work: (desk: Desk) => T): Attempt<T> {
    const layers = {
      controllers: new Layer(this.known.controllers),
      tails: new Layer(this.known.tails, copyTail),
      kept: new Layer(this.known.kept),
    };
    const draft = new Draft(loaded, firstNew);
    const filing = new Filing(draft, layers, this.head);
    const result = work({ filing, draft });
    const keep = (): void => {
      for (const layer of Object.values(layers)) layer.keep();
    };
    return { filing, draft, result, keep };
  }

  private async write(client: Client, { draft }: Desk): Promise<void> {
    await insert(client, 'controllers', draft.controllers);
    await insert(client, 'entries', draft.rows());
    await insert(client, 'evidence', draft.evidence);
    await insertOrders(client, draft);
    if (draft.entries.length === 0) return;
    this.tiles ??=
      (await StoredTiles.load(client, this.head.entry)) ??
      (await StoredTiles.rebuild(client, this.head.entry));
    for (const entry of draft.entries) this.tiles.tree.add(entryLeaf(entry));
    await this.tiles.write(client);
  }

  private async commit(client: Client, head: Head): Promise<void> {
    await this.settled(async () => {
      const { command } = await client.query('COMMIT');
      if (command !== 'COMMIT') throw new Error('the transaction was rolled back');
      return true;
    }, head);
  }

  /** Has `work` commit; if its confirmation is lost, finds out whether `head` is stored. */
  private async settled(work: () => Promise<boolean>, head: Head): Promise<boolean> {
    try {
      return await work();
    } catch (error) {
      const wasNew = head.entry !== this.head.entry;
      if (!isLost(error) || !wasNew || !(await this.isStored(head, error))) throw error;
      return true;
    }
  }

  private async isStored({ entry, hash }: Head, lost: unknown): Promise<boolean> {
    for (let tries = 1; ; tries++) {
      try {
        return await this.session.use(async (client) => {
          // Whatever still runs of the lost transaction ends before this is granted.
          await client.query(`BEGIN ISOLATION LEVEL READ COMMITTED; ${takeWriting(this.session.place)}`);
          const { rows } = await client.query('SELECT hash FROM entries WHERE entry = $1', [entry]);
          await client.query('COMMIT');
          return rows[0]?.hash === hash;
        });
      } catch {
        if (tries === SETTLE_TRIES) throw plainly(this.session.place.shown, lost);
        await wait(SETTLE_MS);
      }
    }
  }

  private async rebuilt(client: Client): Promise<StoredTiles> {
    await this.begin(client);
    const tiles = await StoredTiles.rebuild(client, this.head.entry);
    await client.query('COMMIT');
    return tiles;
  }

  /** What is known may be wrong: the transaction failed, or another process has written. */
  private forget(): void {
    this.known.controllers.clear();
    this.known.tails.clear();
    this.known.kept.clear();
    this.tiles = undefined;
    // So that the next look forgets again what a read in between has learnt.
    this.head = { entry: -1, hash: '' };
  }
}
