// How a group of connected circuits divides its nights between function tests on shared nights and longer tests
// on own ones: the cheapest division, turn by turn and colour by colour.
import { modulo } from '../nights/nights';
import { WORTH } from './chain';
import type { Share, SharedNights } from './circuitWork';
import { residuesAmong } from './residues';
import { type Division, divisions, longCycles } from './sharedNights';
import type { SharesQuestion } from './shares';

/** Penalty for each period in which a circuit has no own night, hours: its longer test cannot be repeated soon. */
const LONGER_CYCLE = 0.002;

interface Divided {
  cost: number;
  /** By colour. */
  shares: Share[];
}

/** Circuits of one colour, those alike counted together. */
type Alike = { circuit: string; count: number }[];

function alikeIn(circuits: string[], q: SharesQuestion): Alike {
  const alike = new Map<number, Alike[number]>();
  for (const circuit of circuits) {
    const known = alike.get(q.likeness(circuit));
    if (known) known.count++;
    else alike.set(q.likeness(circuit), { circuit, count: 1 });
  }
  return [...alike.values()];
}

const costOf = (alike: Alike, cost: (circuit: string) => number) =>
  alike.reduce((sum, { circuit, count }) => sum + count * cost(circuit), 0);

const membersOf = (alike: Alike) => costOf(alike, () => 1);

/** Turns on the shared nights of a division for each colour. */
function turnsFor(colours: Alike[], { turns, period, perTurn }: Division, q: SharesQuestion) {
  const { everyDays } = q.room!;
  const costs = colours.map((alike) => {
    const members = membersOf(alike);
    const tooMany = Math.max(0, members * Math.min(1, period / everyDays) - perTurn);
    return Float64Array.from(
      turns,
      (shared) =>
        costOf(alike, (circuit) => q.sharedHours(circuit, shared)) +
        members * q.crowd({ cycle: 1, residue: 0, shared }) +
        tooMany * WORTH.lateDay,
    );
  });
  return residuesAmong(costs, turns.length, 1, [...turns.keys()]);
}

/**
 * Own nights for each colour's longer tests in a cycle of whole periods.
 * @param turns the turn of each colour on the shared nights
 */
function ownFor(colours: Alike[], turns: number[], cycle: number, division: Division, q: SharesQuestion) {
  const { period, longs, inTurn } = division;
  const costs = colours.map((alike, k) => {
    const own = new Float64Array(cycle).fill(Number.POSITIVE_INFINITY);
    const shared = division.turns[turns[k]].residue;
    for (const night of longs)
      for (let residue = night; residue < cycle; residue += period) {
        // The longer test needs a day of supply after the function test before it.
        const isTooSoon = modulo(residue - shared, period) < q.spacing;
        own[residue] =
          costOf(alike, (circuit) => q.longHours(circuit, { cycle, residue })) +
          (isTooSoon ? WORTH.lateDay : 0);
      }
    return own;
  });
  const sure = colours.map((_, k) => inTurn[k % inTurn.length] + Math.floor(k / inTurn.length) * period);
  const found = residuesAmong(costs, cycle, q.spacing, sure);
  const members = colours.reduce((sum, alike) => sum + membersOf(alike), 0);
  return { ...found, cycle, cost: found.cost + LONGER_CYCLE * members * (cycle / period - 1) };
}

/** The cheapest division for the circuits of a group; undefined where no nights can be shared. */
export function bestDivision(group: string[], colours: number[], q: SharesQuestion): Divided | undefined {
  if (!q.room) return undefined;
  const members = colours.map((colour) =>
    alikeIn(
      group.filter((circuit) => q.colours.get(circuit) === colour),
      q,
    ),
  );
  let best: Divided | undefined;
  for (const division of divisions(colours.length, q.spacing, q.room)) {
    const turns = turnsFor(members, division, q);
    if (best && turns.cost >= best.cost) continue;
    for (const cycle of longCycles(colours.length, division)) {
      const own = ownFor(members, turns.residues, cycle, division, q);
      const cost = turns.cost + own.cost;
      if (best && cost >= best.cost - 1e-9) continue;
      const shares = members.map((_, k): Share => {
        const shared: SharedNights = division.turns[turns.residues[k]];
        return { cycle, residue: own.residues[k], shared };
      });
      best = { cost, shares };
    }
  }
  return best;
}
