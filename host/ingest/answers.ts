// What the host answers: acknowledgements, the time, settings and plan.
import { WIRE_VERSION } from '../../firmware/contract/limits';
import type { PlanMessage, SettingsMessage, StateMessage } from '../../firmware/contract/messages';
import { type DownKind, topicOf } from '../../firmware/contract/topics';
import { type HostClock, risingMs } from '../clock';
import { type KeyRing, signMessage } from '../keys';
import type { Logbook } from '../logbook/logbook';

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

export interface AnswerOptions {
  logbook: Pick<Logbook, 'through'>;
  keys: KeyRing;
  clock: HostClock;
  publish: Publish;
  desired?: (address: string) => Desired;
  onProblem?: (sentence: string) => void;
}

/** Shortest time before settings and plan are repeated to the same controller, ms. */
const REPEAT_MS = 10000;

export class Answers {
  /** When settings and plan were last sent, per address and kind, ms of a clock that only rises. */
  private readonly toldMs = new Map<string, number>();
  /** Per address and journal: what the controller itself reports as acknowledged. */
  private readonly base = new Map<string, number>();

  constructor(private readonly o: AnswerOptions) {}

  /** Reports to a controller how far its journal is in the log book. */
  async acknowledge(address: string, journal: string): Promise<void> {
    const through = await this.throughOf(address, journal);
    this.send(address, 'ack', { v: WIRE_VERSION, journal, through }, 1);
  }

  /** Tells a controller the time as soon as it reports; nothing may hold that up. */
  tellTime(address: string, state: StateMessage): void {
    const utc = this.o.clock.nowMs();
    this.send(address, 'time', { v: WIRE_VERSION, boot: state.boot, up: state.up, utc }, 0);
  }

  /** Answers a fresh state message: what was acknowledged before, what has changed since. */
  async toState(address: string, state: StateMessage): Promise<void> {
    await this.heedAcked(address, state);
    const through = await this.throughOf(address, state.journal);
    // Also if records are missing here: the controller then knows at once that they were lost on the way.
    if (state.acked < through || state.last > through) await this.acknowledge(address, state.journal);
    this.bringUpToDate(address, state, risingMs(this.o.clock));
  }

  private send(address: string, kind: DownKind, message: object, qos: 0 | 1): void {
    this.o.publish(topicOf(address, kind), signMessage(this.o.keys, address, kind, message), { qos });
  }

  private throughOf(address: string, journal: string): Promise<number> {
    return this.o.logbook.through(address, journal, this.base.get(`${address} ${journal}`) ?? 0);
  }

  /** A fresh log book for an old controller: the gap is reported once, and records continue after it. */
  private async heedAcked(address: string, state: StateMessage): Promise<void> {
    if (state.acked <= (await this.throughOf(address, state.journal))) return;
    this.base.set(`${address} ${state.journal}`, state.acked);
    this.o.onProblem?.(
      `Controller ${address} has already passed on its records up to ${state.acked}, but this log book does ` +
        'not hold them all. Use the log book that has them, or keep it as evidence.',
    );
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
