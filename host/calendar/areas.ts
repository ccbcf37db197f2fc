import type { Site } from '../site/model';

/** Names kept per site: the plan of a large one asks a hundred thousand times. */
const known = new WeakMap<Site, Map<string, string[]>>();

function namesOf(site: Site): Map<string, string[]> {
  const places = new Map(site.areas.map(({ id, name }, place) => [id, { place, name }]));
  return new Map(
    site.circuits.map(({ id, areas }) => {
      const own = areas.flatMap((area) => places.get(area) ?? []).sort((a, b) => a.place - b.place);
      return [id, own.map(({ name }) => name)];
    }),
  );
}

/** Names of the areas that a circuit's luminaires stand in or serve, in site file order. */
export function areaNames(site: Site, circuit: string): string[] {
  let names = known.get(site);
  if (!names) {
    names = namesOf(site);
    known.set(site, names);
  }
  return names.get(circuit) ?? [];
}
