// Small sites are placed repeatedly on other own nights: what a circuit's tests would cost if it had its
// nights to itself does not show what they cost beside all the others.
import { TestKind } from '../../../firmware/contract/codes';
import { WORTH } from './chain';
import type { CircuitWork, PlacedTest, Placing, Share } from './circuitWork';
import { otherShares } from './shares';
import type { Turns } from './startWorks';

/** One complete placing. */
export interface Placed {
  placing: Placing;
  works: CircuitWork[];
  measured: {
    /** Exposure of the tests that the rule asks for, and what it costs that those on top of them are no more. */
    ruleHours: number;
    furtherHours: number;
    lowerBoundHours: number;
  };
}

/** Total number of circuits tried on other nights, and most tries for a small site. */
export const TRIED_CIRCUITS = 400;
const TRIES = 120;
/** Share by which a plan may exceed its lower bound, and by which one plan must beat another. */
const NEAR = { share: 0.02, hours: 0.05 };

/** Nights by which the tests of a placing are late, all together. */
export function lateNights({ placing }: Placed): number {
  return placing.shortfalls.reduce((sum, late) => sum + late.lateNights, 0);
}

/** Whether no plan could be much better. */
export function isNearBound({ measured }: Placed): boolean {
  return measured.ruleHours <= enoughOf(measured);
}

function enoughOf({ lowerBoundHours }: Placed['measured']): number {
  return lowerBoundHours * (1 + NEAR.share) + NEAR.hours;
}

/** Function tests that could not be repeated in time. */
function withoutChance({ works }: Placed): number {
  const alone = ({ kind, places }: PlacedTest) => kind === TestKind.Brief && places.length === 1;
  return works.reduce((sum, { tests }) => sum + tests.filter(alone).length, 0);
}

/** Whether a placing saves more exposure than the second chances are worth that it has less than another. */
export function isWorthItsChances(one: Placed, than: Placed): boolean {
  const fewer = Math.max(0, withoutChance(one) - withoutChance(than));
  const saved = than.measured.ruleHours - one.measured.ruleHours;
  return lateNights(one) <= lateNights(than) && saved > NEAR.hours + WORTH.noRetry * fewer;
}

/** What tests on top of the rule's own may add to the exposure of those, as a share and hours. */
const ADDED = { share: 0.05, hours: 0.5 };

/** Whether the exposure of the tests that the rule asks for is more than tests on top of them may make of so much. */
export function isMuchMore({ measured }: Placed, hours: number): boolean {
  return measured.ruleHours > hours * (1 + ADDED.share) + ADDED.hours;
}

function isBetter(one: Placed, than: Placed): boolean {
  const late = lateNights(one) - lateNights(than);
  if (late !== 0) return late < 0;
  const { ruleHours, furtherHours, lowerBoundHours } = one.measured;
  if (ruleHours > than.measured.ruleHours && isMuchMore(one, lowerBoundHours)) return false;
  return ruleHours + furtherHours < than.measured.ruleHours + than.measured.furtherHours - NEAR.hours;
}

/**
 * The best plan found by changing the own nights of one group of circuits after another, as long as that
 * makes the plan better, with a number of tries that does not grow with the site.
 * @param place places everything on these own nights
 */
export function improved<T extends Placed>(
  first: T,
  place: (shares: Map<string, Share>) => T,
  turns: Pick<Turns, 'near' | 'colours' | 'spacing' | 'others'>,
): T {
  if (first.works.length > TRIED_CIRCUITS) return first;
  let best = first;
  const most = Math.min(TRIES, Math.floor(TRIED_CIRCUITS / Math.max(1, first.works.length)));
  let tries = most;
  // The bound is that of any own nights.
  const enough = enoughOf(first.measured);
  const isEnough = () => best.measured.ruleHours <= enough && best.placing.shortfalls.length === 0;
  const sharesOf = ({ works }: T) => new Map(works.map((work) => [work.circuit.id, work.share]));
  const isTaken = (shares: Map<string, Share>) => {
    const placed = place(shares);
    if (!isBetter(placed, best)) return false;
    best = placed;
    return true;
  };
  for (let isMoving = true; isMoving; ) {
    isMoving = false;
    for (const other of otherShares(sharesOf(best), turns)) {
      if (isEnough() || tries-- <= 0) break;
      if (!isTaken(other)) continue;
      isMoving = true;
      break;
    }
  }
  // The bound knows nothing of tests on top of the rule's own.
  const isMore = first.works.some(({ tests }) => tests.some(({ more }) => more));
  const others = turns.others ?? [];
  for (const own of isMore ? others.slice(0, most) : others)
    if (isMore || !isEnough()) isTaken(new Map([...sharesOf(best), ...own]));
  return best;
}
