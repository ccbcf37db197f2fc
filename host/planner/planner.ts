import { TestKind } from '../../firmware/contract/codes';
import type { RuleProfile } from '../profiles/profile';
import type { Site } from '../site/model';
import { conflictsOf } from './conflicts/conflicts';
import type { Judged } from './conflicts/wiring';
import { Exposure, Presence } from './cost/exposure';
import { openSpans } from './cost/occupied';
import { Starts } from './cost/starts';
import { type Kept, keepTold, type Told } from './keep';
import { AHEAD_SEC, type MeasuredPlan, measure, ordered, yardsticksOf } from './measure';
import { Calendar } from './nights/calendar';
import { commonSpans, fallbackWindow, type NightSpan } from './nights/fallback';
import { DAY_SEC, nightAt, noonOf, permittedNights } from './nights/nights';
import { type CircuitWork, lengthsOf, type Placing, type Share } from './placing/circuitWork';
import { colourCircuits, neighboursOf } from './placing/colours';
import { placeTests } from './placing/placeTests';
import { Prices } from './placing/prices';
import {
  improved,
  isMuchMore,
  isNearBound,
  isWorthItsChances,
  lateNights,
  type Placed,
  TRIED_CIRCUITS,
} from './placing/search';
import { fieldsOf, type SharedRoom, shareOf } from './placing/sharedNights';
import { type CircuitHistory, giveNights, startWorks } from './placing/startWorks';
import type { CircuitPlan, Conflict, MadePlan, Plan, PlannedTest, Slot } from './plan/plan';

export type { CircuitHistory };

export interface PlanOptions {
  /** By circuit id. */
  history?: Record<string, CircuitHistory>;
}

function slotsOf({ tests, taken }: CircuitWork, firstTest: number): Slot[] {
  const slots: Slot[] = [];
  for (let i = 0; i < tests.length; i++) {
    const { kind, places, told } = tests[i];
    for (let k = 0; k < places.length; k++) {
      const { start, end } = told?.[k] ?? taken.get(places[k])!;
      slots.push({ test: firstTest + i, kind, start, end });
    }
  }
  return slots;
}

/** The own nights of a plan's circuits, where they count from the same noon. */
function sharesIn(plan: Plan, noon: number): Map<string, Share> {
  const same = plan.circuits.filter((own) => own.noon === noon);
  return new Map(same.map((own) => [own.circuit, shareOf(own)]));
}

/** What nights offer to neighbours' function tests; undefined where the windows have no hours in common. */
function sharedRoom(
  site: Site,
  profile: RuleProfile,
  spans: NightSpan[],
  noon: number,
): SharedRoom | undefined {
  const from = Math.max(...spans.map((span) => span.from));
  const to = Math.min(...spans.map((span) => span.to));
  if (spans.length < site.windows.length || spans.length === 0 || to <= from) return undefined;
  const lengths = site.circuits.map((circuit) => lengthsOf(circuit, TestKind.Brief, profile));
  return {
    ...{ span: { from, to }, noon },
    needSec: lengths.reduce((most, { needSec }) => Math.max(most, needSec), 0),
    rechargeSec: profile.brief.rechargeSec.value,
    isFullAtEnd: profile.fullBeforeOpening?.value === true,
    everyDays: profile.brief.everyDays.value,
    latestDays: profile.brief.latestDays.value,
    caps: { atOnce: site.openingsAtOnce, staggerSec: site.staggerSec },
  };
}

/** One complete placing. */
interface Attempt extends Placed {
  kept: Kept;
  plan: Plan;
  measured: MeasuredPlan;
}

/**
 * Own nights that suit tests on top of the rule's own must leave none of the rule's late, nor much worse off: where
 * some may be, the nights the site would have without them are tried too.
 */
function inTime(site: Site, first: Attempt, other: (plainSite: Site) => Attempt): Attempt {
  const { testMore, ...plainSite } = site;
  const isWell = () =>
    first.placing.shortfalls.length === 0 && !isMuchMore(first, first.measured.lowerBoundHours);
  if (!testMore || isWell()) return first;
  const plain = other(plainSite);
  const late = lateNights(plain) - lateNights(first);
  if (late !== 0) return late < 0 ? plain : first;
  return isMuchMore(first, plain.measured.ruleHours) ? plain : first;
}

/**
 * Where function tests find people whenever they are made, those as far apart as the rule allows cost less than those
 * at the usual distance: a small site that is not near its lower bound is tried that way too.
 */
function rarer(
  site: Site,
  profile: RuleProfile,
  usual: Attempt,
  other: (aimed: RuleProfile) => Attempt,
): Attempt {
  const { brief } = profile;
  const isTried = !site.testMore && site.circuits.length <= TRIED_CIRCUITS && !isNearBound(usual);
  if (!isTried || brief.everyDays.value >= brief.latestDays.value) return usual;
  const rare = other({ ...profile, brief: { ...brief, everyDays: brief.latestDays } });
  return isWorthItsChances(rare, usual) ? rare : usual;
}

/** A plan with the data it was made from. */
interface Made {
  plan: MadePlan;
  kept: Kept;
}

/**
 * Like `makePlan` while an announced plan is in force: its tests stay as far as they can.
 * @returns the plan, and what of the one in force could not stay
 */
