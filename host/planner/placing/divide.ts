// How a group of connected circuits divides its nights between function tests on shared nights and longer tests
// on own ones: the cheapest division, turn by turn and colour by colour.
import { modulo } from '../nights/nights';
import { WORTH } from './chain';
import type { Share, SharedNights } from './circuitWork';
import { type Near, residuesAmong } from './residues';
import { type Division, divisions, longCycles } from './sharedNights';
import type { SharesQuestion } from './shares';

/** Penalty for each period in which a circuit has no own night, hours: its longer test cannot be repeated soon. */
const LONGER_CYCLE = 0.002;

interface Divided {
  cost: number;
  /** By circuit. */
  shares: Map<string, Share>;
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

/** Circuits that take their longer tests on the same nights, by the number of their colour. */
interface Part {
  alike: Alike;
  colour: number;
  circuits: string[];
}

/** The colours; where tests are wanted on top of the rule's, circuits that are alike seek own nights by themselves. */
function partsOf(members: string[][], q: SharesQuestion): Part[] {
  return members.flatMap((circuits, colour) => {
    const kinds = new Map<number, string[]>();
    for (const circuit of circuits) {
      const key = q.isMore ? q.likeness(circuit) : 0;
      kinds.set(key, [...(kinds.get(key) ?? []), circuit]);
    }
    return [...kinds.values()].map((own) => ({ alike: alikeIn(own, q), colour, circuits: own }));
  });
}

/** Which parts have neighbours in each other; all, where each is a whole colour. */
function nearOf(parts: Part[], colours: number, q: SharesQuestion): Near | undefined {
  if (parts.length === colours) return undefined;
  const near = parts.map(({ circuits }) => {
    const others = new Set(circuits.flatMap((circuit) => [...q.near.get(circuit)!]));
    return parts.map((part) => part.circuits.some((circuit) => others.has(circuit)));
  });
  return (a, b) => near[a][b];
}

/**
 * Own nights for each part's longer tests in a cycle of whole periods.
 * @param turns the turn of each colour on the shared nights
 */
function ownFor(
  { parts, near }: { parts: Part[]; near: Near | undefined },
  turns: number[],
  cycle: number,
  division: Division,
  q: SharesQuestion,
) {
  const { period, longs, inTurn } = division;
  const costs = parts.map(({ alike, colour }) => {
    const own = new Float64Array(cycle).fill(Number.POSITIVE_INFINITY);
    const shared = division.turns[turns[colour]].residue;
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
  const sure = parts.map(
    ({ colour: k }) => inTurn[k % inTurn.length] + Math.floor(k / inTurn.length) * period,
  );
  const found = residuesAmong(costs, cycle, q.spacing, sure, near);
  const members = parts.reduce((sum, { alike }) => sum + membersOf(alike), 0);
  return { ...found, cycle, cost: found.cost + LONGER_CYCLE * members * (cycle / period - 1) };
}

/** The cheapest division for the circuits of a group; undefined where no nights can be shared. */
export function bestDivision(group: string[], colours: number[], q: SharesQuestion): Divided | undefined {
  if (!q.room) return undefined;
  const circuits = colours.map((colour) => group.filter((circuit) => q.colours.get(circuit) === colour));
  const members = circuits.map((own) => alikeIn(own, q));
  const parts = partsOf(circuits, q);
  const seeking = { parts, near: nearOf(parts, colours.length, q) };
  let best: Divided | undefined;
  for (const division of divisions(colours.length, q.spacing, q.room)) {
    const turns = turnsFor(members, division, q);
    if (best && turns.cost >= best.cost) continue;
    for (const cycle of longCycles(colours.length, division, q.isMore)) {
      const own = ownFor(seeking, turns.residues, cycle, division, q);
      const cost = turns.cost + own.cost;
      if (best && cost >= best.cost - 1e-9) continue;
      const shares = parts.flatMap((part, k) => {
        const shared: SharedNights = division.turns[turns.residues[part.colour]];
        return part.circuits.map(
          (circuit) => [circuit, { cycle, residue: own.residues[k], shared }] as const,
        );
      });
      best = { cost, shares: new Map(shares) };
    }
  }
  return best;
}
