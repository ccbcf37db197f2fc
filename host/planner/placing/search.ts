// Small sites are placed again and again on other own nights: what a circuit's tests would cost had it its nights for itself
// does not tell what they cost beside all others.
import type { CircuitWork, Placing, Share } from './circuitWork';
import { otherShares } from './shares';
import type { Turns } from './startWorks';

/** Everything placed once. */
export interface Placed {
  placing: Placing;
  works: CircuitWork[];
  measured: { exposureHours: number; lowerBoundHours: number };
}

/** Other nights are tried for so many circuits all in all, and for a small site at most so often. */
const TRIED_CIRCUITS = 400;
const TRIES = 120;
/** A plan is near enough to its lower bound, and one is better than another, by so much. */
const NEAR = { share: 0.02, hours: 0.05 };

function isBetter({ placing, measured }: Placed, than: Placed): boolean {
  const late = placing.shortfalls.length - than.placing.shortfalls.length;
  if (late !== 0) return late < 0;
  return measured.exposureHours < than.measured.exposureHours - NEAR.hours;
}

/**
 * The best that is found by changing the own nights of one group of circuits after the other, for as long as that makes a
 * plan better, within a number of tries that does not grow with the site.
 * @param place places everything on these own nights
 */
export function improved<T extends Placed>(
  first: T,
  place: (shares: Map<string, Share>) => T,
  turns: Pick<Turns, 'near' | 'colours' | 'spacing'>,
): T {
  let best = first;
  let tries = Math.min(TRIES, Math.floor(TRIED_CIRCUITS / Math.max(1, first.works.length)));
  // The bound is that of any own nights.
  const enough = first.measured.lowerBoundHours * (1 + NEAR.share) + NEAR.hours;
  for (let isMoving = true; isMoving; ) {
    isMoving = false;
    const shares = new Map(best.works.map((work) => [work.circuit.id, work.share]));
    for (const other of otherShares(shares, turns)) {
      if (best.measured.exposureHours <= enough || tries-- <= 0) return best;
      const placed = place(other);
      if (!isBetter(placed, best)) continue;
      best = placed;
      isMoving = true;
      break;
    }
  }
  return best;
}
