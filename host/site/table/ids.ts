// Ids made of names that people wrote.

import { plainId } from '../plainId';

/** The longest id of a floor, area or circuit. */
const LONGEST = 24;

/** A name as an id: lower-case letters, digits and hyphens; accents are dropped. */
export function slug(name: string): string {
  return plainId(name).toLowerCase() || 'x';
}

/** The same for what people take for one name: case, spaces, hyphens and underscores do not count. */
export function keyOf(name: string): string {
  return name
    .trim()
    .toLowerCase()
    .replace(/[\s_-]+/g, '-');
}

/** Gives each name its id: the same name the same, two names never the same. */
export class Ids {
  private readonly byName = new Map<string, string>();
  private readonly taken = new Set<string>();

  /** @param longest the longest id, characters */
  constructor(private readonly longest = LONGEST) {}

  of(name: string): string {
    const key = keyOf(name);
    const known = this.byName.get(key);
    if (known !== undefined) return known;
    // What is an id already stays as it is.
    const plain = /^[a-z0-9-]{1,24}$/.test(name) ? name : slug(name);
    let id = plain.slice(0, this.longest);
    for (let n = 2; this.taken.has(id); n++)
      id = `${plain.slice(0, this.longest - 1 - String(n).length)}-${n}`;
    this.taken.add(id);
    this.byName.set(key, id);
    return id;
  }

  /** The id of what is meant by a name, or by an id that was given already. */
  meant(name: string): string {
    return !this.byName.has(keyOf(name)) && this.taken.has(name) ? name : this.of(name);
  }
}

/** What a name is called in a table: the name where the id follows from it, else the id. */
export function labelOf({ id, name }: { id: string; name: string }): string {
  return new Ids().of(name) === id ? name : id;
}
