// The data of a site file as it is written there: times are texts, and nothing is filled in.
import type { Path } from '../note';
import type { Part } from './change';

export type Item = Record<string, unknown>;

/** A file that has the right shape; its checks come later. */
export interface SiteData extends Item {
  floors: Item[];
  areas: Item[];
  circuits: (Item & { luminaires: Item[] })[];
}

/** A change that the file's own words cannot say: one sentence. */
export class Refusal extends Error {}

export const ONE: Record<Part, string> = {
  floors: 'floor',
  areas: 'area',
  circuits: 'circuit',
  luminaires: 'luminaire',
};

/** Path of a thing. @throws Refusal if there is none with this id */
export function pathOf(data: SiteData, part: Part, id: string): Path {
  if (part !== 'luminaires') {
    const at = data[part].findIndex((one) => one.id === id);
    if (at >= 0) return [part, at];
  } else
    for (const [i, { luminaires }] of data.circuits.entries()) {
      const at = luminaires.findIndex((lamp) => lamp.id === id);
      if (at >= 0) return ['circuits', i, 'luminaires', at];
    }
  throw new Refusal(`There is no ${ONE[part]} "${id}" in the site file any more; load the page again.`);
}

/** The value at a path, undefined where there is none. */
export function valueAt(data: unknown, path: Path): unknown {
  return path.reduce<unknown>((at, key) => (at as Record<string | number, unknown> | undefined)?.[key], data);
}

/** True if the two are the same as JSON, whatever the order of fields. */
export function isSame(a: unknown, b: unknown): boolean {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || a === null || b === null) return false;
  if (Array.isArray(a) !== Array.isArray(b)) return false;
  const [x, y] = [a as Item, b as Item];
  const keys = Object.keys(x);
  return (
    keys.length === Object.keys(y).length &&
    keys.every((key) => Object.hasOwn(y, key) && isSame(x[key], y[key]))
  );
}
