import { TestKind } from '../../../firmware/contract/codes';
import type { Chain } from './chain';
import type { CircuitWork, Placing } from './circuitWork';
import { placeFurtherBriefs, placeFurtherLongs } from './further';
import { NightPrices } from './nightPrices';
import { chooseBriefs, placeBriefs, placeRetries } from './placeBriefs';
import { chooseLongs, placeLongs, tellLateLongs } from './placeFulls';
import { surelyLeavesRoom, surelyStandsIn } from './standIns';

/** How often other nights are tried for long tests that leave no room for a function test. */
const LONG_TRIES = 3;

/** Indexes of long tests of a chain that would have to count as function tests. */
class StandIns {
  private prices?: NightPrices;

  constructor(
    private readonly placing: Placing,
    private readonly work: CircuitWork,
  ) {}

  among({ places }: Chain): number[] {
    const { placing, work } = this;
    const longs = places.map((i) => work.own[i]);
    if (places.length === 1 && surelyStandsIn(placing, work, places[0])) return longs;
    if (surelyLeavesRoom(placing, work, longs)) return [];
    this.prices ??= new NightPrices(placing, work, TestKind.Brief);
    const chain = this.prices.cheapest((now) => chooseBriefs(placing, work, now, longs));
    return chain.places.map((i) => work.own[i]).filter((place) => longs.includes(place));
  }
}

/**
 * The cheapest nights for a circuit's long tests that leave room for its function tests, where there are any.
 */
function longsWithRoom(placing: Placing, work: CircuitWork, prices: NightPrices): Chain {
  const barred = new Set<number>();
  const cheapest = () => prices.cheapest((now) => chooseLongs(placing, work, now, barred));
  const standIns = new StandIns(placing, work);
  let chosen = cheapest();
  let least = Number.POSITIVE_INFINITY;
  let chain = chosen;
  for (let tries = 0; tries < LONG_TRIES; tries++) {
    const stoodFor = standIns.among(chain);
    if (stoodFor.length < least) [least, chosen] = [stoodFor.length, chain];
    if (least === 0 || stoodFor.every((place) => barred.has(place))) break;
    for (const place of stoodFor) barred.add(place);
    chain = cheapest();
  }
  return chosen;
}

/**
 * Places all tests of all circuits: the long ones first, since they cost most, then retries. Those on top of the
 * rule's own take what is left.
 */
export function placeTests(placing: Placing, works: CircuitWork[]): void {
  for (const work of works) {
    const prices = new NightPrices(placing, work, work.longKind);
    placeLongs(work, longsWithRoom(placing, work, prices), prices);
  }
  for (const work of works) placeBriefs(placing, work);
  for (const work of works) tellLateLongs(placing, work);
  for (const work of works) placeFurtherLongs(placing, work);
  placeRetries(works, placing);
  for (const work of works) placeFurtherBriefs(placing, work);
}