export function planAnew(
  site: Site,
  profile: RuleProfile,
  fromUtcSec: number,
  days: number,
  options: PlanOptions = {},
  told?: Told,
): Made {
  const noon = noonOf(site.timeZone, fromUtcSec);
  const until = fromUtcSec + days * DAY_SEC;
  const rechargeSec = profile.full.rechargeSec.value;
  // The batteries' state at the start is unknown: a full recharge precedes the first test, unless that was
  // announced before.
  const nights = permittedNights(site, noon, fromUtcSec + (told ? -DAY_SEC : rechargeSec), until);
  const spacing = 1 + Math.ceil(rechargeSec / DAY_SEC);
  const exposure = Exposure.of(site, fromUtcSec - DAY_SEC, until + AHEAD_SEC);
  const open = new Presence(openSpans(site, fromUtcSec - DAY_SEC, until + AHEAD_SEC));
  const starts = new Starts(nights, profile.fullBeforeOpening?.value ? open : undefined);
  const near = neighboursOf(site);
  const colours = colourCircuits(near);
  const inForce = told && sharesIn(told.plan, noon);
  const at = Int32Array.from(nights, ({ night }) => night);
  const spans = commonSpans(site, noon, fromUtcSec);
  const room = sharedRoom(site, profile, spans, noon);
  const prices = new Prices();
  const caps = { atOnce: site.openingsAtOnce, staggerSec: site.staggerSec };
  const others: Map<string, Share>[] = [];
  /** Places everything once, on the own nights asked for or on those that seem best. */
  const attempt = (wanted?: Map<string, Share>, aimed = profile): Attempt => {
    const placing: Placing = {
      ...{ profile: aimed, nights, noon, starts, prices, circuits: site.circuits.length },
      calendar: new Calendar(caps),
      atOnce: site.openingsAtOnce,
      spacing,
      fromNight: nightAt(fromUtcSec, noon),
      untilNight: nightAt(until, noon),
      isAnew: told !== undefined,
      shortfalls: [],
      opensAt: (utcSec) => open.next(utcSec),
      ...(site.location && { location: site.location }),
      ...(site.testMore && { more: site.testMore }),
    };
    const turns = {
      others,
      near,
      colours,
      spacing,
      ...(inForce && { inForce }),
      ...(wanted && { wanted }),
      ...(room && { room }),
    };
    const works = giveNights(site, startWorks(site, exposure, noon, options.history), placing, turns);
    const kept = keepTold(works, placing, told, rechargeSec);
    placeTests(placing, works);
    const circuits = works.map((work): CircuitPlan => {
      const { needSec } = lengthsOf(work.circuit, work.longKind, profile);
      const firstTest =
        kept.firstTest.get(work.circuit.id) ?? options.history?.[work.circuit.id]?.nextTest ?? 1;
      return {
        circuit: work.circuit.id,
        slots: slotsOf(work, firstTest),
        ...fieldsOf(work.share),
        noon,
        ...fallbackWindow(spans, noon, { needSec, staggerSec: site.staggerSec }, work.rank, work.ranks),
      };
    });
    const plan = { from: fromUtcSec, until, circuits };
    return { placing, works, kept, plan, measured: measure(plan, { works, placing, exposure, at }) };
  };
  const first = inTime(site, attempt(), (plainSite) => {
    const plain = planAnew(plainSite, profile, fromUtcSec, days, options, told).plan;
    return attempt(sharesIn(plain, noon));
  });
  const found = told
    ? first
    : improved(first, (shares) => attempt(shares), { near, colours, spacing, others });
  const best = told
    ? found
    : rarer(site, profile, found, (aimed) =>
        attempt(sharesIn(planAnew(site, aimed, fromUtcSec, days, options).plan, noon), aimed),
      );
  const { placing, works, kept, plan, measured } = best;
  const { shortfalls } = placing;
  const judged: Judged = {
    ...{
      site,
      placing,
      works,
      near,
      exposure,
      noon,
      spacing,
      from: fromUtcSec,
      until,
    },
    get tests() {
      return measured.testsByCircuit;
    },
    ...(room && { room }),
    lateOn: (other) => planAnew(other, profile, fromUtcSec, days, options, told).plan.shortfalls,
  };
  let tests: PlannedTest[] | undefined;
  let conflicts: Conflict[] | undefined;
  const byRule = { works, placing: { ...placing, profile }, exposure, at };
  const yardsticks = yardsticksOf(measured, byRule, caps);
  return {
    kept,
    plan: {
      ...{ ...plan, shortfalls },
      // Calculated on demand: simulated years make hundreds of plans and read none of this.
      get tests() {
        tests ??= ordered(measured.testsByCircuit, measured.order);
        return tests;
      },
      get testsByCircuit() {
        return measured.testsByCircuit;
      },
      get exposureHours() {
        return measured.exposureHours;
      },
      get lowerBoundHours() {
        return measured.lowerBoundHours;
      },
      get naiveExposureHours() {
        return yardsticks.naiveExposureHours;
      },
      get bestFixedNightHours() {
        return yardsticks.bestFixedNightHours;
      },
      get conflicts() {
        conflicts ??= conflictsOf(shortfalls, judged);
        return conflicts;
      },
    },
  };
}

/**
 * The tests of every circuit for `days` days from a UTC second on. Neighbours get own nights so far apart
 * that the discharge and recharge of one never meet the other's; function tests come at the profile's
 * interval with up to two retries, and so do long tests. Among the permitted nights, those are taken in which
 * the fewest people are where luminaires are not ready (exposure.ts). Same site and times, same plan. What
 * could not be placed is listed in `shortfalls`; nothing is placed against a rule instead.
 */
export function makePlan(
  site: Site,
  profile: RuleProfile,
  fromUtcSec: number,
  days: number,
  options?: PlanOptions,
): MadePlan {
  return planAnew(site, profile, fromUtcSec, days, options).plan;
}
