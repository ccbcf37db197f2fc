// Who answers the controllers of a campaign. In memory: acknowledges what the ledger holds, answers with the time,
// and hands out settings and plan. Runs with the real host put a real one here (host/rehearse/realHost).
import { intField, textField } from '../../firmware/contract/fields';
import { WIRE_VERSION } from '../../firmware/contract/limits';
import { signObject } from '../../firmware/contract/signature';
import type { DownKind, UpKind } from '../../firmware/contract/topics';
import type { Span } from '../plant/spans';
import type { CampaignHost, Served } from './host';
import type { Incident, OrderWish } from './incidents';

/** Lifetime of an order, s. */
export const ORDER_SEC = 600;

export interface Desk {
  /** Whether it takes a record before those that are missing in front of it. */
  readonly takesAhead: boolean;
  /** Takes a message that a controller has sent. */
  take(s: Served, kind: UpKind, topic: string, payload: string): void;
  order(s: Served, wish: OrderWish): void;
  /** Lets a misfortune happen to the host itself. */
  suffer(incident: Incident): void;
  /** Does what is due. @returns when something is due next, simulated ms */
  look(): number;
  /** When nobody was there to answer, simulated ms. */
  readonly absences: readonly Span[];
}

export class MemoryDesk implements Desk {
  readonly takesAhead = false;
  readonly absences = [];

  constructor(private readonly host: CampaignHost) {}

  take(s: Served, kind: UpKind, _topic: string, text: string): void {
    if (kind === 'record') this.acknowledge(s, textField(text, 'journal'));
    else if (kind === 'state') this.answer(s, text);
  }

  order(s: Served, wish: OrderWish): void {
    const { do: what, arg } = wish;
    const expires = Math.floor(this.host.utcMs() / 1000) + ORDER_SEC;
    const counter = ++s.counter;
    this.send(s, 'order', { v: WIRE_VERSION, counter, expires, do: what, arg, who: 'campaign' });
  }

  suffer(): void {}

  look(): number {
    return Number.POSITIVE_INFINITY;
  }

  private acknowledge(s: Served, journal: string): void {
    this.send(s, 'ack', { v: WIRE_VERSION, journal, through: s.ledger.through(journal) });
  }

  private answer(s: Served, text: string): void {
    const off = this.host.clockOffMs(s);
    if (off !== undefined) {
      const [boot, up] = [intField(text, 'boot', 0), intField(text, 'up', 0)];
      this.send(s, 'time', { v: WIRE_VERSION, boot, up, utc: this.host.utcMs() + off });
    }
    const { settings, plan } = this.host.wanted(s, text);
    if (settings) this.send(s, 'settings', settings);
    if (plan) this.send(s, 'plan', plan);
  }

  private send(s: Served, kind: DownKind, message: object): void {
    const { address } = s.circuit.spec;
    this.host.pass(s, kind, signObject(s.key, kind, address, message));
  }
}
