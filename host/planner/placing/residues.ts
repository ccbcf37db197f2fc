// Gives each colour of a group a residue of the cycle, neighbours apart, as cheaply as can be found.

/** Rotations of an even order that are improved further. */
const TURNS_IMPROVED = 3;
/** Number of colours up to which every order is tried. */
const ORDERED_COLOURS = 4;
/** Number of colours up to which an assignment is improved by exchanges. */
const IMPROVED_COLOURS = 24;

/** A residue by colour, and what they cost together. */
export interface Residues {
  cost: number;
  residues: number[];
}

/** Whether two colours must keep apart, by number. */
export type Near = (a: number, b: number) => boolean;

const ALL: Near = () => true;

/** Nights between two residues, the shorter way round the cycle. */
export function apart(a: number, b: number, cycle: number): number {
  const gap = Math.abs(a - b);
  return Math.min(gap, cycle - gap);
}

/** Tries all ways to assign residues to the colours and returns the cheapest: depth first with a bound. */
function bestOrder(costs: Float64Array[], cycle: number, spacing: number): Residues {
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
export function isFree(
  residues: number[],
  own: number,
  residue: number,
  cycle: number,
  spacing: number,
  near = ALL,
): boolean {
  for (let k = 0; k < residues.length; k++)
    if (k !== own && near(own, k) && apart(residues[k], residue, cycle) < spacing) return false;
  return true;
}

/** Whether two colours may exchange their residues; where all keep apart from all, they always may. */
function mayExchange(residues: number[], a: number, b: number, cycle: number, spacing: number, near: Near) {
  if (near === ALL) return true;
  const after = residues.with(a, residues[b]).with(b, residues[a]);
  return [a, b].every((k) => isFree(after, k, after[k], cycle, spacing, near));
}

/** Where all keep apart from all, by residue how many colours are too near to it. */
class Busy {
  private readonly count: Int32Array;

  constructor(
    residues: number[],
    private readonly cycle: number,
    private readonly spacing: number,
  ) {
    this.count = new Int32Array(cycle);
    for (const residue of residues) this.mark(residue, 1);
  }

  /** Whether the colour that has one residue may move to another. */
  isFree(from: number, to: number): boolean {
    return this.count[to] === (apart(from, to, this.cycle) < this.spacing ? 1 : 0);
  }

  move(from: number, to: number): void {
    this.mark(from, -1);
    this.mark(to, 1);
  }

  private mark(residue: number, by: number): void {
    for (let other = 0; other < this.cycle; other++)
      if (apart(residue, other, this.cycle) < this.spacing) this.count[other] += by;
  }
}

/** Exchanges and moves colours as long as that lowers the cost. */
function improve(
  residues: number[],
  costs: Float64Array[],
  cycle: number,
  spacing: number,
  near = ALL,
): void {
  // An exchange leaves the same residues taken.
  const busy = near === ALL ? new Busy(residues, cycle, spacing) : undefined;
  const mayMove = (a: number, residue: number) =>
    busy ? busy.isFree(residues[a], residue) : isFree(residues, a, residue, cycle, spacing, near);
  for (let isBetter = true; isBetter; ) {
    isBetter = false;
    for (let a = 0; a < costs.length; a++) {
      for (let b = 0; b < a; b++) {
        const now = costs[a][residues[a]] + costs[b][residues[b]];
        if (costs[a][residues[b]] + costs[b][residues[a]] >= now - 1e-9) continue;
        if (!mayExchange(residues, a, b, cycle, spacing, near)) continue;
        [residues[a], residues[b]] = [residues[b], residues[a]];
        isBetter = true;
      }
      for (let residue = 0; residue < cycle; residue++) {
        if (costs[a][residue] >= costs[a][residues[a]] - 1e-9 || !mayMove(a, residue)) continue;
        busy?.move(residues[a], residue);
        residues[a] = residue;
        isBetter = true;
      }
    }
  }
}

/** A good assignment where there are many colours: the best rotations of the even one, improved. */
function goodOrder(costs: Float64Array[], cycle: number, spacing: number): Residues {
  const priced = (residues: number[]) => ({
    residues,
    cost: residues.reduce((sum, residue, k) => sum + costs[k][residue], 0),
  });
  const turns = new Float64Array(cycle);
  for (let turn = 0; turn < cycle; turn++)
    for (let k = 0; k < costs.length; k++) turns[turn] += costs[k][(turn + k * spacing) % cycle];
  const improved = [...turns.keys()]
    .sort((a, b) => turns[a] - turns[b])
    .slice(0, TURNS_IMPROVED)
    .map((turn) => {
      const residues = costs.map((_costs, k) => (turn + k * spacing) % cycle);
      improve(residues, costs, cycle, spacing);
      return priced(residues);
    });
  return improved.reduce((best, one) => (one.cost < best.cost ? one : best));
}

/** The cheapest assignment, or a good one where there are many colours. */
export function cheapestResidues(costs: Float64Array[], cycle: number, spacing: number): Residues {
  return costs.length <= ORDERED_COLOURS
    ? bestOrder(costs, cycle, spacing)
    : goodOrder(costs, cycle, spacing);
}

/** Takes the cheapest residue that is free for one colour after another; undefined where none is left. */
function cheapestFirst(
  costs: Float64Array[],
  cycle: number,
  spacing: number,
  near: Near,
  order = [...costs.keys()],
): number[] | undefined {
  const residues: number[] = costs.map(() => Number.NaN);
  for (const k of order) {
    let best = -1;
    for (let residue = 0; residue < cycle; residue++) {
      if (costs[k][residue] === Number.POSITIVE_INFINITY) continue;
      if (best >= 0 && costs[k][residue] >= costs[k][best]) continue;
      if (isFree(residues, k, residue, cycle, spacing, near)) best = residue;
    }
    if (best < 0) return undefined;
    residues[k] = best;
  }
  return residues;
}

/** Every rotation of an order. */
function rotations(order: number[]): number[][] {
  return order.map((_, k) => [...order.slice(k), ...order.slice(0, k)]);
}

/**
 * A good assignment where some residues are barred, at infinite cost.
 * @param sure residues that are free for certain
 * @param near which must keep apart; all unless given
 * @param isThorough colours choose in many orders, not only as they come: takes some thirty times as long
 */
export function residuesAmong(
  costs: Float64Array[],
  cycle: number,
  spacing: number,
  sure: number[],
  near = ALL,
  isThorough = false,
): Residues {
  const starts = [costs.map((_, k) => sure[k])];
  const orders = isThorough ? ordersOf(costs) : [[...costs.keys()]];
  for (const order of orders) {
    const cheap = cheapestFirst(costs, cycle, spacing, near, order);
    if (cheap) starts.push(cheap);
  }
  const made = starts.map((residues) => {
    if (costs.length <= IMPROVED_COLOURS) improve(residues, costs, cycle, spacing, near);
    return { residues, cost: residues.reduce((sum, residue, k) => sum + costs[k][residue], 0) };
  });
  return made.reduce((best, one) => (one.cost < best.cost ? one : best));
}

/** Orders worth trying: those with most to lose first, then as they come, each from any place on. */
function ordersOf(costs: Float64Array[]): number[][] {
  const asTheyCome = [...costs.keys()];
  const spread = costs.map((own) => {
    const finite = own.filter(Number.isFinite).sort();
    return finite.reduce((sum, cost) => sum + cost - finite[0], 0) / Math.max(1, finite.length);
  });
  const bySpread = [...asTheyCome].sort((a, b) => spread[b] - spread[a]);
  return [...rotations(bySpread), ...rotations(asTheyCome), ...rotations([...bySpread].reverse())];
}
