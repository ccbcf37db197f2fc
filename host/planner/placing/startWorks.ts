// Circuits before their tests are placed: what is known of them, and which nights are their own.
import { TestKind } from '../../../firmware/contract/codes';
import type { Site } from '../../site/model';
import { longKindOf } from '../../site/settings';
import type { Exposure } from '../cost/exposure';
import { nightAt } from '../nights/nights';
import type { Slot } from '../plan/plan';
import { Attempts } from './attempts';
import { type CircuitWork, lengthsOf, type Placing, type Share } from './circuitWork';
import { Estimates, type Unshared } from './estimates';
import type { SharedRoom } from './sharedNights';
import { shareNights } from './shares';

/** What is known of a circuit's tests before the plan begins. */
export interface CircuitHistory {
  /** UTC second of the last satisfied test of a kind. */
  lastBrief?: number;
  lastFull?: number;
  lastLimited?: number;
  /** First test number to assign, 1 by default. */
  nextTest?: number;
}

/** UTC second of the last test that shows as much as one of this kind, 0 none. */
export function passedOf(
  kind: TestKind,
  { lastBrief = 0, lastFull = 0, lastLimited = 0 }: CircuitHistory,
): number {
  return kind === TestKind.Brief ? lastBrief : Math.max(lastFull, lastLimited);
}

/** Slots of a circuit whose test has not been made: the further attempts of a completed test are not used. */
export function openSlots(slots: readonly Slot[], history: CircuitHistory): Slot[] {
  const firsts = new Map<number, number>();
  for (const { test, start } of slots) if (!firsts.has(test)) firsts.set(test, start);
  return slots.filter(({ test, kind }) => passedOf(kind, history) < firsts.get(test)!);
}

/** The circuits with what is known of their tests, before any night is assigned. */
export function startWorks(
  site: Site,
  exposure: Exposure,
  noon: number,
  history: Record<string, CircuitHistory> = {},
): Unshared[] {
  return site.circuits.map((circuit, index) => {
    const [longKind, burden] = [longKindOf(circuit), exposure.of(circuit.id)];
    const work: Unshared = {
      circuit,
      index,
      longKind,
      tests: [],
      taken: new Attempts(),
      notBefore: 0,
      burden,
    };
    const known = history[circuit.id];
    if (known?.lastBrief !== undefined) work.lastBrief = nightAt(known.lastBrief, noon);
    // A full test shows everything a limited one would; never the other way round.
    const limited = circuit.alwaysOccupied ? (known?.lastLimited ?? 0) : 0;
    const lastLong = Math.max(known?.lastFull ?? 0, limited);
    if (lastLong > 0) work.lastLong = nightAt(lastLong, noon);
    return work;
  });
}

/** What decides on own nights. */
export interface Turns {
  near: Map<string, Set<string>>;
  colours: Map<string, number>;
  /** Nights from a circuit's own night to the first that may be a neighbour's. */
  spacing: number;
  /** Shares in force, which stay where possible; or shares to be used unconditionally. */
  inForce?: Map<string, Share>;
  wanted?: Map<string, Share>;
  /** Takes for some groups the shares that seemed second best. */
  others?: Map<string, Share>[];
  /** What nights offer to neighbours that share them; missing where no two windows have hours in common. */
  room?: SharedRoom;
}

/** Assigns each circuit its own nights. */
export function giveNights(site: Site, unshared: Unshared[], placing: Placing, turns: Turns): CircuitWork[] {
  const byId = new Map(unshared.map((work) => [work.circuit.id, work]));
  const needs = unshared.map((work) => lengthsOf(work.circuit, TestKind.Brief, placing.profile).needSec);
  const caps = { atOnce: site.openingsAtOnce, staggerSec: site.staggerSec };
  const estimates = new Estimates(
    placing,
    caps,
    needs.reduce((a, b) => Math.max(a, b), 0),
  );
  const shares =
    turns.wanted ??
    shareNights({
      ...turns,
      ...(placing.more && { isMore: true }),
      estimate: (circuit, share) => estimates.hours(byId.get(circuit)!, share),
      estimates: (circuit, cycle) => estimates.hoursOf(byId.get(circuit)!, cycle),
      longHours: (circuit, share) => estimates.longHours(byId.get(circuit)!, share),
      sharedHours: (circuit, shared) => estimates.sharedHours(byId.get(circuit)!, shared),
      likeness: (circuit) => estimates.likeness(byId.get(circuit)!),
      crowd: (share) => estimates.crowd(share),
      given: (share) => estimates.expect(share),
      other: (shares) => turns.others?.push(shares),
    });
  // With more than one cycle, any two circuits may meet on a night.
  const isOne = new Set([...shares.values()].map((share) => share.cycle)).size === 1;
  const group = (id: string) => (isOne ? shares.get(id)!.residue : 0);
  const ranks = new Map<number, number>();
  const works = unshared.map((work): CircuitWork => {
    const share = shares.get(work.circuit.id)!;
    const rank = ranks.get(group(work.circuit.id)) ?? 0;
    ranks.set(group(work.circuit.id), rank + 1);
    const { places, at, hoursAt } = estimates.nightsOf(share);
    // In place: of copies the first few would have shapes of their own, and reading all of them take longer.
    return Object.assign(work, { share, own: places, at, hoursAt, rank, ranks: 0 });
  });
  for (const work of works) work.ranks = ranks.get(group(work.circuit.id))!;
  return works;
}
