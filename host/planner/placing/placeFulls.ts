import { TestKind } from '../../../firmware/contract/codes';
import type { Burden } from '../cost/exposure';
import { type Chain, type ChainRules, cheapestChain, firstStepCost, WORTH } from './chain';
import { type CircuitWork, lengthsOf, type PlacedTest, type Placing, sortTests, toldAt } from './circuitWork';
import type { NightPrices } from './nightPrices';

/** The first full tests of a building are spread over this many days, so that none waits a year. */
const FIRST_FULL_DAYS = 70;
/** Those that would find people there wait longer, but not into the last days of the plan. */
const LAST_DAYS = 1;
/**
 * Weight of each day that a first full test waits beyond that spread, hours, where the circuit is all the light
 * of an area; where it is less, less depends on its batteries (our choice, no source).
 */
const WAIT_DAY = 0.004;
/** Weight of each day away from its turn for a first full test, hours (our choice, no source). */
const TURN_DAY = 0.00005;

export interface FirstRange {
  first: number;
  last: number;
  /** The last night of the spread. */
  spread: number;
  /** The night of this circuit's turn. */
  wished: number;
}

/** What is known of a circuit's long tests. */
export interface Started {
  index: number;
  burden: Pick<Burden, 'largest'>;
  lastLong?: number;
  tests?: PlacedTest[];
}

/** Nights for the first full test where nothing earlier is known. */
export function firstFullRange(work: Omit<Started, 'burden'>, placing: Placing): FirstRange {
  const { fromNight, untilNight, circuits } = placing;
  const { full, fullBeforeOpening } = placing.profile;
  const most = full.latestDays.value;
  const days = Math.min(FIRST_FULL_DAYS, most);
  // One that is owed but not announced in the plan in force was void or is for a new circuit: it comes soon.
  const isSoon =
    placing.isAnew && !work.tests?.some(({ kind, told }) => told !== undefined && kind !== TestKind.Brief);
  const wait = isSoon ? days : Math.min(most, Math.max(days, untilNight - fromNight - LAST_DAYS));
  return {
    first: fromNight,
    // Nights before a closed day are rare: where no others will do, the rule's own interval is the limit.
    last: fromNight + (fullBeforeOpening?.value ? most : wait),
    spread: fromNight + days,
    wished: fromNight + Math.floor(((work.index + 0.5) * days) / circuits),
  };
}

export function longRules(placing: Placing): ChainRules {
  const { latestDays, earlierDays } = placing.profile.full;
  const [most, end] = [latestDays.value, placing.untilNight];
  return { least: most - earlierDays.value, most, aim: most, early: 0, keepsRetry: false, end };
}

/**
 * Extra cost of a long test as the first of the plan, by number of its night, and the cost of having none.
 */
export function firstLong(
  placing: Placing,
  rules: ChainRules,
  work: Started,
): { first: (night: number) => number; none: number } {
  const { lastLong } = work;
  if (lastLong !== undefined)
    return {
      first: (night) => firstStepCost(lastLong, placing.fromNight, night, night, rules),
      none: rules.end - lastLong > rules.most ? WORTH.missing : 0,
    };
  const range = firstFullRange(work, placing);
  const wait = WAIT_DAY * work.burden.largest;
  return {
    first: (night) =>
      night > range.last
        ? WORTH.lateDay * (night - range.last)
        : TURN_DAY * Math.abs(night - range.wished) + wait * Math.max(0, night - range.spread),
    none: rules.end > range.last ? WORTH.missing : 0,
  };
}

/** Cost of taking the last place for a long test in a night shared with other circuits. */
function fillPrice(placing: Placing, work: CircuitWork): number {
  if (work.ranks <= placing.atOnce) return 0;
  const { shared, cycle } = work.share;
  const canSkip = shared !== undefined || 2 * cycle <= placing.profile.brief.latestDays.value;
  return canSkip ? WORTH.fillsNight.some : WORTH.fillsNight.all;
}

/** By index among own nights, 1 where the next of them that is not only shared could hold a long test as well. */
function repeatable({ own, hoursAt }: CircuitWork, cost: number[]): Uint8Array {
  const can = new Uint8Array(own.length);
  let next = 0;
  for (let i = own.length - 1; i >= 0; i--) {
    can[i] = next;
    if (!hoursAt.has(own[i])) next = cost[i] < Number.POSITIVE_INFINITY ? 1 : 0;
  }
  return can;
}

/**
 * The cheapest nights for a circuit's long tests.
 * @param prices of its own nights as they stand
 */
export function chooseLongs(
  placing: Placing,
  work: CircuitWork,
  prices: number[],
  barred: Set<number>,
): Chain {
  const rules = longRules(placing);
  const { first, none } = firstLong(placing, rules, work);
  const cost = prices.slice();
  const canRepeat = repeatable(work, cost);
  const fills = fillPrice(placing, work);
  const { needSec } = lengthsOf(work.circuit, work.longKind, placing.profile);
  cost.forEach((now, i) => {
    if (now === Number.POSITIVE_INFINITY) return;
    if (barred.has(work.own[i])) cost[i] += WORTH.standsIn;
    if (!canRepeat[i]) cost[i] += WORTH.takesLongRetry;
    const night = placing.nights[work.own[i]];
    const turns = Math.floor((night.end - night.start) / needSec);
    if (placing.calendar.load(night).longs + 1 >= placing.atOnce * turns) cost[i] += fills;
  });
  const { at } = work;
  const told = toldAt(work, work.longKind);
  told?.forEach((is, i) => {
    if (is) cost[i] = 0;
  });
  return cheapestChain({ at, cost, first: (i) => first(at[i]), none, told }, rules);
}

/** Places a circuit's long tests on the cheapest nights by these prices. */
export function placeLongs(work: CircuitWork, chain: Chain, prices: NightPrices): void {
  for (const i of chain.places) {
    if (work.taken.has(work.own[i])) continue;
    prices.take(i);
    work.tests.push({ kind: work.longKind, places: [work.own[i]] });
  }
  sortTests(work);
}

/** Reports long tests that come too late or not at all. */
export function tellLateLongs(placing: Placing, work: CircuitWork): void {
  const { most, end } = longRules(placing);
  const nights = work.tests
    .filter((test) => test.kind === work.longKind)
    .map((test) => placing.nights[test.places[0]].night);
  const range = firstFullRange(work, placing);
  let due = work.lastLong === undefined ? range.last : Math.max(work.lastLong + most, placing.fromNight);
  for (const night of [...nights, end]) {
    if (night > due)
      placing.shortfalls.push({
        ...{ circuit: work.circuit.id, kind: work.longKind, dueNight: due, lateNights: night - due },
      });
    due = night + most;
  }
}
