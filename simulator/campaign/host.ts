// The host of a campaign as its judges see it: what has come from each controller, what it was told, who comes to
// clear a tester fault after some days, and the orders of the run's schedule. Who answers is in desk.ts.
import { OrderKind, Phase } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import type { PlanMessage, SettingsMessage } from '../../firmware/contract/messages';
import { type SigningKey, signingKey } from '../../firmware/contract/signature';
import {
  type DownKind,
  readTopic,
  type TopicParts,
  topicOf,
  type UpKind,
} from '../../firmware/contract/topics';
import { sha256 } from '../digest';
import type { Fleet } from '../fleet';
import type { SimulatedController } from '../node';
import { hostClockErrorMs } from '../plant/board';
import { fork, type Random } from '../random';
import { type Desk, MemoryDesk } from './desk';
import { spread } from './draw';
import type { Incident, OrderWish } from './incidents';
import { Ledger } from './ledger';
import { Openings } from './openings';
import { type CampaignCircuit, type CampaignSite, DAY_MS, START_UTC_MS } from './site';
import { ToldTime } from './toldTime';

const HOUR_MS = 3_600_000;

/** What the host knows of one circuit. */
export interface Served {
  readonly circuit: CampaignCircuit;
  readonly key: SigningKey;
  readonly ledger: Ledger;
  readonly openings: Openings;
  readonly time: ToldTime;
  /** Plan handed out at present. */
  plan: number;
  counter: number;
  lastOrder: string;
  /** When someone comes to clear a tester fault; 0: none is known. */
  clearAt: number;
  readonly random: Random;
}

function serve(site: CampaignSite, circuit: CampaignCircuit): Served {
  const key = signingKey(circuit.spec.secret, sha256);
  return {
    circuit,
    key,
    ledger: new Ledger(key, circuit.spec.address),
    openings: new Openings(circuit.plans, circuit.settings),
    time: new ToldTime(),
    plan: 0,
    counter: 0,
    lastOrder: '',
    clearAt: 0,
    random: fork(site.plantSeed, `people ${circuit.spec.circuit}`),
  };
}

/** Whether messages may be minutes old: then they say nothing about a clock. */
function isLate(node: SimulatedController, now: number): boolean {
  const { delays = [], reorderings = [] } = node.net.impairments ?? {};
  return [...delays, ...reorderings].some(({ from, to }) => from <= now && now < to + HOUR_MS);
}

/** Makes the desk of a run. */
export type NewDesk = (host: CampaignHost) => Desk;

export class CampaignHost {
  readonly served: Served[];
  readonly desk: Desk;
  /** Set once the fleet exists: controllers already speak to the host while it is being made. */
  fleet: Fleet | undefined;
  duplicated = 0;
  private readonly byAddress: Map<string, Served>;

  constructor(
    site: CampaignSite,
    /** Something is not as it must be; '' as circuit: with the host. */
    readonly breach: (circuit: string, sentence: string) => void,
    newDesk: NewDesk = (host) => new MemoryDesk(host),
  ) {
    this.served = site.circuits.map((circuit) => serve(site, circuit));
    this.byAddress = new Map(this.served.map((s) => [s.circuit.spec.address, s]));
    this.desk = newDesk(this);
  }

  /** One message from a controller. */
  accept(topic: string, payload: string): void {
    const { address, kind } = readTopic(topic) as TopicParts;
    const s = this.at(address);
    if (kind === 'record') this.file(s, payload);
    else if (kind === 'state') this.hear(s, payload);
    this.desk.take(s, kind as UpKind, topic, payload);
  }

