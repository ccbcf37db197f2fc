// Ways out: areas through which other areas are left, such as stairs. Marked in the site file, or found: of two
// areas that lead from one floor to another, the stair is the one that leads to more floors.
import type { Area, OpeningHours, Site } from './model';

interface Reach {
  area: Area;
  place: number;
  /** Floors of the areas it leads into. */
  floors: number;
}

/** Whether `a` is more of a stair than `b`: it leads to more floors, or to fewer areas, or comes first in the site file. */
function isMoreOfAStair(a: Reach, b: Reach): boolean {
  if (a.floors !== b.floors) return a.floors > b.floors;
  const [few, many] = [a.area.adjacent.length, b.area.adjacent.length];
  return few === many ? a.place < b.place : few < many;
}

/** Ids of the ways out. */
function markedOrFound(areas: Area[]): Set<string> {
  const floorOf = new Map(areas.map(({ id, floor }) => [id, floor]));
  const reaches = new Map(
    areas.map((area, place): [string, Reach] => {
      const floors = new Set(area.adjacent.map((id) => floorOf.get(id))).size;
      return [area.id, { area, place, floors }];
    }),
  );
  const isFound = (own: Reach): boolean => {
    const others = own.area.adjacent.map((id) => reaches.get(id)!);
    const elsewhere = others.filter(({ area }) => area.floor !== own.area.floor);
    return elsewhere.length > 0 && elsewhere.every((other) => isMoreOfAStair(own, other));
  };
  const ways = [...reaches.values()].filter((own) => own.area.wayOut ?? isFound(own));
  return new Set(ways.map(({ area }) => area.id));
}

type Areas = Pick<Site, 'areas'>;

const known = new WeakMap<Area[], Map<string, string[]>>();

/**
 * By area that is no way out itself, the ways out that can be reached from it without going through another,
 * in site file order.
 */
export function waysOut({ areas }: Areas): Map<string, string[]> {
  const before = known.get(areas);
  if (before) return before;
  const byId = new Map(areas.map((area) => [area.id, area]));
  const places = new Map(areas.map(({ id }, place) => [id, place]));
  const ways = markedOrFound(areas);
  const out = new Map<string, string[]>();
  for (const { id } of areas) {
    if (ways.has(id) || out.has(id)) continue;
    // Areas joined without a way out between them are left by the same ways.
    const joined = new Set([id]);
    const found = new Set<string>();
    for (const one of joined)
      for (const next of byId.get(one)!.adjacent)
        if (ways.has(next)) found.add(next);
        else joined.add(next);
    const ordered = [...found].sort((a, b) => places.get(a)! - places.get(b)!);
    for (const one of joined) out.set(one, ordered);
  }
  known.set(areas, out);
  return out;
}

/**
 * Pairs of ways out that must never be unready together, so that every area with more than one keeps one: of
 * several, the first two.
 */
export function alternatives(site: Areas): [string, string][] {
  const pairs = new Map<string, [string, string]>();
  for (const ways of waysOut(site).values())
    if (ways.length > 1) pairs.set(`${ways[0]} ${ways[1]}`, [ways[0], ways[1]]);
  return [...pairs.values()];
}

/** When an area counts as occupied: a way out also while people are in any area that is left through it. */
export function useOf(area: Area, site: Areas): { always: boolean; occupied: OpeningHours[] } {
  const ways = waysOut(site);
  if (ways.has(area.id)) return { always: area.always, occupied: area.occupied };
  const served = site.areas.filter(({ id }) => ways.get(id)?.includes(area.id));
  const hours = new Map(
    [area, ...served].flatMap((one) => one.occupied.map((open) => [JSON.stringify(open), open])),
  );
  return { always: [area, ...served].some(({ always }) => always), occupied: [...hours.values()] };
}
