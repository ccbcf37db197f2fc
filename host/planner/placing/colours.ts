import type { Site } from '../../site/model';
import { alternatives } from '../../site/waysOut';

/**
 * For each circuit, the circuits that share an area with it, light an area adjacent to one of its own, or light
 * the alternative to a way out of its own.
 */
export function neighboursOf(site: Site): Map<string, Set<string>> {
  const inArea = new Map<string, number[]>(site.areas.map(({ id }) => [id, []]));
  site.circuits.forEach(({ areas }, i) => {
    for (const area of areas) inArea.get(area)?.push(i);
  });
  const adjacent = new Map(site.areas.map((area) => [area.id, [...area.adjacent]]));
  for (const [a, b] of alternatives(site)) {
    adjacent.get(a)!.push(b);
    adjacent.get(b)!.push(a);
  }
  const out = new Map<string, Set<string>>();
  site.circuits.forEach(({ id, areas }, own) => {
    const near = new Set<number>();
    const reach = new Set(areas.flatMap((area) => [area, ...(adjacent.get(area) ?? [])]));
    for (const area of reach) for (const other of inArea.get(area) ?? []) near.add(other);
    near.delete(own);
    out.set(id, new Set([...near].sort((a, b) => a - b).map((i) => site.circuits[i].id)));
  });
  return out;
}

const groupsKnown = new WeakMap<Map<string, Set<string>>, string[][]>();

/** Circuits connected as neighbours of neighbours, in the order of the site. */
export function groupsOf(near: Map<string, Set<string>>): string[][] {
  let groups = groupsKnown.get(near);
  if (!groups) {
    groups = findGroups(near);
    groupsKnown.set(near, groups);
  }
  return groups;
}

function findGroups(near: Map<string, Set<string>>): string[][] {
  const seen = new Set<string>();
  const groups: string[][] = [];
  const places = new Map([...near.keys()].map((id, i) => [id, i]));
  for (const start of near.keys()) {
    if (seen.has(start)) continue;
    seen.add(start);
    const group = [start];
    for (const id of group)
      for (const other of near.get(id)!)
        if (!seen.has(other)) {
          seen.add(other);
          group.push(other);
        }
    groups.push(group.sort((a, b) => places.get(a)! - places.get(b)!));
  }
  return groups;
}

/** A heap of numbers: `take` returns the smallest. */
class Heap {
  private readonly items: number[] = [];

  put(item: number): void {
    const { items } = this;
    let at = items.push(item) - 1;
    while (at > 0 && items[(at - 1) >> 1] > item) {
      items[at] = items[(at - 1) >> 1];
      at = (at - 1) >> 1;
    }
    items[at] = item;
  }

  take(): number | undefined {
    const { items } = this;
    const least = items[0];
    const last = items.pop();
    if (last === undefined || items.length === 0) return least;
    let at = 0;
    for (;;) {
      let child = 2 * at + 1;
      if (child + 1 < items.length && items[child + 1] < items[child]) child++;
      if (child >= items.length || items[child] >= last) break;
      items[at] = items[child];
      at = child;
    }
    items[at] = last;
    return least;
  }
}

/** Steps spent on one group to find out whether a colour less is enough. */
const STEPS_MAX = 20_000;

/**
 * Colours for a group with at most `most` of them, undefined if there are none or none were found in time: depth
 * first, always the circuit with the fewest colours left (Brélaz, Communications of the ACM 22(4), 1979).
 */
function fewer(
  group: string[],
  near: Map<string, Set<string>>,
  most: number,
): Map<string, number> | undefined {
  const colour = new Map<string, number>();
  let steps = 0;
  const taken = (id: string) =>
    new Set([...near.get(id)!].flatMap((other) => (colour.has(other) ? [colour.get(other)!] : [])));
  const next = () => {
    let best: { id: string; taken: Set<number> } | undefined;
    for (const id of group) {
      if (colour.has(id)) continue;
      const own = taken(id);
      const more = own.size - (best?.taken.size ?? -1);
      if (more > 0 || (more === 0 && near.get(id)!.size > near.get(best!.id)!.size))
        best = { id, taken: own };
    }
    return best;
  };
  const extend = (used: number): boolean => {
    const one = next();
    if (!one) return true;
    // One new colour is as good as another.
    for (let c = 0; c <= used && c < most; c++) {
      if (one.taken.has(c)) continue;
      if (++steps > STEPS_MAX) return false;
      colour.set(one.id, c);
      if (extend(Math.max(used, c + 1))) return true;
      colour.delete(one.id);
    }
    return false;
  };
  return extend(0) ? colour : undefined;
}

const coloursOf = (group: string[], colour: Map<string, number>) =>
  new Set(group.map((id) => colour.get(id)!)).size;

/** At least how many circuits of a group are all neighbours of each other: found greedily from each of them. */
function clique(group: string[], near: Map<string, Set<string>>): number {
  let most = 0;
  for (const start of group) {
    const members = [start];
    for (const other of near.get(start)!)
      if (members.every((one) => near.get(one)!.has(other))) members.push(other);
    most = Math.max(most, members.length);
  }
  return most;
}

/** Circuits of the largest group for which a colour less is looked for. */
const GROUP_MAX = 200;

/**
 * A colour 0, 1, 2 ... for each circuit, none shared by neighbours: as few in each connected group as can be
 * found, since each is a night more until a circuit's turn comes again.
 */
export function colourCircuits(near: Map<string, Set<string>>): Map<string, number> {
  const colour = colourEvenly(near);
  for (const group of groupsOf(near)) {
    if (group.length > GROUP_MAX) continue;
    const least = clique(group, near);
    for (let used = coloursOf(group, colour); used > least; used = coloursOf(group, colour)) {
      const found = fewer(group, near, used - 1);
      if (!found) break;
      for (const [id, c] of found) colour.set(id, c);
    }
  }
  return colour;
}

/**
 * Greedy: always the circuit with the fewest colours left, and the least used of the permitted colours. Site order
 * breaks ties.
 */
function colourEvenly(near: Map<string, Set<string>>): Map<string, number> {
  const ids = [...near.keys()];
  const places = new Map(ids.map((id, i) => [id, i]));
  const colour = new Map<string, number>();
  const used: number[] = [];
  /** Colours already taken by neighbours. */
  const taken = ids.map(() => new Set<number>());
  // The circuit's index, lowered as its rank rises: the smallest comes next. Outdated entries stay and are
  // skipped.
  const key = (i: number) => i - ids.length * (taken[i].size * 10_000 + near.get(ids[i])!.size);
  const waiting = new Heap();
  for (let i = 0; i < ids.length; i++) waiting.put(key(i));
  for (let item = waiting.take(); item !== undefined; item = waiting.take()) {
    const i = ((item % ids.length) + ids.length) % ids.length;
    if (colour.has(ids[i]) || item !== key(i)) continue;
    let chosen = used.length;
    used.forEach((count, c) => {
      if (!taken[i].has(c) && (chosen === used.length || count < used[chosen])) chosen = c;
    });
    used[chosen] = (used[chosen] ?? 0) + 1;
    colour.set(ids[i], chosen);
    for (const id of near.get(ids[i])!) {
      const other = places.get(id)!;
      if (colour.has(id) || taken[other].has(chosen)) continue;
      taken[other].add(chosen);
      waiting.put(key(other));
    }
  }
  return colour;
}
