import type { Site } from '../site/model';

/** For each circuit the circuits that share an area with it or stand in an area adjacent to one of its own. */
export function neighboursOf(site: Site): Map<string, Set<string>> {
  const adjacent = new Map(site.areas.map((area) => [area.id, area.adjacent]));
  const reach = new Map(
    site.circuits.map((circuit) => [
      circuit.id,
      new Set(circuit.areas.flatMap((area) => [area, ...(adjacent.get(area) ?? [])])),
    ]),
  );
  const inArea = new Map<string, string[]>();
  for (const { id, areas } of site.circuits)
    for (const area of areas) inArea.set(area, [...(inArea.get(area) ?? []), id]);
  const places = new Map(site.circuits.map(({ id }, i) => [id, i]));
  const inOrder = (a: string, b: string) => places.get(a)! - places.get(b)!;
  const out = new Map<string, Set<string>>();
  for (const { id } of site.circuits) {
    const near = new Set([...reach.get(id)!].flatMap((area) => inArea.get(area) ?? []));
    near.delete(id);
    out.set(id, new Set([...near].sort(inOrder)));
  }
  return out;
}

/**
 * A colour 0, 1, 2 ... for each circuit, none shared by neighbours. Greedy: always the circuit that has
 * fewest colours left, the colour least used so far among those permitted. Order of the site breaks ties.
 */
export function colourCircuits(site: Site): Map<string, number> {
  const near = neighboursOf(site);
  const colour = new Map<string, number>();
  const used: number[] = [];
  /** Colours that neighbours have taken, of each circuit without one. */
  const taken = new Map(site.circuits.map(({ id }) => [id, new Set<number>()]));
  const rank = (id: string) => taken.get(id)!.size * 10_000 + near.get(id)!.size;
  while (taken.size > 0) {
    const next = [...taken.keys()].reduce((best, id) => (rank(id) > rank(best) ? id : best));
    const barred = taken.get(next)!;
    const free = used.map((_, c) => c).filter((c) => !barred.has(c));
    const chosen = free.length > 0 ? free.reduce((a, b) => (used[b] < used[a] ? b : a)) : used.push(0) - 1;
    used[chosen]++;
    colour.set(next, chosen);
    taken.delete(next);
    for (const [id, colours] of taken) if (near.get(id)!.has(next)) colours.add(chosen);
  }
  return colour;
}
