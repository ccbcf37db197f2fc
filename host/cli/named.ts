// Ids as people type them: an id in other capitals is meant, as long as only one fits.
import { allIdsOf } from '../house/rows/listed';
import type { Circuit, Luminaire, Site } from '../site/model';
import { near } from '../site/nearest';
import { Mistake } from './arguments';

/** Most ids that a sentence offers instead. */
const OFFERED = 3;

/** The one with that id, or the only one with it in other capitals; undefined for none. */
export function named<T extends { id: string }>(all: T[], id: string): T | undefined {
  const alike = all.filter((one) => one.id.toLowerCase() === id.toLowerCase());
  return all.find((one) => one.id === id) ?? (alike.length === 1 ? alike[0] : undefined);
}

/** What to do about an id that nobody has: 'did you mean "A-1" or "A-2"?' */
export function insteadOf(id: string, known: string[], otherwise: string): string {
  const offered = near(id, known)
    .slice(0, OFFERED)
    .map((one) => `"${one}"`);
  if (offered.length === 0) return otherwise;
  const last = offered.pop();
  return `did you mean ${offered.length === 0 ? last : `${offered.join(', ')} or ${last}`}?`;
}

/** The circuit with that id. @throws Mistake that lists the known ones. */
export function circuitOf(site: Site, id: string): Circuit {
  const found = named(site.circuits, id);
  if (found) return found;
  const known = site.circuits.map((circuit) => circuit.id);
  throw new Mistake(
    `The site has no circuit "${id}"; ${insteadOf(id, known, `choose one of: ${known.join(', ')}.`)}`,
  );
}

/** A luminaire, by one of its ids. */
interface Named {
  id: string;
  luminaire: Luminaire;
  circuit: Circuit;
}

/** All luminaires, each under its id and every id it had before. */
export function everyName({ circuits }: Site): Named[] {
  return circuits.flatMap((circuit) =>
    circuit.luminaires.flatMap((luminaire) => allIdsOf(luminaire).map((id) => ({ id, luminaire, circuit }))),
  );
}

/** The luminaire with that id, or that had it before; undefined for none, or where several fit. */
export function luminaireNamed(site: Site, id: string): Named | undefined {
  return named(everyName(site), id);
}

/** The same. @throws Mistake that names those like it */
export function luminaireOf(site: Site, id: string): Named {
  const found = luminaireNamed(site, id);
  if (found) return found;
  const known = everyName(site).map((one) => one.id);
  throw new Mistake(
    `The site has no luminaire "${id}"; ${insteadOf(id, known, 'give its id from the site file.')}`,
  );
}
