// A shelf over a database on another machine. Filing asks one thing at a time and at once; so it is run on what has
// been loaded, what it lacked is loaded together, and it is run again, until it lacked nothing.
import { sha256Hex } from '../../../keys';
import type { Shelf, Tail } from '../../filing';
import type { Entry, Evidence } from '../../logbook';
import type { Client, Row } from './session';

type Key = (string | number)[];

export interface Question {
  kind: Kind;
  key: Key;
}

/** How answers to many questions of a kind are read at once: $1 is a list of {n, a, b, c}, and n comes back with v. */
const KEYS = 'json_to_recordset($1) AS k(n integer, a text, b text, c text)';
const READ = {
  id: `SELECT n, id AS v FROM ${KEYS} JOIN controllers ON address = a`,
  body: `SELECT n, body AS v FROM ${KEYS} JOIN entries e ON controller = a::integer AND journal = b AND seq = c::bigint`,
  // Whole journals are counted in the index; of one with gaps every number is read.
  numbers: `SELECT n, CASE WHEN count(seq) = coalesce(max(seq), 0) THEN jsonb_build_array(count(seq))
    ELSE jsonb_build_array(0) || jsonb_agg(seq ORDER BY seq) END AS v
    FROM ${KEYS} LEFT JOIN entries ON controller = a::integer AND journal = b GROUP BY n`,
  kept: `SELECT n, (SELECT count(*) FROM evidence v WHERE controller = a::integer AND NOT EXISTS (SELECT 1
    FROM entries e WHERE e.controller = v.controller AND e.journal = v.journal AND e.seq = v.seq
    AND e.body = v.body)) AS v FROM ${KEYS}`,
  flag: `SELECT n, true AS v FROM ${KEYS} JOIN evidence ON controller = a::integer AND mark = b`,
  lastOrder: `SELECT n, (SELECT max(counter) FROM orders WHERE controller = a::integer) AS v FROM ${KEYS}`,
  order: `SELECT n, true AS v FROM ${KEYS} JOIN orders ON controller = a::integer AND counter = b::bigint`,
};
type Kind = keyof typeof READ;

/** What has been loaded in a transaction, by question. */
export type Loaded = Map<string, unknown>;

const nameOf = (kind: Kind, key: Key): string => `${kind} ${key.join('\n')}`;

/** Loads the answers to all questions, also those that have none. */
export async function load(client: Client, questions: Iterable<Question>, loaded: Loaded): Promise<void> {
  const byKind = new Map<Kind, Key[]>();
  for (const { kind, key } of questions) byKind.set(kind, [...(byKind.get(kind) ?? []), key]);
  for (const [kind, keys] of byKind) {
    const asked = keys.map(([a, b, c], n) => ({ n, a: `${a}`, b: `${b}`, c: `${c}` }));
    for (const key of keys) loaded.set(nameOf(kind, key), undefined);
    const { rows } = await client.query(READ[kind], [JSON.stringify(asked)]);
    for (const { n, v } of rows) loaded.set(nameOf(kind, keys[n]), v);
  }
}

export interface NewOrderRow {
  controller: number;
  counter: number;
  what: number;
  arg: number;
  who: string;
  at: number;
}

/** All that one transaction adds, once it is known. */
export class Draft implements Shelf {
  readonly missing = new Map<string, Question>();
  readonly controllers: Row[] = [];
  readonly entries: Entry[] = [];
  readonly evidence: Row[] = [];
  readonly orders: NewOrderRow[] = [];
  readonly answers: { controller: number; counter: number; answer: string }[] = [];
  private readonly ids: number[] = [];
  private readonly bodies = new Map<string, string>();
  private readonly marks = new Set<string>();

  constructor(
    private readonly loaded: Loaded,
    /** Row id of the first new controller. */
    private readonly firstNew: number,
  ) {}

  /** What is stored, or undefined, which may be because it is not known yet. */
  ask<T>(kind: Kind, ...key: Key): T | undefined {
    const name = nameOf(kind, key);
    if (!this.loaded.has(name)) this.missing.set(name, { kind, key });
    return this.loaded.get(name) as T | undefined;
  }

  find(address: string): number | undefined {
    return this.ask('id', address);
  }

  create(address: string): number {
    const id = this.firstNew + this.controllers.length;
    this.controllers.push({ id, address });
    return id;
  }

  numbers(controller: number, journal: string): Pick<Tail, 'through' | 'ahead'> {
    if (this.isNew(controller)) return { through: 0, ahead: new Set() };
    let [through = 0, ...rest] = this.ask<number[]>('numbers', controller, journal) ?? [];
    const ahead = new Set<number>();
    for (const n of rest) {
      if (n === through + 1) through++;
      else ahead.add(n);
    }
    return { through, ahead };
  }

  body(controller: number, journal: string, seq: number): string | undefined {
    const own = this.bodies.get(`${controller} ${journal} ${seq}`);
    if (own !== undefined || this.isNew(controller)) return own;
    return this.ask('body', controller, journal, seq);
  }

  kept(controller: number): number {
    return this.isNew(controller) ? 0 : (this.ask<number>('kept', controller) ?? 0);
  }

  put(entry: Entry, controller: number): void {
    this.entries.push(entry);
    this.ids.push(controller);
    this.bodies.set(`${controller} ${entry.journal} ${entry.seq}`, entry.body);
  }

  flag(controller: number, { at, journal, seq, why, body }: Evidence): boolean {
    const mark = markOf({ journal, seq, why, body });
    const name = `${controller} ${mark}`;
    if (this.marks.has(name)) return false;
    if (!this.isNew(controller) && this.ask('flag', controller, mark)) return false;
    this.marks.add(name);
    this.evidence.push({ at, controller, journal, seq, why, body, mark });
    return true;
  }

  /** Entries as rows of their table. */
  rows(): Row[] {
    return this.entries.map(({ address: _, ...entry }, i) => ({ ...entry, controller: this.ids[i] }));
  }

  private isNew(controller: number): boolean {
    return controller >= this.firstNew;
  }
}

/** One line for a text that is kept apart, so that the same one is kept once: texts are too long for an index. */
export function markOf({ journal, seq, why, body }: Omit<Evidence, 'at' | 'address'>): string {
  return sha256Hex(JSON.stringify([journal, seq, why, body]));
}

/** What is known from before, and what an attempt changes of it, which counts only once that is kept. */
export class Layer<K, V> {
  private readonly own = new Map<K, V>();

  constructor(
    private readonly base: Map<K, V>,
    private readonly copy: (value: V) => V = (value) => value,
  ) {}

  get(key: K): V | undefined {
    const own = this.own.get(key);
    if (own !== undefined) return own;
    const below = this.base.get(key);
    if (below === undefined) return undefined;
    const copied = this.copy(below);
    this.own.set(key, copied);
    return copied;
  }

  set(key: K, value: V): this {
    this.own.set(key, value);
    return this;
  }

  keep(): void {
    for (const [key, value] of this.own) this.base.set(key, value);
  }
}
