// A site file turned into what the simulator needs: plant, faults, people. Only the command line knows
// both sides.

import { modeOf } from '../../firmware/contract/lamps';
import { Limit } from '../../firmware/contract/limits';
import type { FaultSpec } from '../../simulator/faults';
import type { LuminaireSpec } from '../../simulator/plant/luminaire';
import type { Span } from '../../simulator/plant/spans';
import { fork, nextUnit, type Random } from '../../simulator/random';
import type { ControllerSpec, FleetSpec, RuleSpec } from '../../simulator/spec';
import type { KeyRing } from '../keys';
import { neighboursOf } from '../planner/placing/colours';
import type { Plan } from '../planner/plan/plan';
import { profileFor, type RuleProfile } from '../profiles/profile';
import { dateAfter, localDate, utcOf, utcOfLocal, weekdayOf } from '../site/civil';
import type { Circuit, Luminaire, PlantedFault, Site } from '../site/model';
import { briefSecOf } from '../site/settings';

const DAY_MS = 86400000;
/** Length of a visit at night, ms. */
const VISIT_MS = 1200000;

export interface EstateOptions {
  site: Site;
  profile: RuleProfile;
  plan: Plan;
  keys: KeyRing;
  seed: number;
  days: number;
  link: FleetSpec['link'];
}

/** UTC ms at which the site's simulation begins. */
export function startUtcMs(site: Site): number {
  return utcOfLocal(site.timeZone, site.simulation.start) * 1000;
}

/** New batteries last 1.25 to 1.6 times the rated duration. */
export function marginOf(random: Random): number {
  return 1.25 + 0.35 * nextUnit(random);
}

/** A luminaire whose battery has this margin over its rated duration. */
export function lampSpec(lamp: Luminaire, margin: number): LuminaireSpec {
  return {
    id: lamp.id,
    mode: modeOf(lamp.mode),
    ratedSec: lamp.ratedSec,
    batteryMilliamps: lamp.batteryMilliamps,
    mainsMilliamps: lamp.mainsMilliamps,
    chemistry: lamp.chemistry,
    margin,
  };
}

function luminaireFault(fault: PlantedFault, at: number): FaultSpec | undefined {
  if (fault.kind === 'aged battery')
    return { kind: fault.kind, luminaire: fault.luminaire, at, lastsMs: fault.lastsMinutes * 60000 };
  if (fault.kind === 'sensor drift')
    return { kind: fault.kind, luminaire: fault.luminaire, at, milliampsPerDay: fault.milliampsPerDay };
  if (fault.kind === 'dead lamp' || fault.kind === 'charger dead')
    return { kind: fault.kind, luminaire: fault.luminaire, at };
  return undefined;
}

function relayFault(fault: PlantedFault, at: number): FaultSpec | undefined {
  if (fault.kind === 'relay stuck closed')
    return { kind: fault.kind, at, repairedAt: fault.repairedDay * DAY_MS };
  if (fault.kind === 'relay sticks open')
    return { kind: fault.kind, at, stickMs: fault.seconds * 1000, repairedAt: fault.repairedDay * DAY_MS };
  return undefined;
}

/** The faults that the site file plants into a circuit. */
export function faultsOf(site: Site, circuit: Circuit): FaultSpec[] {
  const ids = new Set(circuit.luminaires.map((lamp) => lamp.id));
  const found: FaultSpec[] = [];
  for (const fault of site.simulation.faults) {
    const at = fault.fromDay * DAY_MS;
    const spec =
      'luminaire' in fault
        ? ids.has(fault.luminaire) && luminaireFault(fault, at)
        : fault.circuit === circuit.id && relayFault(fault, at);
    if (spec) found.push(spec);
  }
  return found;
}

/**
 * People in the area of a circuit that also darkens normal lighting: opening hours, and now and then someone
 * in the middle of a night window; simulated ms.
 * @param first first simulated day wanted; @param end the day after the last
 */
