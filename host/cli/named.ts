// Ids as people type them: an id in other capitals is meant, as long as only one fits.
import type { Circuit, Site } from '../site/model';

/** The one with that id, or the only one with it in other capitals; undefined for none. */
export function named<T extends { id: string }>(all: T[], id: string): T | undefined {
  const alike = all.filter((one) => one.id.toLowerCase() === id.toLowerCase());
  return all.find((one) => one.id === id) ?? (alike.length === 1 ? alike[0] : undefined);
}

/** The circuit with that id. @throws Error that lists the known ones. */
export function circuitOf(site: Site, id: string): Circuit {
  const found = named(site.circuits, id);
  if (found) return found;
  const names = site.circuits.map((circuit) => circuit.id).join(', ');
  throw new Error(`The site has no circuit "${id}"; choose one of: ${names}.`);
}

/** All luminaires, each with the id of its circuit. */
export function lampsOf(site: Site): { id: string; circuit: string }[] {
  return site.circuits.flatMap(({ id: circuit, luminaires }) =>
    luminaires.map(({ id }) => ({ id, circuit })),
  );
}
