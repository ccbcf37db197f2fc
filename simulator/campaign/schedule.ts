// What goes wrong in a run and what people ask for: drawn as single incidents, bursts around a test, and
// combinations over several circuits. Each has a number, so that a shrunk run can name those that it keeps.
import { OrderKind, TestKind } from '../../firmware/contract/codes';
import { FAULT_KINDS, type FaultKind, type FaultSpec } from '../faults';
import { fork, type Random } from '../random';
import { chance, pick, spread, whole } from './draw';
import { type CircuitTraits, drawFault } from './drawFault';
import type { PlannedTest } from './plans';
import { type CampaignCircuit, type CampaignSite, DAY_MS, mix } from './site';

/** An order that somebody gives at the page, or a signed one that somebody recorded and plays back. */
export interface OrderWish {
  do: OrderKind;
  arg: number;
  isReplay?: boolean;
}

export interface Incident {
  /** Its number in the run's schedule, also after others were dropped. */
  number: number;
  circuit: string;
  at: number;
  fault?: FaultSpec;
  order?: OrderWish;
}

/** Nothing happens in the first day, in which the controller is commissioned, nor in the last ones. */
const CALM_START_MS = DAY_MS;
export const CALM_END_MS = 4 * DAY_MS;

const KINDS = Object.keys(FAULT_KINDS) as FaultKind[];
/** What hits a whole building at once. */
const OF_BUILDING: FaultKind[] = [
  ...(['supply outage', 'supply dip', 'brown-out', 'power cut', 'reset'] as const),
  ...(['network partition', 'network loss', 'clock loss', 'clock jump', 'burst of resets'] as const),
];

class Draft {
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

  fault(circuit: CampaignCircuit, kind: FaultKind, at: number): void {
    if (at < CALM_START_MS || at > this.latest()) return;
    const fault = drawFault(this.r, kind, at, this.traits.get(circuit) as CircuitTraits);
    // A wrong time that makes a test seem due matters most.
    if (fault.kind === 'clock jump' && circuit.tests.length > 0 && chance(this.r, 0.5))
      fault.jumpMs = pick(this.r, circuit.tests).from + whole(this.r, 0, 600_000) - at;
    this.incidents.push({ number: 0, circuit: circuit.spec.circuit, at, fault });
    this.faults++;
  }

  order(circuit: CampaignCircuit, at: number, order: OrderWish): void {
    if (at < CALM_START_MS || at > this.latest()) return;
    this.incidents.push({ number: 0, circuit: circuit.spec.circuit, at, order });
  }

  /** An instant shortly before, in or after a planned test: most of a year nothing can go wrong. */
  aim(circuit: CampaignCircuit): number {
    const { r } = this;
    if (circuit.tests.length === 0 || chance(r, 0.3))
      return whole(r, 1, this.site.days - 6) * DAY_MS + whole(r, 0, DAY_MS - 1);
    return aimAt(r, pick(r, circuit.tests), circuit);
  }

  one(): void {
    const circuit = pick(this.r, this.site.circuits);
    this.fault(circuit, pick(this.r, KINDS), this.aim(circuit));
  }

  /** Several within minutes on one circuit. */
  burst(): void {
    const { r } = this;
    const circuit = pick(r, this.site.circuits);
    const at = this.aim(circuit);
    const reach = spread(r, 1000, 7_200_000);
    for (let left = whole(r, 2, 7); left > 0; left--)
      this.fault(circuit, pick(r, KINDS), at + whole(r, 0, reach));
  }

  /** One cause for every circuit, and what else there is besides. */
  combination(): void {
    const { r } = this;
    const at = this.aim(pick(r, this.site.circuits));
    const kind = pick(r, OF_BUILDING);
    for (const circuit of this.site.circuits) {
      this.fault(circuit, kind, at + whole(r, 0, 2000));
      if (chance(r, 0.5)) this.fault(circuit, pick(r, KINDS), at + whole(r, 0, 600_000));
    }
  }
}

/** Before the window, at its beginning, while the test runs, or while the batteries recharge. */
function aimAt(r: Random, test: PlannedTest, circuit: CampaignCircuit): number {
  const { briefSec, ratedSec } = circuit.spec.rules;
  const testMs = 1000 * (test.kind === TestKind.Brief ? briefSec : ratedSec);
  const where = whole(r, 0, 9);
  if (where === 0) return test.from - spread(r, 1000, 2 * DAY_MS);
  if (where <= 3) return test.from + whole(r, -3000, 10_000);
  if (where <= 6) return test.from + whole(r, 0, testMs);
  if (where <= 8) return test.from + testMs + whole(r, -2000, 20_000);
  return test.from + testMs + spread(r, 1000, DAY_MS);
}

function orderWish(r: Random): OrderWish {
  const what = whole(r, 0, 9);
  if (what <= 1) return { do: OrderKind.Restore, arg: 0 };
  if (what <= 3) return { do: OrderKind.Hold, arg: spread(r, 60, 604_800) };
  if (what === 4) return { do: OrderKind.Release, arg: 0 };
  if (what === 5) return { do: OrderKind.ClearFault, arg: 0 };
  if (what <= 7) return { do: OrderKind.Test, arg: whole(r, 1, 4) };
  if (what === 8) return { do: OrderKind.Extend, arg: spread(r, 30, 1800) };
  return { do: OrderKind.Test, arg: 0, isReplay: true };
}

/** Somebody on the spot uses the window that was planned for that, one test after the other. */
function walkRound(draft: Draft, circuit: CampaignCircuit, test: PlannedTest): void {
  const { r } = draft;
  const isFirst = circuit.settings.commissionSec && (test === circuit.tests[0] || chance(r, 0.5));
  const kind = isFirst ? TestKind.Commissioning : pick(r, [TestKind.Brief, TestKind.Brief, TestKind.Full]);
  let at = test.from + whole(r, -600_000, 3_600_000);
  draft.order(circuit, at, { do: OrderKind.Test, arg: kind });
  for (let left = whole(r, 0, 2); left > 0; left--) {
    at += whole(r, 5000, 120_000);
    draft.order(circuit, at, { do: OrderKind.Extend, arg: spread(r, 20, 3600) });
  }
  if (chance(r, 0.5))
    draft.order(circuit, at + spread(r, 60_000, 7_200_000), { do: OrderKind.Test, arg: whole(r, 1, 4) });
}

/** Faults and orders of a run, in order of time, at least `faults` faults. */
export function drawSchedule(site: CampaignSite, faults: number): Incident[] {
  const r = fork(mix(site), 'schedule');
  const draft = new Draft(site, r);
  for (let tries = 10 * faults; draft.faults < faults && tries > 0; tries--) {
    const form = whole(r, 0, 9);
    if (form <= 4) draft.one();
    else if (form <= 7) draft.burst();
    else draft.combination();
  }
  for (const circuit of site.circuits) {
    for (const test of circuit.tests)
      if (test.kind === TestKind.None && chance(r, 0.8)) walkRound(draft, circuit, test);
    for (let left = whole(r, 0, Math.floor(site.days / 40)); left > 0; left--)
      draft.order(circuit, draft.aim(circuit), orderWish(r));
  }
  draft.incidents.sort((a, b) => a.at - b.at);
  for (let i = 0; i < draft.incidents.length; i++) draft.incidents[i].number = i;
  return draft.incidents;
}
