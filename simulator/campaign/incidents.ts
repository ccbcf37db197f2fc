// What goes wrong and what people ask for, collected as the draft of a run's schedule.
import { type OrderKind, TestKind } from '../../firmware/contract/codes';
import type { FaultKind, FaultSpec } from '../faults';
import type { Random } from '../random';
import { chance, pick, spread, whole } from './draw';
import { type CircuitTraits, drawFault } from './drawFault';
import type { Misfortune } from './misfortunes';
import type { PlannedTest } from './plans';
import { type CampaignCircuit, type CampaignSite, DAY_MS } from './site';

/** An order given on the page, or a signed one recorded earlier and replayed. */
export interface OrderWish {
  do: OrderKind;
  arg: number;
  isReplay?: boolean;
}

export interface Incident {
  /** Its number in the run's schedule, kept when others are dropped. */
  number: number;
  /** Name of a circuit; '' if it happens to the host. */
  circuit: string;
  at: number;
  fault?: FaultSpec;
  order?: OrderWish;
  misfortune?: Misfortune;
}

/** Nothing happens on the first day, when the controller is commissioned, nor on the last days. */
const CALM_START_MS = DAY_MS;
export const CALM_END_MS = 4 * DAY_MS;

/** Incidents of a run as they are drawn. */
export class Draft {
  readonly incidents: Incident[] = [];
  faults = 0;
  private readonly traits: Map<CampaignCircuit, CircuitTraits>;

  constructor(
    readonly site: CampaignSite,
    readonly r: Random,
  ) {
    const end = site.days * DAY_MS - CALM_END_MS;
    this.traits = new Map(
      site.circuits.map((c) => [c, { lamps: c.spec.lamps.map((lamp) => lamp.id), endsBy: end }]),
    );
  }

  private latest(): number {
    return this.site.days * DAY_MS - CALM_END_MS - DAY_MS;
  }

  private isCalm(at: number): boolean {
    return at < CALM_START_MS || at > this.latest();
  }

  /** A fault of this kind, drawn. */
  fault(circuit: CampaignCircuit, kind: FaultKind, at: number): void {
    if (this.isCalm(at)) return;
    const fault = drawFault(this.r, kind, at, this.traits.get(circuit) as CircuitTraits);
    // A wrong time that makes a test seem due matters most.
    if (fault.kind === 'clock jump' && circuit.tests.length > 0 && chance(this.r, 0.5))
      fault.jumpMs = pick(this.r, circuit.tests).from + whole(this.r, 0, 600_000) - at;
    this.plant(circuit, fault);
  }

  /** Exactly this fault. */
  plant(circuit: CampaignCircuit, fault: FaultSpec): void {
    if (this.isCalm(fault.at)) return;
    this.incidents.push({ number: 0, circuit: circuit.spec.circuit, at: fault.at, fault });
    this.faults++;
  }

  order(circuit: CampaignCircuit, at: number, order: OrderWish): void {
    if (this.isCalm(at)) return;
    this.incidents.push({ number: 0, circuit: circuit.spec.circuit, at, order });
  }

  /** A moment shortly before, in or after a planned test: for most of the year nothing can go wrong. */
  aim(circuit: CampaignCircuit): number {
    const { r } = this;
    if (circuit.tests.length === 0 || chance(r, 0.3))
      return whole(r, 1, this.site.days - 6) * DAY_MS + whole(r, 0, DAY_MS - 1);
    return aimAt(r, pick(r, circuit.tests), circuit);
  }
}

/** How long a planned test takes, ms. */
export function testMsOf(circuit: CampaignCircuit, test: PlannedTest): number {
  const { briefSec, ratedSec } = circuit.spec.rules;
  return 1000 * (test.kind === TestKind.Brief ? briefSec : ratedSec);
}

/** Before the window, at its start, while the test runs, or while the batteries recharge. */
function aimAt(r: Random, test: PlannedTest, circuit: CampaignCircuit): number {
  const testMs = testMsOf(circuit, test);
  const where = whole(r, 0, 9);
  if (where === 0) return test.from - spread(r, 1000, 2 * DAY_MS);
  if (where <= 3) return test.from + whole(r, -3000, 10_000);
  if (where <= 6) return test.from + whole(r, 0, testMs);
  if (where <= 8) return test.from + testMs + whole(r, -2000, 20_000);
  return test.from + testMs + spread(r, 1000, DAY_MS);
}
