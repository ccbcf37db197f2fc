import type { Site } from '../site/model';

/** Names of the areas that a circuit's luminaires stand in or serve. */
export function areaNames(site: Site, circuit: string): string[] {
  const ids = site.circuits.find(({ id }) => id === circuit)?.areas ?? [];
  return site.areas.filter(({ id }) => ids.includes(id)).map(({ name }) => name);
}
