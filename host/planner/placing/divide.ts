// How a group of connected circuits divides its nights between function tests on shared nights and longer tests
// on own ones: the cheapest division, turn by turn and colour by colour.
import { modulo } from '../nights/nights';
import { WORTH } from './chain';
import type { Share, SharedNights } from './circuitWork';
import { type Near, type Residues, residuesAmong } from './residues';
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

/** By colour, what its function tests cost on each turn of a division. */
function turnCosts(
  colours: Alike[],
  { turns, period, perTurn }: Division,
  q: SharesQuestion,
): Float64Array[] {
  const { everyDays } = q.room!;
  return colours.map((alike) => {
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
  isThorough = false,
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
  const found = residuesAmong(costs, cycle, q.spacing, sure, near, isThorough && near !== undefined);
  const members = parts.reduce((sum, { alike }) => sum + membersOf(alike), 0);
  return { ...found, cycle, cost: found.cost + LONGER_CYCLE * members * (cycle / period - 1) };
}

/** One way to divide, with the number of each colour's turn and the residue of each part's own nights. */
interface Way {
  division: Division;
  /** By colour, the cost of each turn. */
  costs: Float64Array[];
  turns: number[];
  cycle: number;
  residues: number[];
  cost: number;
}

/** Most ways that are weighed, each of another period, where tests are wanted on top of the rule's own. */
const WAYS = 4;

/** The cheapest ways, of each period no more than one, in order. */
class Cheapest {
  private readonly ways: Way[] = [];

  constructor(private readonly most: number) {}

  /** Whether a way of that cost would be among them. */
  takes(cost: number, { period }: Division): boolean {
    const same = this.ways.find((way) => way.division.period === period);
    const other = same ?? this.ways[this.most - 1];
    return other === undefined || cost < other.cost - 1e-9;
  }

  add(way: Way): void {
    const same = this.ways.findIndex(({ division }) => division.period === way.division.period);
    if (same >= 0) this.ways.splice(same, 1);
    this.ways.push(way);
    this.ways.sort((a, b) => a.cost - b.cost);
    this.ways.splice(this.most);
  }

  all(): readonly Way[] {
    return this.ways;
  }
}

/**
 * Exchanges turns of colours as long as own nights become cheaper by more: a longer test may not follow a turn at once.
 * Then the own nights are sought thoroughly.
 */
function withBestTurns(way: Way, ownOn: (turns: number[], isThorough: boolean) => Residues): Way {
  let best = way;
  const { length } = way.division.turns;
  const priced = (turns: number[], isThorough: boolean): Way => {
    const { residues, cost } = ownOn(turns, isThorough);
    return { ...way, turns, residues, cost: cost + turns.reduce((sum, of, i) => sum + way.costs[i][of], 0) };
  };
  for (let isBetter = true; isBetter; ) {
    isBetter = false;
    for (let k = 0; k < way.turns.length; k++)
      for (let turn = 0; turn < length; turn++) {
        const turns = best.turns.map((old, i) => (i === k ? turn : old === turn ? best.turns[k] : old));
        const other = priced(turns, false);
        if (other.cost >= best.cost - 1e-9) continue;
        best = other;
        isBetter = true;
      }
  }
  const thorough = priced(best.turns, true);
  return thorough.cost < best.cost ? thorough : best;
}

/**
 * The cheapest divisions for the circuits of a group, the best first; none where no nights can be shared, and more than
 * one only where tests are wanted on top of the rule's own.
 */
export function bestDivisions(group: string[], colours: number[], q: SharesQuestion): Divided[] {
  if (!q.room) return [];
  const circuits = colours.map((colour) => group.filter((circuit) => q.colours.get(circuit) === colour));
  const members = circuits.map((own) => alikeIn(own, q));
  const parts = partsOf(circuits, q);
  const seeking = { parts, near: nearOf(parts, colours.length, q) };
  const cheapest = new Cheapest(q.isMore ? WAYS : 1);
  for (const division of divisions(colours.length, q.spacing, q.room)) {
    const costs = turnCosts(members, division, q);
    const turns = residuesAmong(costs, division.turns.length, 1, [...division.turns.keys()]);
    if (!cheapest.takes(turns.cost, division)) continue;
    for (const cycle of longCycles(colours.length, division, q.isMore)) {
      const own = ownFor(seeking, turns.residues, cycle, division, q);
      const cost = turns.cost + own.cost;
      if (cheapest.takes(cost, division))
        cheapest.add({ division, costs, turns: turns.residues, cycle, residues: own.residues, cost });
    }
  }
  const sharesOf = ({ division, turns, cycle, residues }: Way) =>
    parts.flatMap(({ colour, circuits: own }, k) => {
      const shared: SharedNights = division.turns[turns[colour]];
      return own.map((circuit) => [circuit, { cycle, residue: residues[k], shared }] as const);
    });
  return cheapest
    .all()
    .map((way) =>
      q.isMore
        ? withBestTurns(way, (turns, isThorough) =>
            ownFor(seeking, turns, way.cycle, way.division, q, isThorough),
          )
        : way,
    )
    .map((way) => ({ cost: way.cost, shares: new Map(sharesOf(way)) }))
    .sort((a, b) => a.cost - b.cost);
}