export function visitsOf(site: Site, circuit: Circuit, first: number, end: number, random: Random): Span[] {
  if (!circuit.shared) return [];
  const start = startUtcMs(site);
  const spans: Span[] = [];
  const nightly = site.simulation.faults.find(
    (f) => f.kind === 'person at night' && f.circuit === circuit.id,
  );
  let date = dateAfter(localDate(site.timeZone, start / 1000), first);
  for (let day = first; day < end; day++) {
    const weekday = weekdayOf(date);
    const at = (minute: number) => utcOf(site.timeZone, date, minute, 'start') * 1000 - start;
    if (
      nightly?.kind === 'person at night' &&
      day >= nightly.fromDay &&
      (day - nightly.fromDay) % nightly.everyDays === 0
    ) {
      const from = at(60 + Math.floor(180 * nextUnit(random)));
      spans.push({ from, to: from + VISIT_MS });
    }
    if (!site.closedDates.includes(date))
      for (const hours of site.opening)
        if (hours.days.includes(weekday)) spans.push({ from: at(hours.from), to: at(hours.to) });
    date = dateAfter(date, 1);
  }
  return spans.filter((span) => span.to > 0).sort((a, b) => a.from - b.from);
}

/** The rules an opening of the relay must keep, straight from the plan. */
export function rulesOf(circuit: Circuit, plan: Plan, profile: RuleProfile): RuleSpec {
  const share = plan.circuits.find((c) => c.circuit === circuit.id)!;
  return {
    slots: share.slots.map(({ start, end }) => ({ start, end })),
    cycle: share.cycle,
    residue: share.residue,
    noon: share.noon,
    sharedCycle: share.sharedCycle,
    sharedResidue: share.sharedResidue,
    hoursFrom: share.hoursFrom,
    hoursSec: share.hoursSec,
    fallbackFrom: share.fallbackFrom,
    fallbackSec: share.fallbackSec,
    planUntil: plan.until,
    briefSec: briefSecOf(circuit, profile),
    ratedSec: circuit.ratedSec,
    rechargeSec: profile.full.rechargeSec.value,
    briefRechargeSec: profile.brief.rechargeSec.value,
  };
}

/** Has the checks of the controllers' openings follow a renewed plan. Slots of the plans before it stay permitted. */
export function renewRules(
  controllers: readonly Pick<ControllerSpec, 'circuit' | 'rules'>[],
  site: Site,
  plan: Plan,
) {
  const profile = profileFor(site);
  const circuits = new Map(site.circuits.map((circuit) => [circuit.id, circuit]));
  for (const spec of controllers) {
    const rules = rulesOf(circuits.get(spec.circuit)!, plan, profile);
    spec.rules.slots.push(...rules.slots);
    Object.assign(spec.rules, { ...rules, slots: spec.rules.slots });
  }
}

/**
 * Has the checks of the controllers' openings follow the plan of a host that runs by itself: to be called between two
 * steps of the controllers, which cannot have put a plan into force that was not known by then.
 */
export function followPlan(
  controllers: readonly Pick<ControllerSpec, 'circuit' | 'rules'>[],
  site: Site,
  planNow: () => Plan | undefined,
): () => void {
  let known = planNow();
  return () => {
    const plan = planNow();
    if (plan === undefined || plan === known) return;
    known = plan;
    renewRules(controllers, site, plan);
  };
}

/** The whole site as a simulated fleet. The same options give the same fleet. */
export function fleetSpecOf(o: EstateOptions): FleetSpec {
  const neighbours = neighboursOf(o.site);
  const controllers = o.site.circuits.map((circuit): ControllerSpec => {
    const random = fork(o.seed, `circuit ${circuit.id}`);
    const packMargin = marginOf(fork(o.seed, `pack ${circuit.id}`));
    const address = `${o.site.id}/${circuit.id}`;
    return {
      address,
      circuit: circuit.id,
      secret: o.keys.secretOf(address),
      // A luminaire has its own margin; luminaires on the circuit's central lead-acid battery have that
      // battery's.
      lamps: circuit.luminaires.map((lamp) =>
        lampSpec(lamp, lamp.chemistry === 'lead-acid' ? packMargin : marginOf(random)),
      ),
      faults: faultsOf(o.site, circuit),
      ...(circuit.bus && { bus: { baud: circuit.bus.bitsPerSecond ?? Limit.BusBaud } }),
      visits: visitsOf(o.site, circuit, 0, o.days + 2, random),
      outages: [],
      neighbours: [...(neighbours.get(circuit.id) ?? [])],
      rules: rulesOf(circuit, o.plan, o.profile),
    };
  });
  return { seed: o.seed, startUtcMs: startUtcMs(o.site), controllers, link: o.link, noise: true };
}
