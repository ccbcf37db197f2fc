// The host of a campaign: files and acknowledges records, answers with the time, hands out settings and
// plans, clears tester faults after some days, and passes on the orders in the run's schedule.
import { OrderKind, Phase } from '../../firmware/contract/codes';
import { intField, textField } from '../../firmware/contract/fields';
import { WIRE_VERSION } from '../../firmware/contract/limits';
import { type SigningKey, signingKey, signObject } from '../../firmware/contract/signature';
import { type DownKind, readTopic, type TopicParts, topicOf } from '../../firmware/contract/topics';
import { sha256 } from '../digest';
import type { Fleet } from '../fleet';
import type { SimulatedController } from '../node';
import { hostClockErrorMs } from '../plant/board';
import { fork, type Random } from '../random';
import { spread } from './draw';
import type { Incident, OrderWish } from './incidents';
import { Ledger } from './ledger';
import { Openings } from './openings';
import { type CampaignCircuit, type CampaignSite, DAY_MS, START_UTC_MS } from './site';
import { ToldTime } from './toldTime';

const HOUR_MS = 3_600_000;
/** Lifetime of an order, s. */
const ORDER_SEC = 600;

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

export class CampaignHost {
  readonly served: Served[];
  /** Set once the fleet exists: controllers already speak to the host while it is being made. */
  fleet: Fleet | undefined;
  duplicated = 0;
  private readonly byAddress: Map<string, Served>;

  constructor(
    site: CampaignSite,
    private readonly breach: (circuit: string, sentence: string) => void,
  ) {
    this.served = site.circuits.map((circuit) => serve(site, circuit));
    this.byAddress = new Map(this.served.map((s) => [s.circuit.spec.address, s]));
  }

  /** One message from a controller. */
  accept(topic: string, payload: string): void {
    const { address, kind } = readTopic(topic) as TopicParts;
    const s = this.byAddress.get(address) as Served;
    if (kind === 'record') this.file(s, payload);
    else if (kind === 'state') this.answer(s, payload);
  }

  private file(s: Served, text: string): void {
    const circuit = s.circuit.spec.circuit;
    const answer = s.ledger.take(text);
    if (answer === 'taken') {
      const broken = s.openings.record(text);
      if (broken !== '') this.breach(circuit, broken);
    } else if (answer === 'duplicate') {
      this.duplicated++;
      this.breach(circuit, `I4 record ${intField(text, 'seq', 0)} came with two different texts`);
    } else if (answer === 'forged') this.breach(circuit, 'I4 a record came without a good signature');
    else if (answer === 'unchained')
      this.breach(circuit, `I4 record ${intField(text, 'seq', 0)} does not follow from the one before it`);
    const journal = textField(text, 'journal');
    this.send(s, 'ack', { v: WIRE_VERSION, journal, through: s.ledger.through(journal) });
  }

  private answer(s: Served, text: string): void {
    const now = this.now();
    const utc = intField(text, 'utc', 0);
    if (utc > 0 && !isLate(this.node(s), now))
      s.time.heard(utc * 1000 - START_UTC_MS - now, now, intField(text, 'boot', 0));
    this.tellTime(s, text, now);
    const { settings, plans } = s.circuit;
    if (intField(text, 'settings', 0) < settings.revision) this.send(s, 'settings', settings);
    while (s.plan + 1 < plans.length && plans[s.plan + 1].from <= now) s.plan++;
    const plan = plans[s.plan]?.message;
    if (plan && intField(text, 'plan', 0) < plan.revision) this.send(s, 'plan', plan);
    if (intField(text, 'phase', 0) !== Phase.Fault) s.clearAt = 0;
    else if (s.clearAt === 0) s.clearAt = now + spread(s.random, HOUR_MS, 4 * DAY_MS);
  }

  private tellTime(s: Served, text: string, now: number): void {
    const off = hostClockErrorMs(this.node(s).boardPlant, now);
    if (off === undefined) return;
    const boot = intField(text, 'boot', 0);
    s.time.told(this.node(s).boardPlant, off, now, boot);
    this.send(s, 'time', {
      v: WIRE_VERSION,
      boot,
      up: intField(text, 'up', 0),
      utc: START_UTC_MS + now + off,
    });
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
    return this.byAddress.get(node.spec.address) as Served;
  }

  /** Sends the order of an incident. */
  give({ circuit, order }: Incident): void {
    const served = this.served.find((s) => s.circuit.spec.circuit === circuit);
    if (served && order) this.order(served, order);
  }

  private order(s: Served, wish: OrderWish): void {
    const address = s.circuit.spec.address;
    if (wish.isReplay) {
      if (s.lastOrder !== '') this.fleet?.publish(topicOf(address, 'order'), s.lastOrder);
      return;
    }
    const expires = Math.floor((START_UTC_MS + this.now()) / 1000) + ORDER_SEC;
    const message = {
      v: WIRE_VERSION,
      counter: ++s.counter,
      expires,
      do: wish.do,
      arg: wish.arg,
      who: 'campaign',
    };
    s.lastOrder = this.send(s, 'order', message);
  }

  private now(): number {
    return this.fleet?.now ?? 0;
  }

  private node(s: Served): SimulatedController {
    return this.fleet?.nodes.find((node) => node.spec === s.circuit.spec) as SimulatedController;
  }

  private send(s: Served, kind: DownKind, message: object): string {
    const { address } = s.circuit.spec;
    const text = signObject(s.key, kind, address, message);
    this.fleet?.publish(topicOf(address, kind), text);
    return text;
  }
}
