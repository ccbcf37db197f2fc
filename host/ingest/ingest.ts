// From the wire into the log book, without timers: its caller (the MQTT layer, the simulator) calls `accept`
// for every message and `flush` when it is time to commit. Work with the log book is done one step at a time,
// in order of arrival. Nothing is acknowledged before it is durable; nothing that is signed is dropped.
import { intField } from '../../firmware/contract/fields';
import type {
  AnyRecord,
  LiveMessage,
  PresenceMessage,
  ReplyMessage,
  StateMessage,
} from '../../firmware/contract/messages';
import { nowSec } from '../clock';
import { guarded } from '../guarded';
import type { Appended, Entry, Logbook, NewRecord } from '../logbook/logbook';
import { type AnswerOptions, Answers, type StoredJournal } from './answers';
import { type Admitted, type AdmittedRecord, admit, type Refusal, type UnfitRecord } from './door';
import { newFreshness } from './freshness';

export interface StoredRecord {
  entry: Entry;
  /** Undefined if the record's kind is unknown to this host. */
  record: AnyRecord | undefined;
}

export interface IngestOptions extends AnswerOptions {
  logbook: Logbook;
  /** Controllers that belong here; by default all that sign correctly. */
  known?: (address: string) => boolean;
  /**
   * After the commit that made it durable and its acknowledgement, once per record, never for a duplicate.
   * What it throws, like what any of these throws, becomes a problem and stops nothing.
   */
  onRecord?: (stored: StoredRecord) => void;
  onState?: (address: string, state: StateMessage, retained: boolean, text: string) => void;
  onLive?: (address: string, live: LiveMessage) => void;
  onReply?: (address: string, reply: ReplyMessage) => void;
  onPresence?: (address: string, presence: PresenceMessage) => void;
  /** One plain sentence about something a person should know. */
  onProblem?: (sentence: string) => void;
}

export interface IngestCounts {
  refused: Record<Refusal, number>;
  stored: number;
  duplicates: number;
  conflicts: number;
  /** Records left with their controllers because the log book could not take them. */
  deferred: number;
}

export interface Ingest {
  /** Accepts one message and returns its kind, or why it was refused. Records wait for `flush`. */
  accept(topic: string, payload: Buffer | string, retained: boolean): Admitted['kind'] | Refusal;
  /**
   * Commits what waits and acknowledges it, once everything accepted before is answered. It never rejects;
   * false if the log book could not take the records. An acknowledgement that fails is owed until the next commit.
   */
  flush(): Promise<boolean>;
  /** Records waiting for `flush`. */
  waiting(): number;
  /** Forgets the records that wait: they will be accepted again. */
  forget(): void;
  readonly counts: IngestCounts;
}

/** Most records that may wait; any more stay with their controllers, which send them again. */
const WAITING_MAX = 5000;
/**
 * Most different complaints about single messages that are passed on; a flood of forgeries must not fill a
 * disk.
 */
const COMPLAINTS_MAX = 1000;

/** Most unfit records of one controller that are kept in a run: a stolen one must not fill the disk. */
const UNFIT_MAX = 100;

/** A record that waits for its commit. */
interface Waiting {
  filed: NewRecord;
  record: AnyRecord | undefined;
}

function newCounts(): IngestCounts {
  const refused = {
    topic: 0,
    'unknown controller': 0,
    size: 0,
    unreadable: 0,
    signature: 0,
    shape: 0,
    replayed: 0,
  };
  return { refused, stored: 0, duplicates: 0, conflicts: 0, deferred: 0 };
}

class WireIngest implements Ingest {
  readonly counts = newCounts();
  private readonly answers: Answers;
  private readonly freshness = newFreshness();
  private readonly complaints = new Set<string>();
  /** Unfit records per controller since the start. */
  private readonly unfit = new Map<string, number>();
  private queue: Waiting[] = [];
  /** Journals with stored records whose acknowledgement could not be made yet. */
  private readonly owed = new Map<string, StoredJournal>();
  private failing = false;
  /** The last work with the log book that was started. */
  private turn: Promise<unknown> = Promise.resolve();

  constructor(private readonly o: IngestOptions) {
    this.answers = new Answers(o);
  }

  waiting(): number {
    return this.queue.length;
  }

  forget(): void {
    this.queue = [];
  }

  accept(topic: string, payload: Buffer | string, retained: boolean): Admitted['kind'] | Refusal {
    const { keys, known = () => true, onRecord } = this.o;
    const m = admit(topic, payload, keys, known, onRecord !== undefined);
    if (typeof m === 'string') return this.refuse(m, topic);
    if (m.kind === 'unfit') return this.keepApart(m);
    if (m.kind === 'record') this.takeRecord(m);
    else if (m.kind === 'live') this.pass(() => this.o.onLive?.(m.address, m.message));
    else if (m.kind === 'reply') this.pass(() => this.o.onReply?.(m.address, m.message));
    else if (m.kind === 'presence') this.pass(() => this.o.onPresence?.(m.address, m.message));
    else {
      if (!this.freshness.isNews(m.address, m.message)) return this.refuse('replayed', topic);
      this.pass(() => this.o.onState?.(m.address, m.message, retained, m.text));
      // A retained copy shows the past; only a controller that is present can be answered.
      if (!retained) this.answer(m.address, m.message);
    }
    return m.kind;
  }

