import { TestKind } from '../../firmware/contract/codes';
import type { RuleProfile } from '../profiles/profile';
import type { Site } from '../site/model';
import { slotNeedSec } from '../site/windows';
import { Calendar } from './calendar';
import { type CircuitWork, lengthsOf, type Placing, type Share } from './circuitWork';
import { colourCircuits, neighboursOf } from './colours';
import { Estimates, type Unshared } from './estimates';
import { Exposure, Presence } from './exposure';
import { commonSpans, fallbackWindow } from './fallback';
import { AHEAD_SEC, measure } from './measure';
import { NightCosts } from './nightCosts';
import { DAY_SEC, nightAt, noonOf, permittedNights } from './nights';
import { openSpans } from './openings';
import { placeTests } from './placeTests';
import type { CircuitPlan, MadePlan, Plan, Slot } from './plan';
import { Prices } from './prices';
import { shareNights } from './shares';

/** What is known of a circuit's tests before the plan begins. */
export interface CircuitHistory {
  /** UTC second of the last satisfied test of a kind. */
  lastBrief?: number;
  lastFull?: number;
  lastLimited?: number;
  /** First test number to give, 1 where left out. */
  nextTest?: number;
}

export interface PlanOptions {
  /** By circuit id. */
  history?: Record<string, CircuitHistory>;
  /** The plan in force: its circuits keep their own nights, since a controller may not hear of a new plan. */
  inForce?: Plan;
  /** Whether it is dark at a UTC second, where tests should rather be in the dark. */
  isDark?: (utcSec: number) => boolean;
}

function slotsOf(work: CircuitWork, placing: Placing, firstTest: number): Slot[] {
  return work.tests.flatMap((test, i) =>
    test.places.map((place) => {
      const span = placing.calendar.spanOf(placing.nights[place], work.circuit.id);
      return { test: firstTest + i, kind: test.kind, start: span.start, end: span.end };
    }),
  );
}

/** The circuits with what is known of their tests, before any night is given. */
function startWorks(site: Site, exposure: Exposure, noon: number, options?: PlanOptions): Unshared[] {
  return site.circuits.map((circuit, index) => {
    const longKind = circuit.alwaysOccupied ? TestKind.Limited : TestKind.Full;
    const work: Unshared = {
      ...{ circuit, index, longKind, tests: [], taken: new Set() },
      burden: exposure.of(circuit.id),
    };
    const known = options?.history?.[circuit.id];
    if (known?.lastBrief !== undefined) work.lastBrief = nightAt(known.lastBrief, noon);
    // A full test shows all that a limited one would; the other way round it never does.
    const limited = circuit.alwaysOccupied ? (known?.lastLimited ?? 0) : 0;
    const lastLong = Math.max(known?.lastFull ?? 0, limited);
    if (lastLong > 0) work.lastLong = nightAt(lastLong, noon);
    return work;
  });
}

/** The own nights of a plan's circuits, where they are counted from the same noon. */
function sharesIn(plan: Plan, noon: number): Map<string, Share> {
  const same = plan.circuits.filter((own) => own.noon === noon);
  return new Map(same.map(({ circuit, cycle, residue }) => [circuit, { cycle, residue }]));
}

/** Gives each circuit its own nights. */
function giveNights(
  site: Site,
  unshared: Unshared[],
  placing: Placing,
  spacing: number,
  inForce?: Map<string, Share>,
): CircuitWork[] {
  const byId = new Map(unshared.map((work) => [work.circuit.id, work]));
  const needs = unshared.map((work) => lengthsOf(work.circuit, TestKind.Brief, placing.profile).needSec);
  const caps = { atOnce: site.openingsAtOnce, staggerSec: site.staggerSec };
  const estimates = new Estimates(
    placing,
    caps,
    needs.reduce((a, b) => Math.max(a, b), 0),
  );
  const near = neighboursOf(site);
  const shares = shareNights({
    ...{ near, spacing, colours: colourCircuits(near) },
    estimate: (circuit, share) => estimates.hours(byId.get(circuit)!, share),
    crowd: (share) => estimates.crowd(share),
    given: (share) => estimates.expect(share),
    ...(inForce && { inForce }),
  });
  // With more than one cycle, any two circuits may meet in a night.
  const isOne = new Set([...shares.values()].map((share) => share.cycle)).size === 1;
  const group = (id: string) => (isOne ? shares.get(id)!.residue : 0);
  const ranks = new Map<number, number>();
  const works = unshared.map((work): CircuitWork => {
    const share = shares.get(work.circuit.id)!;
    const rank = ranks.get(group(work.circuit.id)) ?? 0;
    ranks.set(group(work.circuit.id), rank + 1);
    const { places, at } = estimates.own(share);
    return { ...work, share, own: places, at, rank, ranks: 0 };
  });
  for (const work of works) work.ranks = ranks.get(group(work.circuit.id))!;
  return works;
}

/**
 * The tests of every circuit for `days` days from a UTC second on. Neighbours get own nights so far apart
 * that the discharge and recharge of one never meets the other's; brief tests come at the profile's
 * interval with up to two retries, and so do long tests. Among the nights that allow it the ones are taken
 * in which the fewest people are where luminaires are not ready (exposure.ts). Same site and times, same plan.
 * What could not be placed is told in `shortfalls`, and nothing is placed against a rule instead.
 */
export function makePlan(
  site: Site,
  profile: RuleProfile,
  fromUtcSec: number,
  days: number,
  options?: PlanOptions,
): MadePlan {
  const noon = noonOf(site.timeZone, fromUtcSec);
  const until = fromUtcSec + days * DAY_SEC;
  // Nobody knows the batteries at the start: a full recharge comes before the first test.
  const nights = permittedNights(site, noon, fromUtcSec + profile.full.rechargeSec.value, until);
  const spacing = 1 + Math.ceil(profile.full.rechargeSec.value / DAY_SEC);
  const exposure = new Exposure(site, fromUtcSec, until + AHEAD_SEC);
  const open = new Presence(openSpans(site, fromUtcSec, until + AHEAD_SEC));
  const costs = new NightCosts(nights);
  const placing: Placing = {
    ...{ profile, nights, costs, prices: new Prices(costs), circuits: site.circuits.length, shortfalls: [] },
    calendar: new Calendar({ atOnce: site.openingsAtOnce, staggerSec: site.staggerSec }),
    atOnce: site.openingsAtOnce,
    fromNight: nightAt(fromUtcSec, noon),
    untilNight: nightAt(until, noon),
    opensAt: (utcSec) => open.next(utcSec),
    ...(options?.isDark && { isDark: options.isDark }),
  };
  const works = giveNights(
    site,
    startWorks(site, exposure, noon, options),
    placing,
    spacing,
    options?.inForce && sharesIn(options.inForce, noon),
  );
  placeTests(placing, works);
  const spans = commonSpans(site, noon, fromUtcSec);
  const circuits = works.map((work): CircuitPlan => {
    const needSec = slotNeedSec(work.circuit.ratedSec);
    return {
      circuit: work.circuit.id,
      slots: slotsOf(work, placing, options?.history?.[work.circuit.id]?.nextTest ?? 1),
      ...work.share,
      noon,
      ...fallbackWindow(spans, noon, { needSec, staggerSec: site.staggerSec }, work.rank, work.ranks),
    };
  });
  const plan = { from: fromUtcSec, until, circuits };
  const measured = measure(plan, {
    works,
    placing,
    exposure,
    at: Int32Array.from(nights, ({ night }) => night),
  });
  return { ...plan, shortfalls: placing.shortfalls, ...measured, conflicts: [] };
}
