// Which nights are a circuit's own. Connected circuits share one cycle; those of one colour get one night of
// it, neighbours a discharge and a recharge apart. Cycle and nights are chosen by what a year's tests would
// cost there.

import type { Share } from './circuitWork';
import { groupsOf } from './colours';

/** The longest cycle a controller accepts, nights. */
export const CYCLE_MAX = 64;
/** Number of cycles tried from the shortest on: one of them is a whole number of weeks. */
const CYCLES_TRIED = 7;
/**
 * Penalty for each night beyond the shortest cycle, since it leaves fewer attempts to repeat a test, hours
 * per circuit.
 */
const LONGER_CYCLE = 0.005;
/** Rotations of an even order that are improved further. */
const TURNS_IMPROVED = 3;
/** Number of colours up to which every order is tried. */
const ORDERED_COLOURS = 4;

export interface SharesQuestion {
  near: Map<string, Set<string>>;
  colours: Map<string, number>;
  /** Nights from a circuit's own night to the first that may be a neighbour's. */
  spacing: number;
  /** Cost of a circuit's tests on a share's nights, hours. */
  estimate(circuit: string, share: Share): number;
  /** Extra cost because of circuits that already have the share's nights. */
  crowd(share: Share): number;
  /** Shares already in force, by circuit. */
  inForce?: ReadonlyMap<string, Share>;
  /** Called for each share that is assigned. */
  given(share: Share): void;
}

/** Nights between two residues, the shorter way round the cycle. */
function apart(a: number, b: number, cycle: number): number {
  const gap = Math.abs(a - b);
  return Math.min(gap, cycle - gap);
}

/** Tries all ways to assign residues to the colours and returns the cheapest: depth first with a bound. */
function bestOrder(
  costs: Float64Array[],
  cycle: number,
  spacing: number,
): { cost: number; residues: number[] } {
  const rest = costs.map((_, k) => costs.slice(k).reduce((sum, own) => sum + Math.min(...own), 0));
  let best = { cost: Number.POSITIVE_INFINITY, residues: [] as number[] };
  const residues: number[] = [];
  const extend = (cost: number): void => {
    const k = residues.length;
    if (k === costs.length) {
      if (cost < best.cost) best = { cost, residues: [...residues] };
      return;
    }
    if (cost + rest[k] >= best.cost) return;
    for (let residue = 0; residue < cycle; residue++) {
      if (residues.some((other) => apart(other, residue, cycle) < spacing)) continue;
      residues.push(residue);
      extend(cost + costs[k][residue]);
      residues.pop();
    }
  };
  extend(0);
  return best;
}

/** Whether a colour may move to a residue without coming too close to another. */
function isFree(residues: number[], own: number, residue: number, cycle: number, spacing: number): boolean {
  for (let k = 0; k < residues.length; k++)
    if (k !== own && apart(residues[k], residue, cycle) < spacing) return false;
  return true;
}

/** Exchanges and moves colours as long as that lowers the cost. */
function improve(residues: number[], costs: Float64Array[], cycle: number, spacing: number): void {
  for (let isBetter = true; isBetter; ) {
    isBetter = false;
    for (let a = 0; a < costs.length; a++) {
      for (let b = 0; b < a; b++) {
        const now = costs[a][residues[a]] + costs[b][residues[b]];
        if (costs[a][residues[b]] + costs[b][residues[a]] >= now - 1e-9) continue;
        [residues[a], residues[b]] = [residues[b], residues[a]];
        isBetter = true;
      }
      for (let residue = 0; residue < cycle; residue++) {
        if (
          costs[a][residue] >= costs[a][residues[a]] - 1e-9 ||
          !isFree(residues, a, residue, cycle, spacing)
        )
          continue;
        residues[a] = residue;
        isBetter = true;
      }
    }
  }
}

/** A good assignment where there are many colours: the best rotations of the even one, improved. */
function goodOrder(
  costs: Float64Array[],
  cycle: number,
  spacing: number,
): { cost: number; residues: number[] } {
  const priced = (residues: number[]) => ({
    residues,
    cost: residues.reduce((sum, residue, k) => sum + costs[k][residue], 0),
  });
  const turns = Array.from({ length: cycle }, (_, turn) =>
    priced(costs.map((_costs, k) => (turn + k * spacing) % cycle)),
  );
  const improved = turns
    .sort((a, b) => a.cost - b.cost)
    .slice(0, TURNS_IMPROVED)
    .map(({ residues }) => {
      improve(residues, costs, cycle, spacing);
      return priced(residues);
    });
  return improved.reduce((best, one) => (one.cost < best.cost ? one : best));
}

/** What the circuits of each colour of a group cost together on each residue of a cycle. */
function costsOf(group: string[], colours: number[], cycle: number, q: SharesQuestion): Float64Array[] {
  const costs = colours.map(() => new Float64Array(cycle));
  for (let residue = 0; residue < cycle; residue++) {
    const crowd = q.crowd({ cycle, residue });
    for (const circuit of group) {
      const colour = colours.indexOf(q.colours.get(circuit)!);
      costs[colour][residue] += q.estimate(circuit, { cycle, residue }) + crowd;
    }
  }
  return costs;
}