  flush(): Promise<boolean> {
    return this.inTurn(() => this.commit());
  }

  /** Passes something on; a listener that fails must not stop what comes in after it. */
  private pass(work: () => void): void {
    guarded(work, (sentence) => this.o.onProblem?.(sentence))();
  }

  private tell(sentence: string): void {
    this.pass(() => this.o.onProblem?.(sentence));
  }

  /** Queues work with the log book after all earlier work. `work` must not reject. */
  private inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.turn.then(work);
    this.turn = done;
    return done;
  }

  private answer(address: string, state: StateMessage): void {
    this.pass(() => this.answers.tellTime(address, state));
    void this.inTurn(async () => {
      try {
        await this.answers.toState(address, state);
      } catch (error) {
        // The next state requests the same again.
        this.reportFailure(error);
      }
    });
  }

  private async commit(): Promise<boolean> {
    const batch = this.queue;
    this.queue = [];
    if (batch.length === 0) {
      await this.acknowledgeOwed();
      return true;
    }
    let results: Appended[];
    try {
      results = await this.o.logbook.appendBatch(batch.map(({ filed }) => filed));
    } catch (error) {
      // They stay with their controllers, which send them again; keeping them here would help no one.
      this.counts.deferred += batch.length;
      this.reportFailure(error);
      return false;
    }
    this.failing = false;
    // First of all: whatever fails from here on, the records are stored.
    batch.forEach(({ filed: { address, journal } }, i) => {
      this.owed.set(`${address} ${journal}`, { address, journal, through: results[i].through });
    });
    await this.acknowledgeOwed();
    this.report(batch, results);
    return true;
  }

  /** Signed, so it is not dropped; but what could be read in two ways is no record. */
  private keepApart({ address, text }: UnfitRecord): Refusal {
    const kept = this.unfit.get(address) ?? 0;
    this.unfit.set(address, kept + 1);
    if (kept >= UNFIT_MAX) return this.refuse('shape', address);
    const why = `Controller ${address} signed a record that cannot be read in one way only; it is kept apart.`;
    this.complainOnce(`${address} unfit`, why);
    void this.inTurn(async () => {
      try {
        await this.o.logbook.keep({ address, at: nowSec(this.o.clock), why, body: text });
      } catch (error) {
        this.reportFailure(error);
      }
    });
    return this.refuse('shape', address);
  }

  private async acknowledgeOwed(): Promise<void> {
    try {
      if (this.owed.size > 0) await this.answers.acknowledgeAll([...this.owed.values()]);
      this.owed.clear();
    } catch {
      await this.acknowledgeSingly();
    }
  }

  /** One journal at a time: what fails for one must not keep the others waiting. */
  private async acknowledgeSingly(): Promise<void> {
    for (const [name, { address, journal }] of [...this.owed]) {
      try {
        await this.answers.acknowledge(address, journal);
        this.owed.delete(name);
      } catch (error) {
        // Owed until the next commit; and a record sent again is acknowledged like the first.
        this.reportFailure(error);
      }
    }
  }

  private reportFailure(error: unknown): void {
    if (!this.failing) this.tell((error as Error).message);
    this.failing = true;
  }

  private refuse(why: Refusal, topic: string): Refusal {
    this.counts.refused[why]++;
    if (why === 'unknown controller')
      this.complainOnce(topic, `A controller that is not in the site file is reporting on ${topic}.`);
    if (why === 'signature')
      this.complainOnce(topic, `A message on ${topic} has a wrong signature; it was not stored.`);
    return why;
  }

  private complainOnce(about: string, sentence: string): void {
    if (this.complaints.has(about) || this.complaints.size >= COMPLAINTS_MAX) return;
    this.complaints.add(about);
    this.tell(sentence);
  }

  private takeRecord({ address, message, text, record }: AdmittedRecord): void {
    if (this.queue.length >= WAITING_MAX) {
      this.counts.deferred++;
      return;
    }
    const { journal, seq, utc, kind } = message;
    const at = utc > 0 ? utc : nowSec(this.o.clock);
    const filed = { address, journal, seq, kind, test: intField(text, 'test', 0), at, body: text };
    this.queue.push({ filed, record });
  }

  private report(batch: Waiting[], results: Appended[]): void {
    results.forEach((result, i) => {
      if (result.outcome === 'stored') {
        this.counts.stored++;
        this.pass(() => this.o.onRecord?.({ entry: result.entry, record: batch[i].record }));
      } else if (result.outcome === 'duplicate') this.counts.duplicates++;
      else this.reportConflict(batch[i].filed);
    });
  }

  private reportConflict(r: NewRecord): void {
    this.counts.conflicts++;
    this.complainOnce(
      `${r.address} ${r.journal} ${r.seq}`,
      `Controller ${r.address} sent two different records under number ${r.seq}; both are kept.`,
    );
  }
}

/** The way from the wire into the log book; see `Ingest`. */
export function createIngest(options: IngestOptions): Ingest {
  return new WireIngest(options);
}
