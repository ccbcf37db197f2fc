// Whose rows a controller's results hold. Settings carry no ids, because a controller has little memory, so the
// host notes before it sends a revision which luminaires it describes, in sensor order. Results name their
// revision, and whatever becomes of the site file later, each row stays with its own luminaire.
import type { Site } from '../../site/model';

export interface ListedFields {
  /** Revision of the settings. */
  revision: number;
  /** Ids in sensor order, with spaces between. */
  luminaires: string;
}

/**
 * Ids of the luminaires that a revision of a circuit's settings describes, in sensor order; undefined if the
 * log book does not say.
 */
export type Listed = (circuit: string, revision: number) => readonly string[] | undefined;

export function idsOf({ luminaires }: ListedFields): string[] {
  return luminaires.split(' ');
}

/** The note as the log book shows it. */
export function listWords({ revision, luminaires }: ListedFields): string {
  return `Settings ${revision} of this circuit describe, in sensor order: ${luminaires.split(' ').join(', ')}.`;
}

/** A luminaire's circuit and its position there. */
export interface Place {
  circuit: string;
  index: number;
}

/** Place of each luminaire by its id and by every id it had before. */
export function placesOf(site: Site): ReadonlyMap<string, Place> {
  const places = new Map<string, Place>();
  for (const { id: circuit, luminaires } of site.circuits)
    luminaires.forEach(({ id, formerly = [] }, index) => {
      for (const one of [id, ...formerly]) places.set(one, { circuit, index });
    });
  return places;
}
