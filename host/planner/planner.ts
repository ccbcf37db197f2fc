import { TestKind } from '../../firmware/contract/codes';
import type { RuleProfile } from '../profiles/profile';
import type { Circuit, Site } from '../site/model';
import { slotNeedSec } from '../site/windows';
import { Calendar } from './calendar';
import type { CircuitWork, Placing } from './circuitWork';
import { colourCircuits } from './colours';
import { Exposure, Presence } from './exposure';
import { commonSpans, fallbackWindow } from './fallback';
import { AHEAD_SEC, measure } from './measure';
import { DAY_SEC, modulo, type Night, nightAt, noonOf, permittedNights } from './nights';
import { openSpans } from './openings';
import { placeBriefs, placeRetries } from './placeBriefs';
import { placeFulls } from './placeFulls';
import type { CircuitPlan, MadePlan, Slot } from './plan';

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
}

/**
 * Own nights repeat after this many nights. Neighbours' own nights lie a discharge and a recharge apart,
 * also across the end of the cycle; a cycle of whole weeks would tie a circuit to one weekday for ever.
 */
function cycleOf(colours: number, spacing: number, everyWeekday: boolean): number {
  const cycle = Math.max(1, colours) * spacing;
  return cycle % 7 === 0 && !everyWeekday ? cycle + spacing : cycle;
}

/** What the circuits of one colour share, and how many they are so far. */
interface Colour {
  own: Night[];
  circuits: number;
}

function newWork(circuit: Circuit, index: number, colour: number, of: Colour): CircuitWork {
  const longKind = circuit.alwaysOccupied ? TestKind.Limited : TestKind.Full;
  return { circuit, index, rank: of.circuits++, colour, own: of.own, tests: [], longKind };
}

function slotsOf(work: CircuitWork, calendar: Calendar, firstTest: number): Slot[] {
  return work.tests.flatMap((test, i) =>
    test.nights.map((night) => {
      const span = calendar.spanOf(night, work.circuit.id);
      return { test: firstTest + i, kind: test.kind, start: span.start, end: span.end };
    }),
  );
}

function startWorks(site: Site, nights: Night[], noon: number, spacing: number, options?: PlanOptions) {
  const colourOf = colourCircuits(site);
  const everyWeekday = new Set(site.windows.flatMap((window) => window.days)).size === 7;
  const count = new Set(colourOf.values()).size;
  const cycle = cycleOf(count, spacing, everyWeekday);
  const colours = Array.from({ length: count }, (_, colour): Colour => {
    const own = nights.filter((n) => modulo(n.night - spacing * colour, cycle) === 0);
    return { own, circuits: 0 };
  });
  const works = site.circuits.map((circuit, index) => {
    const colour = colourOf.get(circuit.id)!;
    const work = newWork(circuit, index, colour, colours[colour]);
    const known = options?.history?.[circuit.id];
    if (known?.lastBrief !== undefined) work.lastBrief = nightAt(known.lastBrief, noon);
    // A full test shows all that a limited one would; the other way round it never does.
    const limited = circuit.alwaysOccupied ? (known?.lastLimited ?? 0) : 0;
    const lastLong = Math.max(known?.lastFull ?? 0, limited);
    if (lastLong > 0) work.lastLong = nightAt(lastLong, noon);
    return work;
  });
  return { works, cycle, colours };
}

/**
 * The tests of every circuit for `days` days from a UTC second on. Neighbours get own nights so far apart
 * that the discharge and recharge of one never meets the other's; brief tests come at the profile's
 * interval with up to two retries, and so do full tests. Same site and times, same plan. What could not be
 * placed is told in `shortfalls`, and nothing is placed against a rule instead.
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
  const { works, cycle, colours } = startWorks(site, nights, noon, spacing, options);
  const exposure = new Exposure(site, fromUtcSec, until + AHEAD_SEC);
  const open = new Presence(openSpans(site, fromUtcSec, until + AHEAD_SEC));
  const placing: Placing = {
    profile,
    calendar: new Calendar(site.openingsAtOnce),
    circuits: works.length,
    fromNight: nightAt(fromUtcSec, noon),
    untilNight: nightAt(until, noon),
    shortfalls: [],
    opensAt: (utcSec) => open.next(utcSec),
  };
  for (const work of works) placeBriefs(work, placing);
  for (const work of works) placeFulls(work, placing);
  placeRetries(works, placing);
  const spans = commonSpans(site, noon, fromUtcSec);
  const circuits = works.map((work): CircuitPlan => {
    const sharing = colours[work.colour].circuits;
    const needSec = slotNeedSec(work.circuit.ratedSec);
    return {
      circuit: work.circuit.id,
      slots: slotsOf(work, placing.calendar, options?.history?.[work.circuit.id]?.nextTest ?? 1),
      cycle,
      residue: spacing * work.colour,
      noon,
      ...fallbackWindow(spans, noon, needSec, work.rank, sharing),
    };
  });
  const plan = { from: fromUtcSec, until, circuits };
  return {
    ...plan,
    shortfalls: placing.shortfalls,
    ...measure(plan, { works, nights, placing, exposure }),
    conflicts: [],
  };
}
