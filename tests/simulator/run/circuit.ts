// One controller of four luminaires with a plan of two brief tests and a full one, to be run on its own.
import { TestKind } from '../../../firmware/contract/codes';
import { lampsText, type Mode, ON_MAINS, OnMains } from '../../../firmware/contract/lamps';
import { slotsText } from '../../../firmware/contract/plan';
import type { FaultSpec } from '../../../simulator/faults';
import { SimulatedWire } from '../../../simulator/network';
import type { Span } from '../../../simulator/plant/spans';
import { Lone } from '../../../simulator/run/lone';
import { type ControllerSpec, type FleetSpec, rulesIn } from '../../../simulator/spec';
import { SETTINGS, START_MS } from '../estate';

const START = START_MS / 1000;
export const DAY_MS = 86_400_000;
const UNTIL = START + 86_400 * 90;

function night(day: number): { start: number; end: number } {
  return { start: START + day * 86_400 + 3600, end: START + day * 86_400 + 21_600 };
}

/** Test, kind, night; the second night of a test is another attempt. */
const ROWS = [
  [1, TestKind.Brief, 2],
  [1, TestKind.Brief, 4],
  [2, TestKind.Full, 10],
  [2, TestKind.Full, 14],
  [3, TestKind.Brief, 40],
];

export interface Circuit {
  faults?: FaultSpec[];
  visits?: Span[];
  fleet?: Partial<FleetSpec>;
}

/** The controller, started and given its plan. */
export function circuit(o: Circuit = {}): Lone {
  const lamps = [0, 1, 2, 3].map((mode: Mode) => ({
    id: `l${mode}`,
    mode,
    ratedSec: 3600,
    batteryMilliamps: 200,
    mainsMilliamps: ON_MAINS[mode] === OnMains.Dark ? 0 : 300,
    chemistry: 'NiCd' as const,
    margin: 1.4,
  }));
  const rules = {
    ...rulesIn(SETTINGS),
    slots: ROWS.map(([, , day]) => night(day)),
    planUntil: UNTIL,
    ratedSec: 3600,
  };
  const spec: ControllerSpec = {
    ...{ address: 'estate/c1', circuit: 'c1', secret: 'estate secret', lamps },
    ...{ faults: o.faults ?? [], visits: [], outages: [], neighbours: [], rules },
  };
  const fleet = {
    ...{ seed: 1, startUtcMs: START_MS, controllers: [], noise: true, isSparing: true },
    link: { keepAliveSec: 0, heartbeatSec: 86_400, liveMs: 0 },
    ...o.fleet,
  };
  const lone = new Lone(spec, fleet, SimulatedWire);
  const slots = ROWS.map(([test, kind, day]) => ({ test, kind, ...night(day) }));
  lone.renew({
    settings: { ...SETTINGS, lamps: lampsText(lamps) },
    plan: { v: 1, revision: 1, until: UNTIL, slots: slotsText(slots) },
    rules,
    visits: o.visits ?? [],
  });
  return lone;
}
