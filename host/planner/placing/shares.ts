// Which nights are a circuit's own. Connected circuits share one cycle; those of one colour get one night of
// it, neighbours a discharge and a recharge apart. Cycle and nights are chosen by what a year's tests would
// cost there.

import { Limit } from '../../../firmware/contract/limits';
import { WORTH } from './chain';
import type { Share, SharedNights } from './circuitWork';
import { groupsOf } from './colours';
import { bestDivisions } from './divide';
import { apart, cheapestResidues, isFree } from './residues';
import { areSharedApart, type SharedRoom } from './sharedNights';

/** Number of cycles tried from the shortest on: one of them is a whole number of weeks. */
const CYCLES_TRIED = 7;
/** Whole weeks tried as well, nights: where only one weekday suits, neighbours take it in turn. */
const WEEKS_TRIED = [14, 21];
/**
 * Penalty for each night beyond the shortest cycle, since it leaves fewer attempts to repeat a test, hours
 * per circuit.
 */
const LONGER_CYCLE = 0.005;
/** What shared nights must save for each circuit to be preferred to own ones, hours: estimates are rough. */
const DIVIDED = 0.1;
/** Most circuits of a site for which weeks are tried, and shared nights although own nights leave no test late. */
const WEIGHED_CIRCUITS = 60;

export interface SharesQuestion {
  near: Map<string, Set<string>>;
  colours: Map<string, number>;
  /** Nights from a circuit's own night to the first that may be a neighbour's. */
  spacing: number;
  /** Cost of a circuit's tests on a share's nights, hours; and on each residue of a cycle. */
  estimate(circuit: string, share: Share): number;
  estimates(circuit: string, cycle: number): Float64Array;
  /** Cost of a circuit's longer tests on a share's own nights, and of its function tests on shared nights, hours. */
  longHours(circuit: string, share: Share): number;
  sharedHours(circuit: string, shared: SharedNights): number;
  /** Equal for circuits for which all these are equal. */
  likeness(circuit: string): number;
  /** What nights offer to neighbours that share them. */
  room?: SharedRoom;
  /** Extra cost because of circuits that already have the share's nights. */
  crowd(share: Share): number;
  /** Tests are wanted on top of the rule's own: circuits alike then seek the nights on which nobody is there. */
  isMore?: boolean;
  /** Shares already in force, by circuit. */
  inForce?: ReadonlyMap<string, Share>;
  /** Called for each share that is assigned. */
  given(share: Share): void;
  /** Called with shares of a group that would be nearly as good, with other nights than those given. */
  other?(shares: Map<string, Share>): void;
}

/** What the circuits of each colour of a group cost together on each residue of a cycle. */
function costsOf(
  group: string[],
  { colours, of }: GroupColours,
  cycle: number,
  q: SharesQuestion,
): Float64Array[] {
  const costs = colours.map(() => new Float64Array(cycle));
  const crowd = new Float64Array(cycle);
  for (let residue = 0; residue < cycle; residue++) crowd[residue] = q.crowd({ cycle, residue });
  for (let i = 0; i < group.length; i++) {
    const own = costs[of[i]];
    const hours = q.estimates(group[i], cycle);
    for (let residue = 0; residue < cycle; residue++) own[residue] += hours[residue] + crowd[residue];
  }
  return costs;
}

/** The colours of a group in order, and by circuit of the group which of them is its own. */
interface GroupColours {
  colours: number[];
  of: number[];
}

function coloursIn(group: string[], q: SharesQuestion): GroupColours {
  const own = group.map((circuit) => q.colours.get(circuit)!);
  const colours = [...new Set(own)].sort((a, b) => a - b);
  return { colours, of: own.map((colour) => colours.indexOf(colour)) };
}

/** What no residues of the colours together cost less than, whatever sums of them are rounded to. */
function leastOf(costs: Float64Array[]): number {
  let sum = 0;
  for (const own of costs) {
    let least = Number.POSITIVE_INFINITY;
    for (let residue = 0; residue < own.length; residue++) least = Math.min(least, own[residue]);
    sum += least;
  }
  return sum * (1 - 1e-9);
}

/** Cycles worth trying for a group whose shortest is this, nights; in a large estate weeks cost more time than they save. */
function cyclesFrom(shortest: number, { near }: SharesQuestion): number[] {
  const cycles = Array.from({ length: CYCLES_TRIED }, (_, i) => shortest + i);
  const areWeeks = shortest > 1 && near.size <= WEIGHED_CIRCUITS;
  const weeks = WEEKS_TRIED.filter((cycle) => areWeeks && cycle >= shortest + CYCLES_TRIED);
  return [...cycles, ...weeks].filter((cycle) => cycle <= Limit.CycleNights);
}

