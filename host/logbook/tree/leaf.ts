// What the tree says of an entry: who it is about, the time people are shown, and the text.
import type { Entry } from '../logbook';

/** Data of an entry's leaf, to be hashed as UTF-8. */
export function leafText({ address, at, body }: Pick<Entry, 'address' | 'at' | 'body'>): string {
  return `${address}\n${at}\n${body}`;
}