function shareGroup(group: string[], q: SharesQuestion, out: Map<string, Share>): void {
  const colours = [...new Set(group.map((circuit) => q.colours.get(circuit)!))].sort((a, b) => a - b);
  const shortest = colours.length * q.spacing;
  const order = colours.length <= ORDERED_COLOURS ? bestOrder : goodOrder;
  let best = {
    cost: Number.POSITIVE_INFINITY,
    residues: colours.map((_, k) => k * q.spacing),
    cycle: shortest,
  };
  for (let cycle = shortest; cycle < shortest + CYCLES_TRIED && cycle <= CYCLE_MAX; cycle++) {
    const found = order(costsOf(group, colours, cycle, q), cycle, q.spacing);
    const cost = found.cost + LONGER_CYCLE * (cycle - shortest) * group.length;
    if (cost < best.cost - 1e-9) best = { ...found, cost, cycle };
  }
  for (const circuit of group) {
    const residue = best.residues[colours.indexOf(q.colours.get(circuit)!)];
    out.set(circuit, { cycle: best.cycle, residue });
    q.given({ cycle: best.cycle, residue });
  }
}

/** Whether a circuit on a share stays clear of those of its neighbours that have one. */
function isClear(
  circuit: string,
  share: Share,
  shares: ReadonlyMap<string, Share>,
  q: SharesQuestion,
): boolean {
  for (const other of q.near.get(circuit)!) {
    const near = shares.get(other);
    if (near && (near.cycle !== share.cycle || apart(near.residue, share.residue, share.cycle) < q.spacing))
      return false;
  }
  return true;
}

/**
 * The shares in force, plus the cheapest ones clear of them for circuits that have none; undefined where that
 * is impossible. A controller that has not received a new plan keeps its old nights, so its neighbours must
 * as well.
 */
function keepGroup(group: string[], q: SharesQuestion): Map<string, Share> | undefined {
  const kept = new Map(
    group.flatMap((circuit) => {
      const share = q.inForce?.get(circuit);
      return share ? [[circuit, share] as const] : [];
    }),
  );
  if (kept.size === 0) return undefined;
  for (const [circuit, share] of kept) if (!isClear(circuit, share, kept, q)) return undefined;
  const { cycle } = kept.values().next().value!;
  for (const circuit of group) {
    if (kept.has(circuit)) continue;
    const free = Array.from({ length: cycle }, (_, residue): Share => ({ cycle, residue }))
      .filter((share) => isClear(circuit, share, kept, q))
      .map((share) => ({ share, cost: q.estimate(circuit, share) + q.crowd(share) }));
    if (free.length === 0) return undefined;
    kept.set(circuit, free.reduce((best, one) => (one.cost < best.cost ? one : best)).share);
  }
  return kept;
}

/**
 * Other nights for the colours of a group: one of them moved, two exchanged, or all rotated on another cycle.
 */
function* otherTurns(residues: number[], cycle: number, spacing: number): Generator<[number, number[]]> {
  const changed = (k: number, residue: number) => residues.map((old, i) => (i === k ? residue : old));
  for (let k = 0; k < residues.length; k++) {
    for (let residue = 0; residue < cycle; residue++)
      if (residue !== residues[k] && isFree(residues, k, residue, cycle, spacing))
        yield [cycle, changed(k, residue)];
    for (let other = 0; other < k; other++)
      yield [cycle, residues.map((old, i) => (i === k ? residues[other] : i === other ? residues[k] : old))];
  }
  const order = residues.map((residue) => residues.filter((other) => other < residue).length);
  const shortest = residues.length * spacing;
  for (let next = shortest; next < shortest + CYCLES_TRIED && next <= CYCLE_MAX; next++)
    for (let turn = 0; next !== cycle && turn < next; turn++)
      yield [next, order.map((place) => (turn + place * spacing) % next)];
}

/** Shares that differ from these for one group of connected circuits, and keep neighbours apart. */
export function* otherShares(
  shares: Map<string, Share>,
  { near, colours, spacing }: Pick<SharesQuestion, 'near' | 'colours' | 'spacing'>,
): Generator<Map<string, Share>> {
  for (const group of groupsOf(near)) {
    const byColour = new Map(group.map((circuit) => [colours.get(circuit)!, shares.get(circuit)!]));
    const known = [...byColour.keys()];
    const { cycle } = shares.get(group[0])!;
    const residues = known.map((colour) => byColour.get(colour)!.residue);
    for (const [next, turned] of otherTurns(residues, cycle, spacing)) {
      const other = new Map(shares);
      for (const circuit of group)
        other.set(circuit, { cycle: next, residue: turned[known.indexOf(colours.get(circuit)!)] });
      yield other;
    }
  }
}

/** A share for each circuit: the one in force where there is one and the wiring still permits it. */
export function shareNights(q: SharesQuestion): Map<string, Share> {
  const out = new Map<string, Share>();
  for (const group of groupsOf(q.near)) {
    const kept = keepGroup(group, q);
    if (!kept) shareGroup(group, q, out);
    else
      for (const [circuit, share] of kept) {
        out.set(circuit, share);
        q.given(share);
      }
  }
  return out;
}
