// One controller on a clock of its own, through any number of years. Controllers share nothing but the plan,
// so each can run alone; afterwards their openings are checked against what neighbours owe each other.
import { OrderKind } from '../../firmware/contract/codes';
import type { PlanMessage, SettingsMessage } from '../../firmware/contract/messages';
import type { Openings } from '../checkers/neighbours';
import { limitOf } from '../checkers/rules';
import { Watch } from '../checkers/watch';
import { FAULT_KINDS } from '../faults';
import type { SimulatedWire } from '../network';
import { SimulatedController, type SimulationClock } from '../node';
import { type Cause, type Chapter, Chronicle } from '../people/chronicle';
import { hostClockErrorMs } from '../plant/board';
import type { Span } from '../plant/spans';
import { QuickWire } from '../quickWire';
import type { ControllerSpec, FleetSpec, RuleSpec } from '../spec';
import { type Account, LeanHost } from './leanHost';

/** What changes for one controller when a plan is renewed. */
export interface Renewal {
  settings: SettingsMessage;
  plan: PlanMessage;
  rules: RuleSpec;
  /** Visits until the next renewal. */
  visits: Span[];
}

/** State of a controller at the end of a span of time. */
export interface Standing {
  account: Account;
  /** Records of the controller that are not in the log book, and the chain hash of the last one that is. */
  unfiled: number;
  link: string;
  openings: Openings;
  violations: string[];
  /** What happened since the last call, if the fleet wants it recorded. */
  chapter?: Chapter;
}

/** Whether the wire of a controller may lose, delay or repeat anything. */
export function isStormy({ faults }: ControllerSpec): boolean {
  return faults.some((fault) => FAULT_KINDS[fault.kind] === 'network');
}

export class Lone implements SimulationClock {
  now = 0;
  readonly node: SimulatedController;
  readonly desk: LeanHost;
  readonly watch: Watch;
  private readonly chronicle: Chronicle | undefined;
  private openings: Openings = { at: [], owed: [] };
  private readonly look = (node: SimulatedController, now: number): void => this.watch.after(node, now);

  /**
   * The controller starts; its clock is at 0.
   * @param Impaired the wire of a stormy one, which needs it
   */
  constructor(
    spec: ControllerSpec,
    private readonly fleet: FleetSpec,
    Impaired?: typeof SimulatedWire,
  ) {
    this.watch = new Watch(fleet.startUtcMs, {
      opened: (at) => this.openings.at.push(at),
      owes: (from, to) => this.openings.owed.push({ from, to }),
    });
    const sink = (topic: string, payload: string): void => this.desk.accept(topic, payload);
    const Wire = isStormy(spec) ? Impaired : QuickWire;
    if (!Wire) throw new Error(`${spec.address} has faults of its network, and no wire that has them.`);
    const wire = new Wire(this, sink);
    this.node = new SimulatedController(spec, fleet, this, wire);
    this.desk = new LeanHost(spec.address, spec.secret, {
      utcMs: () => this.fleet.startUtcMs + this.now,
      clockErrorMs: () => hostClockErrorMs(this.node.boardPlant, this.now),
      publish: (topic, payload) => wire.publish(topic, payload),
    });
    this.chronicle = this.takeDown(fleet.chronicle);
    this.node.boot();
  }

  private takeDown(wanted: FleetSpec['chronicle']): Chronicle | undefined {
    if (!wanted) return undefined;
    const { plant } = this.node;
    const chronicle = new Chronicle(plant, this.fleet.startUtcMs, () => this.cause(), wanted.callOut);
    this.desk.onRecord = (text) => {
      chronicle.filed(text, this.now);
      // Someone may come and isolate the circuit.
      this.node.touch();
    };
    return chronicle;
  }

  /** Why the supply has just gone: the test that holds the relay, if it does. */
  private cause(): Cause | undefined {
    const { controller, plant, spec } = this.node;
    if (!controller || !plant.relay.driven) return undefined;
    const { kind } = controller.core;
    return { kind, meantMs: limitOf(spec.rules, kind) * 1000 };
  }

  /** After a tester fault someone comes, repairs it and clears the fault. */
  private clearFault(chronicle: Chronicle): void {
    this.now = Math.max(this.now, chronicle.clearAt);
    chronicle.clearAt = Number.POSITIVE_INFINITY;
    this.desk.order({ do: OrderKind.ClearFault, arg: 0, who: 'simulated electrician' });
  }

  renew(renewal: Renewal): void {
    this.desk.settings = renewal.settings;
    this.desk.plan = renewal.plan;
    const { rules } = this.node.spec;
    const utc = (this.fleet.startUtcMs + this.now) / 1000;
    const slots = rules.slots.filter((slot) => slot.end > utc).concat(renewal.rules.slots);
    Object.assign(rules, renewal.rules, { slots });
    this.node.plant.visits.push(...renewal.visits);
    this.node.touch();
  }

  /** Runs every event up to and including `until`, simulated ms. */
  run(until: number): void {
    const { node, watch, chronicle } = this;
    for (let at = node.nextAt(); at <= until; at = node.nextAt()) {
      if (chronicle && chronicle.clearAt <= at) {
        this.clearFault(chronicle);
        continue;
      }
      this.now = at;
      node.run();
      watch.after(node, at);
      if (node.plant.relay.driven) node.runDischarge(until, this.look, true);
      else node.runLook(until, this.look, true);
    }
    if (until > this.now) this.now = until;
  }

  /** Its state; openings and violations only since the last call. */
  standing(): Standing {
    const { openings, desk } = this;
    this.openings = { at: [], owed: [] };
    return {
      account: desk.account,
      unfiled: desk.unfiled(this.node.controller?.journal),
      link: desk.link,
      openings,
      violations: this.watch.violations.splice(0),
      ...(this.chronicle && { chapter: this.chronicle.chapter(this.now) }),
    };
  }
}
