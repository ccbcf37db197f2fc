// Messages to one receiver that must arrive: in order, tried again with a growing delay, kept over restarts.
import { z } from 'zod';
import { guarded } from '../../guarded';
import type { Memory } from '../../logbook/memory';
import { counted } from '../../words/counted';
import { type AlertEvent, alertEvent } from './alarms';
import { recalled } from './recalled';

/** What one message holds. */
export interface Batch {
  events: AlertEvent[];
  /** Older ones that no longer fitted. */
  lost: number;
}

/** The receiver will not take it however often it is tried, until somebody changes something. */
export class RefusedForGood extends Error {}

export interface QueueOptions {
  /** Its place in memory. */
  key: string;
  /** Names the receiver in sentences. */
  name: string;
  memory: Memory;
  /** Sends one message; rejects with the reason if it may not have arrived. */
  send(batch: Batch): Promise<void>;
  /** UTC second by which it is tried again. */
  now(): number;
  onProblem(sentence: string): void;
  /** How often is looked whether something is due, ms. */
  lookMs?: number;
  /** Wait after the first failure, s; doubled after each, up to the longest. */
  firstSec?: number;
}

export interface Queue {
  readonly name: string;
  add(events: AlertEvent[]): void;
  /** Puts what waited elsewhere before what waits here, without what already does. */
  adopt(events: AlertEvent[], lost: number): void;
  waiting(): number;
  stop(): void;
}

const stateSchema = z.object({
  events: z.array(alertEvent),
  /** So many of them make up the message that is being tried: it must stay the same. */
  trying: z.int().min(0),
  lost: z.int().min(0),
  failures: z.int().min(0),
});

type State = z.infer<typeof stateSchema>;

/** Events that wait at most, and that make up one message. */
const WAITING_MAX = 500;
const BATCH_MAX = 50;
const FIRST_SEC = 60;
const LONGEST_SEC = 6 * 3600;
const LOOK_MS = 1000;

function placeOf(key: string): string {
  return `alerts to ${key}`;
}

function stored(memory: Memory, key: string): State {
  const empty: State = { events: [], trying: 0, lost: 0, failures: 0 };
  return recalled(memory, placeOf(key), stateSchema) ?? empty;
}

/**
 * Empties the place of a receiver without a queue, once it has been passed on.
 * @returns how many events were passed on
 */
export function takeWaiting(
  memory: Memory,
  key: string,
  passOn: (events: AlertEvent[], lost: number) => void,
): number {
  const { events, lost } = stored(memory, key);
  if (events.length > 0) passOn(events, lost);
  memory.remember(placeOf(key), '');
  return events.length;
}

/** "a minute", "4 minutes", "6 hours" */
function waitWord(sec: number): string {
  const minutes = Math.max(1, Math.round(sec / 60));
  if (minutes >= 60) return counted(Math.round(minutes / 60), 'hour');
  return minutes === 1 ? 'a minute' : `${minutes} minutes`;
}

class Sending implements Queue {
  private readonly state: State;
  private readonly timer: NodeJS.Timeout;
  /** UTC second of the next try. Not stored: after a start somebody may have mended what failed. */
  private nextAt = 0;
  private isSending = false;
  private isStopped = false;
  /** Why it was refused for good, as was said. */
  private refused = '';

  constructor(private readonly o: QueueOptions) {
    this.state = stored(o.memory, o.key);
    this.timer = setInterval(
      guarded(() => void this.look(), o.onProblem),
      o.lookMs ?? LOOK_MS,
    );
  }

  get name(): string {
    return this.o.name;
  }

  add(events: AlertEvent[]): void {
    if (events.length === 0) return;
    this.state.events.push(...events);
    this.fit();
  }

  adopt(events: AlertEvent[], lost: number): void {
    const { state } = this;
    const here = new Set(state.events.map(({ id }) => id));
    state.events.splice(state.trying, 0, ...events.filter(({ id }) => !here.has(id)));
    state.lost += lost;
    this.fit();
  }

  waiting(): number {
    return this.state.events.length;
  }

  stop(): void {
    this.isStopped = true;
    clearInterval(this.timer);
  }

  private fit(): void {
    const { state } = this;
    const over = Math.max(0, state.events.length - WAITING_MAX);
    // What is being tried stays as it is.
    state.events.splice(state.trying, over);
    state.lost += over;
    this.keep();
  }

  private keep(): void {
    // The place may be another queue's by now; what has arrived meanwhile is then sent twice.
    if (this.isStopped) return;
    this.o.memory.remember(placeOf(this.o.key), JSON.stringify(this.state));
  }

  private isDue(): boolean {
    const wait = this.nextAt - this.o.now();
    // No wait is longer: the clock has been put back.
    return wait <= 0 || wait > LONGEST_SEC;
  }

  private async look(): Promise<void> {
    const { state, o } = this;
    if (this.isSending || state.events.length === 0 || !this.isDue()) return;
    this.isSending = true;
    if (state.trying === 0) state.trying = Math.min(BATCH_MAX, state.events.length);
    this.keep();
    const { lost } = state;
    try {
      await o.send({ events: state.events.slice(0, state.trying), lost });
      state.events.splice(0, state.trying);
      Object.assign(state, { trying: 0, lost: state.lost - lost, failures: 0 });
      [this.nextAt, this.refused] = [0, ''];
    } catch (error) {
      this.putOff(error as Error);
    } finally {
      this.isSending = false;
      this.keep();
    }
  }

  private putOff(error: Error): void {
    const { state, o } = this;
    const isForGood = error instanceof RefusedForGood;
    const growing = (o.firstSec ?? FIRST_SEC) * 2 ** Math.min(state.failures, 20);
    const wait = isForGood ? LONGEST_SEC : Math.min(LONGEST_SEC, growing);
    this.nextAt = o.now() + wait;
    state.failures++;
    // Each time the wait has doubled, and a refusal once: nobody's disk fills with it.
    if (isForGood && this.refused === error.message) return;
    this.refused = isForGood ? error.message : '';
    const hope = isForGood ? 'until that is changed' : `and are tried again in ${waitWord(wait)}`;
    o.onProblem(
      `An alert could not be sent to ${o.name} (${error.message}); ${state.events.length} wait ${hope}.`,
    );
  }
}

/** See `Queue`. */
export function newQueue(o: QueueOptions): Queue {
  return new Sending(o);
}
