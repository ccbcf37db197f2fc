// Whose rows a controller's results hold. Settings carry no ids, because a controller has little memory, so the
// host notes before it sends a revision which luminaires it describes, in sensor order. Results name their
// revision, and whatever becomes of the site file later, each row stays with its own luminaire.
import type { ResultRecord } from '../../../firmware/contract/messages';
import { type LampResult, lampResult } from '../../records/result';
import type { Circuit, Luminaire, Site } from '../../site/model';

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

/** Number of the entry that says so; 0 if the log book does not say. */
export type ListedIn = (circuit: string, revision: number) => number;

export function idsOf({ luminaires }: ListedFields): string[] {
  return luminaires.split(' ');
}

/** The note as the log book shows it. */
export function listWords(fields: ListedFields): string {
  return `Settings ${fields.revision} of this circuit describe, in sensor order: ${idsOf(fields).join(', ')}.`;
}

/** A luminaire's circuit and its position there. */
export interface Place {
  circuit: string;
  index: number;
}

/** Every id that a luminaire has or had, today's first. */
export function allIdsOf({ id, formerly = [] }: Luminaire): string[] {
  return [id, ...formerly];
}

/** The luminaire of a circuit that has an id, or had it before; undefined if none. */
export function luminaireOf({ luminaires }: Circuit, id: string): Luminaire | undefined {
  return luminaires.find((lamp) => allIdsOf(lamp).includes(id));
}

/** Place of each luminaire by its id and by every id it had before. */
export function placesOf(site: Site): ReadonlyMap<string, Place> {
  const places = new Map<string, Place>();
  for (const { id: circuit, luminaires } of site.circuits)
    luminaires.forEach((lamp, index) => {
      for (const id of allIdsOf(lamp)) places.set(id, { circuit, index });
    });
  return places;
}

/** A row of a result with the place its luminaire has today. */
export interface PlacedRow {
  place: Place;
  row: LampResult;
}

/** Each row goes to its own luminaire, wherever that is today; without a list nobody knows whose it is. */
export function placedRows(
  listed: Listed,
  places: ReadonlyMap<string, Place>,
  circuit: string,
  r: ResultRecord,
): PlacedRow[] {
  const ids = listed(circuit, r.settings) ?? [];
  return ids.flatMap((id, i) => {
    const place = places.get(id);
    const row = lampResult(r, i);
    return place && row ? [{ place, row }] : [];
  });
}
