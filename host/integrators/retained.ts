// Keeps retained messages on a broker as they should be: sends what has changed and no more, at a pace that a broker
// and its readers can bear, and clears the topics of what is gone.
import type { Memory } from '../logbook/memory';

/** Publishes one retained message with QoS 1; resolves once the broker has it, rejects if it cannot. */
export type Deliver = (topic: string, text: string) => Promise<unknown>;

export interface RetainedOptions {
  deliver: Deliver;
  /** Keeps which topics hold something, also over a restart with another site. */
  memory: Memory;
  /** Every topic that may be offered; what was told before and is not among them is cleared. */
  topics: string[];
  /** Most messages a second, and most that wait for the broker's answer. */
  perSec?: number;
  inFlight?: number;
}

export interface Retained {
  /** What a topic should hold. Unchanged text is not sent again. */
  offer(topic: string, text: string): void;
  /** Sends what these topics should hold once more. */
  repeat(topics: Iterable<string>): void;
  /** A connection has been made: the broker may have forgotten everything. */
  connected(): void;
  /** Messages that still wait. */
  waiting(): number;
  stop(): void;
}

const NAME = 'retainedTopics';
const PER_SEC = 200;
const IN_FLIGHT = 50;
const TICKS_PER_SEC = 10;

function told(memory: Memory): string[] {
  const text = memory.recall(NAME);
  return text === '' ? [] : text.split('\n');
}

class Board implements Retained {
  /** What each topic should hold; '' for nothing. */
  private readonly wanted = new Map<string, string>();
  /** To be sent: changes before what is only sent again. */
  private readonly changes = new Set<string>();
  private readonly anew = new Set<string>();
  /** Cleared, and still in memory as told. */
  private readonly cleared = new Set<string>();
  private readonly timer: NodeJS.Timeout;
  private isConnected = false;
  private inFlight = 0;
  private connection = 0;

  constructor(private readonly o: RetainedOptions) {
    const topics = new Set(o.topics);
    const gone = told(o.memory).filter((topic) => !topics.has(topic));
    for (const topic of gone) this.wanted.set(topic, '');
    this.remember([...topics, ...gone]);
    this.timer = setInterval(() => this.send(), 1000 / TICKS_PER_SEC);
  }

  offer(topic: string, text: string): void {
    const before = this.wanted.get(topic);
    if (before === text) return;
    this.wanted.set(topic, text);
    if (before !== undefined) this.changes.add(topic);
    else if (!this.changes.has(topic)) this.anew.add(topic);
  }

  repeat(topics: Iterable<string>): void {
    for (const topic of topics) if (this.wanted.has(topic)) this.anew.add(topic);
  }

  connected(): void {
    this.isConnected = true;
    this.connection++;
    this.inFlight = 0;
    for (const topic of this.wanted.keys()) this.anew.add(topic);
  }

  waiting(): number {
    return this.changes.size + this.anew.size + this.inFlight;
  }

  stop(): void {
    clearInterval(this.timer);
    this.forget();
  }

  private remember(topics: string[]): void {
    const text = topics.join('\n');
    if (text !== this.o.memory.recall(NAME)) this.o.memory.remember(NAME, text);
  }

  private next(): string | undefined {
    for (const queue of [this.changes, this.anew])
      for (const topic of queue) {
        this.changes.delete(topic);
        this.anew.delete(topic);
        return topic;
      }
    return undefined;
  }

  private send(): void {
    this.forget();
    if (!this.isConnected) return;
    const { perSec = PER_SEC, inFlight = IN_FLIGHT } = this.o;
    for (let left = Math.ceil(perSec / TICKS_PER_SEC); left > 0 && this.inFlight < inFlight; left--) {
      const topic = this.next();
      if (topic === undefined) return;
      void this.sendOne(topic, this.wanted.get(topic) ?? '');
    }
  }

  private async sendOne(topic: string, text: string): Promise<void> {
    const { connection } = this;
    this.inFlight++;
    try {
      await this.o.deliver(topic, text);
      if (text === '' && this.wanted.get(topic) === '') this.cleared.add(topic);
    } catch {
      // Everything is sent again with the next connection.
      if (connection === this.connection) this.isConnected = false;
    }
    if (connection === this.connection) this.inFlight--;
  }

  /** All that were cleared since at once, since the list may be long. */
  private forget(): void {
    if (this.cleared.size === 0) return;
    const gone = [...this.cleared].filter((topic) => this.wanted.get(topic) === '');
    this.cleared.clear();
    for (const topic of gone) this.wanted.delete(topic);
    const isGone = new Set(gone);
    this.remember(told(this.o.memory).filter((topic) => !isGone.has(topic)));
  }
}

/** See `Retained`. */
export function keepRetained(o: RetainedOptions): Retained {
  return new Board(o);
}
