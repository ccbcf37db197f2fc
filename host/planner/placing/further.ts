// Tests on top of those that the rule asks for, on nights that all others have left; the more people they meet, the
// rarer (prices.ts).
import { TestKind } from '../../../firmware/contract/codes';
import { hoursFrom } from '../cost/starts';
import { takeNight } from './chooseSlot';
import {
  type CircuitWork,
  firstNight,
  lengthsOf,
  type PlacedTest,
  type Placing,
  sortTests,
} from './circuitWork';
import { type FurtherRules, furtherChain, furtherRules, hoursOfChain } from './furtherChain';
import { furtherPrice, furtherPrices } from './prices';

/** Nights for further tests, beside tests that show as much. */
function choose(work: CircuitWork, rules: FurtherRules, cost: Float64Array, beside: PlacedTest[]): number[] {
  const nights = new Set(beside.map((test) => test.places[0]));
  const tested = Uint8Array.from(work.own, (place) => (nights.has(place) ? 1 : 0));
  return furtherChain({ at: work.at, cost, tested }, rules).places.map((i) => work.own[i]);
}

/** Further long tests of a circuit. */
export function placeFurtherLongs(placing: Placing, work: CircuitWork): void {
  const rules = furtherRules(placing, work, true);
  if (!rules) return;
  const kind = work.longKind;
  const longs = work.tests.filter((test) => test.kind === kind);
  for (const place of choose(work, rules, furtherPrices(placing, work, kind, rules.perHour), longs)) {
    takeNight(placing, work, kind, place);
    work.tests.push({ kind, places: [place], more: true });
  }
  sortTests(work);
}

/** The test whose attempts a night lies between, or is one of, after the first. */
function testAround(work: CircuitWork, place: number): PlacedTest | undefined {
  return work.tests.find(({ places }) => places[0] < place && place <= places[places.length - 1]);
}

/** The extra price of making the attempt on a night in any case. */
function priceOfAttempt(placing: Placing, work: CircuitWork, place: number, perHour: number): number {
  const { start } = work.taken.get(place)!;
  const lengths = lengthsOf(work.circuit, TestKind.Brief, placing.profile);
  return furtherPrice(TestKind.Brief, 0, hoursFrom(work.burden, start, lengths), perHour);
}

/** Makes a test of its own on a night, to which later attempts at the test before belong from now on. */
function addBrief(placing: Placing, work: CircuitWork, place: number): void {
  const around = testAround(work, place);
  const later = around?.places.filter((other) => other > place) ?? [];
  if (around) around.places = around.places.filter((other) => other < place);
  if (!work.taken.has(place)) takeNight(placing, work, TestKind.Brief, place);
  work.tests.push({ kind: TestKind.Brief, places: [place, ...later], more: true });
  sortTests(work);
}

/**
 * Further function tests of a circuit. Its second chances are there already: one that may be made in any case
 * becomes a test of its own.
 */
export function placeFurtherBriefs(placing: Placing, work: CircuitWork): void {
  const rules = furtherRules(placing, work, false);
  if (!rules) return;
  const cost = furtherPrices(placing, work, TestKind.Brief, rules.perHour);
  work.own.forEach((place, i) => {
    const around = testAround(work, place);
    if (!around) return;
    if (around.told || around.kind !== TestKind.Brief) cost[i] = Number.POSITIVE_INFINITY;
    else if (around.places.includes(place)) cost[i] = priceOfAttempt(placing, work, place, rules.perHour);
  });
  for (const place of choose(work, rules, cost, work.tests)) addBrief(placing, work, place);
}

/** What it costs that a circuit's tests of a kind come as rarely as they do, hours; 0 where no further ones are wanted. */
function hoursOfKind(placing: Placing, work: CircuitWork, kind: TestKind): number {
  const isLong = kind !== TestKind.Brief;
  const rules = furtherRules(placing, work, isLong);
  if (!rules) return 0;
  const { aim, perHour, base, end } = rules;
  const lengths = lengthsOf(work.circuit, kind, placing.profile);
  let [cost, before] = [0, base];
  for (const test of work.tests) {
    // A long test shows what a function test shows.
    if (isLong && test.kind !== kind) continue;
    const night = firstNight(placing, test);
    cost += (night - before) ** 2;
    before = night;
    if (!test.more || test.kind !== kind) continue;
    const { start } = work.taken.get(test.places[0])!;
    cost += aim * aim * (1 + furtherPrice(kind, 0, hoursFrom(work.burden, start, lengths), perHour));
  }
  return hoursOfChain(cost + Math.max(0, end - before) ** 2, rules, placing);
}

/** The same of all kinds of a circuit's tests, once they are placed. */
export function furtherHours(placing: Placing, work: CircuitWork): number {
  return hoursOfKind(placing, work, work.longKind) + hoursOfKind(placing, work, TestKind.Brief);
}
