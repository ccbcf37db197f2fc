// What people have entered and the log book does not have yet. An entry is stored on this device before anyone is told
// that it is entered, is sent oldest first, is passed over while the host cannot take it, and is removed only when the
// host says that the log book has it.
import type { InspectionOutcome, InspectionRequest } from '../../api/duties';
import { t } from '../tongues/tongue';

/** An entry on its way. */
export interface Pending {
  /** Rising number on this device. */
  n: number;
  /** Id of the building it is about. */
  site: string;
  /** Title of the duty, for people. */
  title: string;
  request: InspectionRequest;
  /** Why the host will never store it as it is; '' if it has not said so. */
  refused: string;
}

/** Where entries are kept on this device. Every change is durable once its promise resolves. */
export interface PendingStore {
  /** In the order in which they were added. */
  all(): Promise<Pending[]>;
  add(entry: Omit<Pending, 'n'>): Promise<void>;
  put(entry: Pending): Promise<void>;
  remove(n: number): Promise<void>;
}

/** The entries about one building: on the page of that one no other is seen, sent or given up. */
export function entriesOf(site: string, store: PendingStore): PendingStore {
  return { ...store, all: async () => (await store.all()).filter((entry) => entry.site === site) };
}

export interface OutboxState {
  pending: readonly Pending[];
  /** Why nothing could be stored on or read from this device; '' if it could. */
  problem: string;
  /** What the host said about the last entry that it stored; '' before. */
  stored: string;
  /** Why an entry that is not refused still waits, by its number, if there was an answer. */
  said: ReadonlyMap<number, string>;
}

export const EMPTY_OUTBOX: OutboxState = { pending: [], problem: '', stored: '', said: new Map() };

export interface OutboxOptions {
  store: PendingStore;
  /** Rejects if there was no answer; one that is not the host's has no id. */
  send(request: InspectionRequest): Promise<InspectionOutcome>;
  onChange(state: OutboxState): void;
}

/** First and longest time between two attempts, ms. */
const FIRST_MS = 2000;
const LONGEST_MS = 60_000;
/** Tries with an answer that is not the host's, after which an entry no longer holds up those after it. */
const STRANGE_MAX = 8;

export class Outbox {
  private state = EMPTY_OUTBOX;
  private site = '';
  private running = false;
  private again = false;
  private waitMs = FIRST_MS;
  /** Answers in a row that were not the host's, by the entry's number. */
  private readonly strange = new Map<number, number>();
  private timer: ReturnType<typeof setTimeout> | undefined;

  constructor(private readonly o: OutboxOptions) {}

  /** The host of this building has answered: sends what waits for it. */
  reached(site: string): void {
    const isKnown = this.site === site;
    this.site = site;
    if (!isKnown || this.state.pending.length > 0) this.kick();
  }

  /** Tries at once; to be called when the connection may be back. */
  kick(): void {
    this.waitMs = FIRST_MS;
    void this.run();
  }

  /**
   * Stores an entry on this device and sends it.
   * @throws Error with one sentence if this device cannot store it; then it is not entered.
   */
  async add(entry: Pick<Pending, 'title' | 'request'>): Promise<void> {
    try {
      await this.o.store.add({ ...entry, site: this.site, refused: '' });
    } catch (error) {
      throw new Error(t.duties.cannotStore((error as Error).message));
    }
    await this.read();
    this.kick();
  }

  /** Sends an entry again that the host has refused: its site file may have changed since. */
  async retry(n: number): Promise<void> {
    const entry = (await this.read()).find((one) => one.n === n);
    if (entry) await this.o.store.put({ ...entry, refused: '' });
    await this.read();
    this.kick();
  }

  /** Gives up an entry. */
  async discard(n: number): Promise<void> {
    await this.o.store.remove(n);
    await this.read();
  }

  private change(more: Partial<OutboxState>): void {
    this.state = { ...this.state, ...more };
    this.o.onChange(this.state);
  }

  /** Also what other windows of this browser have added or sent. */
  private async read(): Promise<readonly Pending[]> {
    try {
      const pending = await this.o.store.all();
      this.change({ pending, problem: '' });
      return pending;
    } catch (error) {
      this.change({ problem: t.duties.cannotRead((error as Error).message) });
      return [];
    }
  }

  private async run(): Promise<void> {
    if (this.running) {
      this.again = true;
      return;
    }
    this.running = true;
    clearTimeout(this.timer);
    let isDone = true;
    do {
      this.again = false;
      isDone = await this.sendAll().catch(() => false);
    } while (this.again);
    this.running = false;
    if (isDone) return;
    this.timer = setTimeout(() => void this.run(), this.waitMs);
    this.waitMs = Math.min(LONGEST_MS, this.waitMs * 2);
  }

  /** False if something still waits. */
  private async sendAll(): Promise<boolean> {
    const passed = new Set<number>();
    for (;;) {
      const next = (await this.read()).find(
        ({ n, site, refused }) => site === this.site && refused === '' && !passed.has(n),
      );
      if (!next || this.site === '') return passed.size === 0;
      const { n } = next;
      const outcome = await this.o.send({ ...next.request, site: next.site });
      // Something between here and the host may answer in its place; only the host knows the id.
      if (outcome.id !== next.request.id) {
        const times = (this.strange.get(n) ?? 0) + 1;
        this.strange.set(n, times);
        this.say(n, t.duties.strange);
        if (times < STRANGE_MAX) return false;
        passed.add(n);
      } else if (!(await this.settle(next, outcome))) passed.add(n);
    }
  }

  /** Does what the host said about an entry; false if it still waits. */
  private async settle(entry: Pending, { ok, refused, answer }: InspectionOutcome): Promise<boolean> {
    const { n, title } = entry;
    this.strange.delete(n);
    this.say(n, ok || refused ? '' : answer);
    if (ok) {
      await this.o.store.remove(n);
      this.waitMs = FIRST_MS;
      this.change({ stored: `${title}: ${answer}` });
    } else if (refused) await this.o.store.put({ ...entry, refused: answer });
    return ok || refused;
  }

  private say(n: number, words: string): void {
    const said = new Map(this.state.said);
    if (words === '') said.delete(n);
    else said.set(n, words);
    this.change({ said });
  }
}
