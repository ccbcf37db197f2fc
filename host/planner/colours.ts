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
  const out = new Map<string, Set<string>>();
  for (const one of site.circuits) {
    const near = site.circuits.filter(
      (other) => other.id !== one.id && other.areas.some((area) => reach.get(one.id)!.has(area)),
    );
    out.set(one.id, new Set(near.map((other) => other.id)));
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
  const waiting = site.circuits.map((circuit) => circuit.id);
  const taken = (id: string) =>
    new Set([...near.get(id)!].map((other) => colour.get(other)).filter((c) => c !== undefined));
  while (waiting.length > 0) {
    const rank = (id: string) => taken(id).size * 10_000 + near.get(id)!.size;
    const next = waiting.reduce((best, id) => (rank(id) > rank(best) ? id : best));
    waiting.splice(waiting.indexOf(next), 1);
    const barred = taken(next);
    const free = used.map((_, c) => c).filter((c) => !barred.has(c));
    const chosen = free.length > 0 ? free.reduce((a, b) => (used[b] < used[a] ? b : a)) : used.push(0) - 1;
    used[chosen]++;
    colour.set(next, chosen);
  }
  return colour;
}
