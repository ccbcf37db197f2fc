import { TestKind } from '../../../firmware/contract/codes';
import { type Chain, type ChainRules, cheapestChain, firstStepCost, WORTH } from './chain';
import { takeIfFree } from './chooseSlot';
import { type CircuitWork, firstNight, type Placing, sortTests, toldAt } from './circuitWork';
import { furtherRules } from './furtherChain';
import { NightPrices } from './nightPrices';
import { furtherPrices } from './prices';

/** The first function tests of a plan are spread over this many days. */
const FIRST_BRIEF_DAYS = 14;
/** Weight of each day away from its turn for a first function test, and beyond that spread, hours. */
const TURN_DAY = 0.00005;
const AFTER_FIRST_DAYS = 0.03;
const RETRIES = 2;

/** Fewest days the rule permits between two function tests, 1 where it says nothing. */
function leastGap(placing: Placing): number {
  return placing.profile.brief.leastGapDays?.value ?? 1;
}

export function briefRules(placing: Placing): ChainRules {
  const { everyDays, latestDays, earliestDays } = placing.profile.brief;
  return {
    least: leastGap(placing),
    most: latestDays.value,
    aim: everyDays.value,
    early: earliestDays.value,
    keepsRetry: leastGap(placing) > 1,
    end: placing.untilNight,
  };
}

/**
 * Extra cost of a function test as the first of the plan, by index among own nights, and the cost of having
 * none.
 */
export function firstBrief(
  placing: Placing,
  rules: ChainRules,
  work: { rank: number; lastBrief?: number },
  at: Int32Array,
): { first: (place: number) => number; none: number } {
  const base = work.lastBrief ?? placing.fromNight;
  const none = rules.end - base > rules.most ? WORTH.missing : 0;
  const next = (i: number) => at[i + 1] ?? Number.POSITIVE_INFINITY;
  if (work.lastBrief !== undefined)
    return { first: (i) => firstStepCost(base, placing.fromNight, at[i], next(i), rules), none };
  const days = Math.min(FIRST_BRIEF_DAYS, rules.aim);
  let near = 0;
  while (near < at.length && at[near] < base + days) near++;
  const turn = near > 0 ? at[work.rank % near] : base;
  return {
    first: (i) =>
      at[i] > base + rules.most
        ? WORTH.lateDay * (at[i] - base - rules.most)
        : TURN_DAY * Math.abs(at[i] - turn) + (at[i] < base + days ? 0 : AFTER_FIRST_DAYS),
    none,
  };
}

function longNights({ tests }: CircuitWork): number[] {
  const longs: number[] = [];
  for (const { kind, places } of tests) if (kind !== TestKind.Brief) longs.push(places[0]);
  return longs;
}

/**
 * The cheapest nights for a circuit's function tests; its long tests may count as one where no other night is
 * left.
 * @param prices of its own nights as they stand
 * @param longs indexes of the nights of its long tests, in order; those it has by default
 */
export function chooseBriefs(
  placing: Placing,
  work: CircuitWork,
  prices: number[],
  longs = longNights(work),
): Chain {
  const rules = briefRules(placing);
  const cost = prices.slice();
  const { at } = work;
  for (const place of longs) {
    const i = work.own.indexOf(place);
    if (i < 0) continue;
    cost[i] = WORTH.standsIn;
    // The night after is for repeating the long test, the night before for repeating a function test there.
    if (i + 1 < cost.length) cost[i + 1] += WORTH.takesLongRetry;
    if (i > 0) cost[i - 1] += WORTH.takesBriefRetry;
  }
  // Nights on which nobody is there long enough for a further long test are rare: it gets them.
  const further = furtherRules(placing, work, true);
  if (further)
    furtherPrices(placing, work, work.longKind, further.perHour).forEach((price, i) => {
      cost[i] += WORTH.takesFurtherLong / (1 + price);
    });
  const told = toldAt(work, TestKind.Brief);
  told?.forEach((is, i) => {
    if (is) cost[i] = 0;
  });
  const { first, none } = firstBrief(placing, rules, work, at);
  return cheapestChain({ at, cost, first, none, told }, rules);
}

/** Places a circuit's function tests and reports those that will be late. */
export function placeBriefs(placing: Placing, work: CircuitWork): void {
  const prices = new NightPrices(placing, work, TestKind.Brief);
  const chain = prices.cheapest((now) => chooseBriefs(placing, work, now));
  for (const i of chain.places) {
    const place = work.own[i];
    if (work.taken.has(place)) continue;
    prices.take(i);
    work.tests.push({ kind: TestKind.Brief, places: [place] });
  }
  sortTests(work);
  tellLateBriefs(placing, work);
}

/** Reports where neither a function test nor a long one comes in time. */
function tellLateBriefs(placing: Placing, work: CircuitWork): void {
  const { most, end } = briefRules(placing);
  const { id: circuit } = work.circuit;
  let due = (work.lastBrief ?? placing.fromNight) + most;
  for (const night of [...work.tests.map((test) => firstNight(placing, test)), end]) {
    if (night > due)
      placing.shortfalls.push({ circuit, kind: TestKind.Brief, dueNight: due, lateNights: night - due });
    due = night + most;
  }
}

/** Number of the night of the nearest function test from one of a circuit's tests on, or back from it. */
function briefFrom(work: CircuitWork, placing: Placing, at: number, step: 1 | -1): number | undefined {
  for (let i = at; i >= 0 && i < work.tests.length; i += step)
    if (work.tests[i].kind === TestKind.Brief) return firstNight(placing, work.tests[i]);
  return undefined;
}

/** Last night on which a retry of the test at this index is still useful. */
function retryLimit(work: CircuitWork, placing: Placing, at: number): number {
  const following = work.tests[at + 1];
  const next = following ? firstNight(placing, following) : placing.untilNight + 1;
  if (work.tests[at].kind !== TestKind.Brief) return next - 1;
  const nextBrief = briefFrom(work, placing, at + 1, 1);
  const clear = nextBrief === undefined ? placing.untilNight : nextBrief - leastGap(placing);
  const base = briefFrom(work, placing, at - 1, -1) ?? work.lastBrief ?? placing.fromNight;
  return Math.min(next - 1, clear, base + placing.profile.brief.latestDays.value);
}

/**
 * Gives every test up to two more attempts on the following own nights, before the circuit's next test and,
 * for a function test, within the latest date: all attempts of one test come before those of the next.
 */
export function placeRetries(works: CircuitWork[], placing: Placing): void {
  for (let round = 0; round < RETRIES; round++) {
    for (const work of works) {
      let from = 0;
      work.tests.forEach((test, at) => {
        // Where an earlier round found no room, there is none now.
        if (test.told || test.more || test.places.length <= round) return;
        const after = test.places[test.places.length - 1];
        while (from < work.own.length && work.own[from] <= after) from++;
        // Where circuits take turns, the next own night is mostly that of the next test.
        if (work.own[from] >= work.tests[at + 1]?.places[0]) return;
        const limit = retryLimit(work, placing, at);
        for (let i = from; i < work.own.length; i++) {
          const place = work.own[i];
          if (placing.nights[place].night > limit) break;
          if (!takeIfFree(placing, work, test.kind, place)) continue;
          test.places.push(place);
          break;
        }
      });
    }
  }
}
