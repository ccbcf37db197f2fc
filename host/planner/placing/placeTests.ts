import { TestKind } from '../../../firmware/contract/codes';
import type { Chain } from './chain';
import type { CircuitWork, Placing } from './circuitWork';
import { placeFurtherBriefs, placeFurtherLongs } from './further';
import { chooseBriefs, placeBriefs, placeRetries } from './placeBriefs';
import { chooseLongs, placeLongs, tellLateLongs } from './placeFulls';
import { pricesNow } from './prices';

/** How often other nights are tried for long tests that leave no room for a function test. */
const LONG_TRIES = 3;

/** Indexes of long tests that would have to count as function tests. */
function standingIn(placing: Placing, work: CircuitWork, prices: Float64Array, longs: number[]): number[] {
  const briefs = work.tests.filter((test) => test.kind === TestKind.Brief);
  const tests = [...briefs, ...longs.map((place) => ({ kind: work.longKind, places: [place] }))];
  const chain = chooseBriefs(placing, { ...work, tests }, prices);
  return chain.places.map((i) => work.own[i]).filter((place) => longs.includes(place));
}

/**
 * The cheapest nights for a circuit's long tests that leave room for its function tests, where there are any.
 */
function longsWithRoom(placing: Placing, work: CircuitWork): Chain {
  const barred = new Set<number>();
  const prices = pricesNow(placing, work, work.longKind);
  const briefPrices = pricesNow(placing, work, TestKind.Brief);
  let chosen = chooseLongs(placing, work, prices, barred);
  let least = Number.POSITIVE_INFINITY;
  let chain = chosen;
  for (let tries = 0; tries < LONG_TRIES; tries++) {
    const places = chain.places.map((i) => work.own[i]);
    const stoodFor = standingIn(placing, work, briefPrices, places);
    if (stoodFor.length < least) [least, chosen] = [stoodFor.length, chain];
    if (least === 0 || stoodFor.every((place) => barred.has(place))) break;
    for (const place of stoodFor) barred.add(place);
    chain = chooseLongs(placing, work, prices, barred);
  }
  return chosen;
}

/**
 * Places all tests of all circuits: the long ones first, since they cost most, then retries. Those on top of the
 * rule's own take what is left.
 */
export function placeTests(placing: Placing, works: CircuitWork[]): void {
  for (const work of works) placeLongs(placing, work, longsWithRoom(placing, work));
  for (const work of works) placeBriefs(placing, work, chooseBriefs(placing, work));
  for (const work of works) tellLateLongs(placing, work);
  for (const work of works) placeFurtherLongs(placing, work);
  placeRetries(works, placing);
  for (const work of works) placeFurtherBriefs(placing, work);
}
