// What goes wrong in a run and what people ask for: single incidents, bursts around a test, combinations over
// several circuits, and scenes. Each has a number, so that a shrunk run can name those it keeps.
import { OrderKind, TestKind } from '../../firmware/contract/codes';
import { FAULT_KINDS, type FaultKind } from '../faults';
import { fork, type Random } from '../random';
import { chance, pick, spread, whole } from './draw';
import { Draft, type Incident, type OrderWish } from './incidents';
import type { PlannedTest } from './plans';
import { playScenes } from './scenes';
import { type CampaignCircuit, type CampaignSite, mix } from './site';

/** What an electrician may have done wrong. */
const OF_WIRING: FaultKind[] = ['glows on mains', 'fed from elsewhere', 'sensor shared'];
const KINDS = (Object.keys(FAULT_KINDS) as FaultKind[]).filter((kind) => !OF_WIRING.includes(kind));
/** Faults that hit a whole building at once. */
const OF_BUILDING: FaultKind[] = [
  ...(['supply outage', 'supply dip', 'brown-out', 'power cut', 'reset'] as const),
  ...(['network partition', 'network loss', 'clock loss', 'clock jump', 'burst of resets'] as const),
];

/** A single fault. */
function alone(draft: Draft): void {
  const circuit = pick(draft.r, draft.site.circuits);
  draft.fault(circuit, pick(draft.r, KINDS), draft.aim(circuit));
}

/** Several faults within minutes on one circuit. */
function burst(draft: Draft): void {
  const { r } = draft;
  const circuit = pick(r, draft.site.circuits);
  const at = draft.aim(circuit);
  const reach = spread(r, 1000, 7_200_000);
  for (let left = whole(r, 2, 7); left > 0; left--)
    draft.fault(circuit, pick(r, KINDS), at + whole(r, 0, reach));
}

/** One cause that affects every circuit, and other faults besides. */
function combination(draft: Draft): void {
  const { r } = draft;
  const at = draft.aim(pick(r, draft.site.circuits));
  const kind = pick(r, OF_BUILDING);
  for (const circuit of draft.site.circuits) {
    draft.fault(circuit, kind, at + whole(r, 0, 2000));
    if (chance(r, 0.5)) draft.fault(circuit, pick(r, KINDS), at + whole(r, 0, 600_000));
  }
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

/** Someone on site uses the attended window, one test after another. */
function walkRound(draft: Draft, circuit: CampaignCircuit, test: PlannedTest): void {
  const { r } = draft;
  const isFirst = circuit.settings.commissionSec && (test === circuit.tests[0] || chance(r, 0.5));
  const kind = isFirst
    ? TestKind.Commissioning
    : pick(r, [TestKind.Brief, TestKind.Brief, TestKind.Full, TestKind.Limited]);
  let at = test.from + whole(r, -600_000, 3_600_000);
  draft.order(circuit, at, { do: OrderKind.Test, arg: kind });
  for (let left = whole(r, 0, 2); left > 0; left--) {
    at += whole(r, 5000, 120_000);
    draft.order(circuit, at, { do: OrderKind.Extend, arg: spread(r, 20, 3600) });
  }
  if (chance(r, 0.5))
    draft.order(circuit, at + spread(r, 60_000, 7_200_000), { do: OrderKind.Test, arg: whole(r, 1, 4) });
}

/** Wrong wiring, drawn by itself: what is added here moves nothing that is drawn elsewhere. */
function wrongWiring(site: CampaignSite): Incident[] {
  const draft = new Draft(site, fork(mix(site), 'wiring'));
  const { r } = draft;
  for (const circuit of site.circuits)
    for (let left = whole(r, 0, 3); left > 0; left--)
      draft.fault(circuit, pick(r, OF_WIRING), draft.aim(circuit));
  return draft.incidents.sort((a, b) => a.at - b.at);
}

/** Faults and orders of a run in order of time, with at least `faults` faults. */
export function drawSchedule(site: CampaignSite, faults: number): Incident[] {
  const r = fork(mix(site), 'schedule');
  const draft = new Draft(site, r);
  for (let tries = 10 * faults; draft.faults < faults && tries > 0; tries--) {
    const form = whole(r, 0, 9);
    if (form <= 4) alone(draft);
    else if (form <= 7) burst(draft);
    else combination(draft);
  }
  for (const circuit of site.circuits) {
    playScenes(draft, circuit);
    for (const test of circuit.tests)
      if (test.kind === TestKind.None && chance(r, 0.8)) walkRound(draft, circuit, test);
    for (let left = whole(r, 0, Math.floor(site.days / 40)); left > 0; left--)
      draft.order(circuit, draft.aim(circuit), orderWish(r));
  }
  draft.incidents.sort((a, b) => a.at - b.at);
  const incidents = [...draft.incidents, ...wrongWiring(site)];
  for (let i = 0; i < incidents.length; i++) incidents[i].number = i;
  return incidents.sort((a, b) => a.at - b.at);
}
