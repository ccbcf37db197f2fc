// What the host answers: acknowledgements, the time, settings and plan.
import { WIRE_VERSION } from '../../firmware/contract/limits';
import type { PlanMessage, SettingsMessage, StateMessage } from '../../firmware/contract/messages';
import { type DownKind, topicOf } from '../../firmware/contract/topics';
import { risingMs } from '../clock';
import { type KeyRing, signMessage } from '../keys';
import type { JournalPlace, Logbook } from '../logbook/logbook';
import { type GapOptions, Gaps } from './gaps';

/**
 * Sends one message; false if it could not be handed to the broker. Messages for a controller are never
 * retained: later subscribers would obey them.
 */
export type Publish = (topic: string, payload: string, options: { qos: 0 | 1; retain?: true }) => boolean;

/** What the host wants a controller to know. */
export interface Desired {
  settings?: SettingsMessage;
  plan?: PlanMessage;
}

export interface AnswerOptions extends GapOptions {
  logbook: Pick<Logbook, 'through' | 'throughAll'>;
  keys: KeyRing;
  publish: Publish;
  desired?: (address: string) => Desired;
}

/** A journal, and up to which record it is known to be stored. */
export interface StoredJournal extends Pick<JournalPlace, 'address' | 'journal'> {
  through: number;
}

/** Shortest time before settings and plan are repeated to the same controller, ms. */
const REPEAT_MS = 10000;

export class Answers {
  /** When settings and plan were last sent, per address and kind, ms of a clock that only rises. */
  private readonly toldMs = new Map<string, number>();
  private readonly gaps: Gaps;

  constructor(private readonly o: AnswerOptions) {
    this.gaps = new Gaps(o);
  }

  /** Reports to a controller how far its journal is in the log book. */
  async acknowledge(address: string, journal: string): Promise<void> {
    this.sendThrough(address, journal, await this.throughOf(address, journal));
  }

  /** The same for many of which that is known. @throws LogbookError before any is told, if it must be looked up */
  async acknowledgeAll(journals: readonly StoredJournal[]): Promise<void> {
    const lacking = journals
      .map((journal) => ({ ...journal, after: this.gaps.givenUp(journal.address, journal.journal) }))
      .filter(({ after, through }) => after > through);
    const found = lacking.length > 0 ? await this.o.logbook.throughAll(lacking) : [];
    const more = new Map(lacking.map(({ address, journal }, i) => [`${address} ${journal}`, found[i]]));
    for (const { address, journal, through } of journals)
      this.sendThrough(address, journal, more.get(`${address} ${journal}`) ?? through);
  }

  /** Tells a controller the time as soon as it reports; nothing may hold that up. */
  tellTime(address: string, state: StateMessage): void {
    const utc = this.o.clock.nowMs();
    this.send(address, 'time', { v: WIRE_VERSION, boot: state.boot, up: state.up, utc }, 0);
  }

  /** Answers a fresh state message: what was acknowledged before, what has changed since. */
  async toState(address: string, state: StateMessage): Promise<void> {
    this.gaps.heed(address, state, await this.o.logbook.through(address, state.journal));
    const through = await this.throughOf(address, state.journal);
    // Also if records are missing here: the controller then knows at once that they were lost on the way.
    if (state.acked < through || state.last > through) await this.acknowledge(address, state.journal);
    this.bringUpToDate(address, state, risingMs(this.o.clock));
  }

  private send(address: string, kind: DownKind, message: object, qos: 0 | 1): void {
    this.o.publish(topicOf(address, kind), signMessage(this.o.keys, address, kind, message), { qos });
  }

  private sendThrough(address: string, journal: string, through: number): void {
    this.send(address, 'ack', { v: WIRE_VERSION, journal, through }, 1);
  }

  private throughOf(address: string, journal: string): Promise<number> {
    return this.o.logbook.through(address, journal, this.gaps.givenUp(address, journal));
  }

  private bringUpToDate(address: string, state: StateMessage, upMs: number): void {
    const desired = this.o.desired?.(address);
    const settings = desired?.settings?.revision === state.settings ? undefined : desired?.settings;
    const plan = desired?.plan?.revision === state.plan ? undefined : desired?.plan;
    // One after the other: a controller has little memory. The state that confirms the settings triggers the
    // plan.
    if (settings && this.isTurn(`${address} settings`, upMs)) this.send(address, 'settings', settings, 1);
    else if (plan && this.isTurn(`${address} plan`, upMs)) this.send(address, 'plan', plan, 1);
  }

  private isTurn(what: string, upMs: number): boolean {
    if (upMs - (this.toldMs.get(what) ?? -Infinity) < REPEAT_MS) return false;
    this.toldMs.set(what, upMs);
    return true;
  }
}