function shareGroup(group: string[], q: SharesQuestion, out: Map<string, Share>): void {
  const coloured = coloursIn(group, q);
  const { colours } = coloured;
  // A circuit without neighbours has every night.
  const shortest = colours.length === 1 ? 1 : colours.length * q.spacing;
  let best = {
    cost: Number.POSITIVE_INFINITY,
    residues: colours.map((_, k) => k * q.spacing),
    cycle: shortest,
  };
  for (const cycle of cyclesFrom(shortest, q)) {
    const costs = costsOf(group, coloured, cycle, q);
    const longer = LONGER_CYCLE * (cycle - shortest) * group.length;
    if (leastOf(costs) + longer > best.cost) continue;
    const found = cheapestResidues(costs, cycle, q.spacing);
    const cost = found.cost + longer;
    if (cost < best.cost - 1e-9) best = { ...found, cost, cycle };
  }
  const whole = best.residues.map((residue): Share => ({ cycle: best.cycle, residue }));
  const [divided, ...others] = canShare(q, colours, best.cost) ? bestDivisions(group, colours, q) : [];
  const gain = q.isMore ? 0 : DIVIDED * group.length;
  const isDivided = divided !== undefined && divided.cost < best.cost - gain;
  const undivided = new Map(group.map((circuit, i) => [circuit, whole[coloured.of[i]]]));
  const given = isDivided ? divided.shares : undivided;
  if (q.isMore && !isDivided) seekEmpty(group, given, q);
  for (const [circuit, share] of given) {
    out.set(circuit, share);
    q.given(share);
  }
  if (divided) q.other?.(isDivided ? undivided : divided.shares);
  for (const { shares } of others) q.other?.(shares);
}

/** Whether it is worth the time to see if shared nights would be better than own ones at that cost, hours. */
function canShare({ near }: SharesQuestion, colours: number[], cost: number): boolean {
  if (colours.length < 2) return false;
  return cost >= WORTH.standsIn || (colours.length > 2 && near.size <= WEIGHED_CIRCUITS);
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
    if (!near) continue;
    if (near.cycle !== share.cycle || apart(near.residue, share.residue, share.cycle) < q.spacing)
      return false;
    if (!areSharedApart(near, share, q.spacing)) return false;
  }
  return true;
}

/** Hours of a circuit's tests on a share's nights. */
function costOn(circuit: string, share: Share, q: SharesQuestion): number {
  const { shared } = share;
  return shared ? q.longHours(circuit, share) + q.sharedHours(circuit, shared) : q.estimate(circuit, share);
}

/** How often all circuits of a group may look for other nights. */
const SEEKS = 3;

/**
 * Circuits of one colour whose areas are empty on other nights part: those alike move together to the own nights
 * that are best for them and clear of all their neighbours'.
 */
function seekEmpty(group: string[], shares: Map<string, Share>, q: SharesQuestion): void {
  const alike = new Map<string, string[]>();
  for (const circuit of group) {
    const key = `${q.colours.get(circuit)} ${q.likeness(circuit)}`;
    alike.set(key, [...(alike.get(key) ?? []), circuit]);
  }
  const costOf = (members: string[], share: Share) => members.length * costOn(members[0], share, q);
  for (let isMoving = true, seeks = 0; isMoving && seeks < SEEKS; seeks++) {
    isMoving = false;
    for (const members of alike.values()) {
      const own = shares.get(members[0])!;
      let best = { share: own, cost: costOf(members, own) - 1e-9 };
      for (let residue = 0; residue < own.cycle; residue++) {
        const share = { ...own, residue };
        const cost = costOf(members, share);
        if (cost < best.cost && members.every((circuit) => isClear(circuit, share, shares, q)))
          best = { share, cost };
      }
      if (best.share === own) continue;
      isMoving = true;
      for (const circuit of members) shares.set(circuit, best.share);
    }
  }
}

/** The turns on shared nights that a group knows; one of none where it shares no nights. */
function sharedTurns(shares: Share[]): (SharedNights | undefined)[] {
  const turns = new Map(shares.map(({ shared }) => [JSON.stringify(shared), shared]));
  return [...turns.values()];
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
  const turns = sharedTurns([...kept.values()]);
  const cost = (circuit: string, share: Share) => q.crowd(share) + costOn(circuit, share, q);
  for (const circuit of group) {
    if (kept.has(circuit)) continue;
    const free = Array.from({ length: cycle }, (_, residue) => residue)
      .flatMap((residue) => turns.map((shared): Share => ({ cycle, residue, ...(shared && { shared }) })))
      .filter((share) => isClear(circuit, share, kept, q))
      .map((share) => ({ share, cost: cost(circuit, share) }));
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
  const shortest = residues.length === 1 ? 1 : residues.length * spacing;
  for (let next = shortest; next < shortest + CYCLES_TRIED && next <= Limit.CycleNights; next++)
    for (let turn = 0; next !== cycle && turn < next; turn++)
      yield [next, order.map((place) => (turn + place * spacing) % next)];
}

/** Shares that differ from these for one group of connected circuits, and keep neighbours apart. */
export function* otherShares(
  shares: Map<string, Share>,
  { near, colours, spacing }: Pick<SharesQuestion, 'near' | 'colours' | 'spacing'>,
): Generator<Map<string, Share>> {
  for (const group of groupsOf(near)) {
    // Divided nights are not moved about: every turn of theirs depends on all others.
    if (shares.get(group[0])!.shared) continue;
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
