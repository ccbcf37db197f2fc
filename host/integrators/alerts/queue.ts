// Messages to one receiver that must arrive: in order, tried again with a growing delay, kept over restarts.
import { guarded } from '../../guarded';
import type { Memory } from '../../logbook/memory';
import type { AlertEvent } from './alarms';

/** What one message holds. */
export interface Batch {
  events: AlertEvent[];
  /** Older ones that no longer fitted. */
  lost: number;
}

export interface QueueOptions {
  /** Names the receiver in sentences, and its place in memory. */
  name: string;
  memory: Memory;
  /** Sends one message; rejects with the reason if it may not have arrived. */
  send(batch: Batch): Promise<void>;
  /** UTC second. */
  now(): number;
  onProblem(sentence: string): void;
  /** How often is looked whether something is due, ms. */
  lookMs?: number;
  /** Wait after the first failure, s; doubled after each, up to the longest. */
  firstSec?: number;
}

export interface Queue {
  add(events: AlertEvent[]): void;
  waiting(): number;
  stop(): void;
}

interface State {
  events: AlertEvent[];
  /** So many of them make up the message that is being tried: it must stay the same. */
  trying: number;
  lost: number;
  failures: number;
  /** UTC second of the next try, 0 for at once. */
  nextAt: number;
}

/** Events that wait at most, and that make up one message. */
const WAITING_MAX = 500;
const BATCH_MAX = 50;
const FIRST_SEC = 60;
const LONGEST_SEC = 6 * 3600;
const LOOK_MS = 1000;

function stored(memory: Memory, name: string): State {
  const empty: State = { events: [], trying: 0, lost: 0, failures: 0, nextAt: 0 };
  return { ...empty, ...(JSON.parse(memory.recall(name) || '{}') as Partial<State>) };
}

class Sending implements Queue {
  private readonly key: string;
  private readonly state: State;
  private readonly timer: NodeJS.Timeout;
  private isSending = false;

  constructor(private readonly o: QueueOptions) {
    this.key = `alerts ${o.name}`;
    this.state = stored(o.memory, this.key);
    this.timer = setInterval(
      guarded(() => void this.look(), o.onProblem),
      o.lookMs ?? LOOK_MS,
    );
  }

  add(events: AlertEvent[]): void {
    if (events.length === 0) return;
    const { state } = this;
    state.events.push(...events);
    const over = Math.max(0, state.events.length - WAITING_MAX);
    // What is being tried stays as it is.
    state.events.splice(state.trying, over);
    state.lost += over;
    this.keep();
  }

  waiting(): number {
    return this.state.events.length;
  }

  stop(): void {
    clearInterval(this.timer);
  }

  private keep(): void {
    this.o.memory.remember(this.key, JSON.stringify(this.state));
  }

  private async look(): Promise<void> {
    const { state, o } = this;
    if (this.isSending || state.events.length === 0 || o.now() < state.nextAt) return;
    this.isSending = true;
    if (state.trying === 0) state.trying = Math.min(BATCH_MAX, state.events.length);
    this.keep();
    const { lost } = state;
    try {
      await o.send({ events: state.events.slice(0, state.trying), lost });
      state.events.splice(0, state.trying);
      Object.assign(state, { trying: 0, lost: state.lost - lost, failures: 0, nextAt: 0 });
    } catch (error) {
      this.putOff((error as Error).message);
    } finally {
      this.isSending = false;
      this.keep();
    }
  }

  private putOff(why: string): void {
    const { state, o } = this;
    const wait = Math.min(LONGEST_SEC, (o.firstSec ?? FIRST_SEC) * 2 ** Math.min(state.failures, 20));
    state.failures++;
    state.nextAt = o.now() + wait;
    // The first failure and then each time the wait has doubled: nobody's disk fills with it.
    o.onProblem(
      `An alert could not be sent to ${o.name} (${why}); ${state.events.length} wait and are tried again.`,
    );
  }
}

/** See `Queue`. */
export function newQueue(o: QueueOptions): Queue {
  return new Sending(o);
}
