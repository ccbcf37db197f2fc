// What a change says, in the words of the log book: what was changed, from what, to what.
import type { Change, Part } from './change';
import { type Item, isSame, ONE, pathOf, type SiteData, valueAt } from './data';
import { flowText } from './render';
import { takenAlong, takenOver } from './steps';

/** One change as the log book keeps it; values as written in the file, '' where there was or is none. */
export interface Said {
  /** E.g. `luminaire GA-03`, or `site`. */
  what: string;
  /** Name of the field; '' where the thing itself came or went. */
  field: string;
  from: string;
  to: string;
}

const nameOf = (part: Part | 'site', id: string): string => (part === 'site' ? 'site' : `${ONE[part]} ${id}`);

/** A value as the log book keeps it. */
export const textOf = (value: unknown): string =>
  value === undefined || value === null ? '' : flowText(value);

/** What a change says of data before it; nothing where it changes nothing. @throws Refusal */
export function saidOf(data: SiteData, change: Change): Said[] {
  if (change.do === 'add') {
    const where = change.part === 'luminaires' ? ` in circuit ${change.circuit}` : '';
    const what = `${nameOf(change.part, String(change.item.id))}${where}`;
    return [{ what, field: '', from: '', to: textOf(change.item) }];
  }
  const what = nameOf(change.part, change.id);
  const path = change.part === 'site' ? [] : pathOf(data, change.part, change.id);
  if (change.do === 'remove') return [{ what, field: '', from: textOf(valueAt(data, path)), to: '' }];
  if (change.do === 'rename') {
    const { id, to } = change;
    return id === to ? [] : [{ what, field: 'id', from: id, to }];
  }
  if (change.do === 'move') {
    const [list, i] = path;
    const from = String((valueAt(data, [list, i]) as Item).id);
    const { id, to } = change;
    if (from === to) return [];
    const taken = Object.entries({ ...takenAlong(data, id, to), ...takenOver(data, id, to) });
    return [
      { what, field: 'circuit', from, to },
      ...taken.map(([field, value]) => ({ what, field, from: '', to: textOf(value) })),
    ];
  }
  const before = (valueAt(data, path) as Item)[change.field];
  if (isSame(before ?? null, change.value ?? null)) return [];
  return [{ what, field: change.field, from: textOf(before), to: textOf(change.value) }];
}

/** One change as the end of a sentence. */
export function saidWords({ what, field, from, to }: Said): string {
  if (field === '') return from === '' ? `${what} added: ${to}` : `${what} removed: ${from}`;
  if (from === '') return `${what}: ${field} is now ${to}`;
  return to === '' ? `${what}: ${field} ${from} taken out` : `${what}: ${field} from ${from} to ${to}`;
}