  private file(s: Served, text: string): void {
    const circuit = s.circuit.spec.circuit;
    const answer = s.ledger.take(text);
    if (answer === 'taken') {
      const broken = s.openings.record(text);
      if (broken !== '') this.breach(circuit, broken);
      const next = s.ledger.next(textField(text, 'journal'));
      if (next !== undefined) this.file(s, next);
    } else if (answer === 'duplicate' || (answer === 'gap' && this.desk.takesAhead && !s.ledger.keep(text))) {
      this.duplicated++;
      this.breach(circuit, `I4 record ${intField(text, 'seq', 0)} came with two different texts`);
    } else if (answer === 'forged') this.breach(circuit, 'I4 a record came without a good signature');
    else if (answer === 'unchained')
      this.breach(circuit, `I4 record ${intField(text, 'seq', 0)} does not follow from the one before it`);
  }

  private hear(s: Served, text: string): void {
    const now = this.now();
    const utc = intField(text, 'utc', 0);
    if (utc > 0 && !isLate(this.node(s), now))
      s.time.heard(utc * 1000 - START_UTC_MS - now, now, intField(text, 'boot', 0));
    const { plans } = s.circuit;
    while (s.plan + 1 < plans.length && plans[s.plan + 1].from <= now) s.plan++;
    if (intField(text, 'phase', 0) !== Phase.Fault) s.clearAt = 0;
    else if (s.clearAt === 0) s.clearAt = now + spread(s.random, HOUR_MS, 4 * DAY_MS);
  }

  /** What a controller that reports this state should have and has not. */
  wanted(s: Served, state: string): { settings?: SettingsMessage; plan?: PlanMessage } {
    const { settings, plans } = s.circuit;
    const plan = plans[s.plan]?.message;
    return {
      ...(intField(state, 'settings', 0) < settings.revision && { settings }),
      ...(plan && intField(state, 'plan', 0) < plan.revision && { plan }),
    };
  }

  /** How far the time is off that this controller is told, ms; undefined: it is told none. */
  clockOffMs(s: Served): number | undefined {
    return hostClockErrorMs(this.node(s).boardPlant, this.now());
  }

  /** Passes on a message of the host to a controller. */
  pass(s: Served, kind: DownKind, text: string): void {
    if (kind === 'time') {
      const off = this.clockOffMs(s);
      if (off === undefined) return;
      s.time.told(this.node(s).boardPlant, off, this.now(), intField(text, 'boot', 0));
    }
    if (kind === 'order') s.lastOrder = text;
    this.fleet?.publish(topicOf(s.circuit.spec.address, kind), text);
  }

  /** Makes the visits that are due. @returns when the next one is due, simulated ms */
  clearFaults(): number {
    const now = this.now();
    let next = Number.POSITIVE_INFINITY;
    for (const s of this.served) {
      if (s.clearAt > 0 && s.clearAt <= now) {
        this.order(s, { do: OrderKind.ClearFault, arg: 0 });
        s.clearAt = now + DAY_MS;
      }
      if (s.clearAt > 0) next = Math.min(next, s.clearAt);
    }
    return next;
  }

  /** What is known of this controller's circuit. */
  of(node: SimulatedController): Served {
    return this.at(node.spec.address);
  }

  at(address: string): Served {
    return this.byAddress.get(address) as Served;
  }

  /** Sends the order of an incident, or lets a misfortune happen to the host. */
  act(incident: Incident): void {
    if (incident.misfortune) this.desk.suffer(incident);
    const served = this.served.find((s) => s.circuit.spec.circuit === incident.circuit);
    if (served && incident.order) this.order(served, incident.order);
  }

  private order(s: Served, wish: OrderWish): void {
    if (!wish.isReplay) this.desk.order(s, wish);
    else if (s.lastOrder !== '') this.fleet?.publish(topicOf(s.circuit.spec.address, 'order'), s.lastOrder);
  }

  /** Simulated ms. */
  now(): number {
    return this.fleet?.now ?? 0;
  }

  utcMs(): number {
    return START_UTC_MS + this.now();
  }

  private node(s: Served): SimulatedController {
    return this.fleet?.nodes.find((node) => node.spec === s.circuit.spec) as SimulatedController;
  }
}
