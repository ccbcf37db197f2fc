import type { RuleProfile } from '../profiles/profile';
import type { Site } from '../site/model';
import { slotNeedSec } from '../site/windows';
import { Calendar } from './calendar';
import type { CircuitWork, Placing, Share } from './circuitWork';
import { neighboursOf } from './colours';
import { conflictsOf } from './conflicts';
import { Exposure, Presence } from './exposure';
import { commonSpans, fallbackWindow } from './fallback';
import { AHEAD_SEC, measure } from './measure';
import { NightCosts } from './nightCosts';
import { DAY_SEC, nightAt, noonOf, permittedNights } from './nights';
import { openSpans } from './openings';
import { placeTests } from './placeTests';
import type { CircuitPlan, Conflict, MadePlan, Plan, Slot } from './plan';
import { Prices } from './prices';
import { type CircuitHistory, giveNights, startWorks } from './startWorks';

export type { CircuitHistory };

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

/** The own nights of a plan's circuits, where they are counted from the same noon. */
function sharesIn(plan: Plan, noon: number): Map<string, Share> {
  const same = plan.circuits.filter((own) => own.noon === noon);
  return new Map(same.map(({ circuit, cycle, residue }) => [circuit, { cycle, residue }]));
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
  const near = neighboursOf(site);
  const unshared = startWorks(site, exposure, noon, options?.history);
  const inForce = options?.inForce && sharesIn(options.inForce, noon);
  const works = giveNights(site, unshared, placing, { near, spacing, ...(inForce && { inForce }) });
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
  const { shortfalls } = placing;
  const { tests } = measured;
  let conflicts: Conflict[] | undefined;
  return {
    ...{ ...plan, shortfalls, ...measured },
    // Reckoned when asked for: simulated years make hundreds of plans and read no sentence.
    get conflicts() {
      const at = { from: fromUtcSec, until, noon, spacing };
      const lateOn = (other: Site) => makePlan(other, profile, fromUtcSec, days, options).shortfalls;
      conflicts ??= conflictsOf(shortfalls, { site, placing, works, near, exposure, tests, lateOn, ...at });
      return conflicts;
    },
  };
}
