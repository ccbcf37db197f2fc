// A change of the site file on its way: noted before the file is replaced, so that the log book gets its entry even if
// the host is killed between the two.
import { writeOnce } from '../house/notes/notes';
import { type SiteChangeFields, siteChangeNote } from '../house/notes/siteChange';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';

const NAME = 'site change';

export interface Pending extends SiteChangeFields {
  who: string;
  account?: string;
  /** UTC second. */
  at: number;
}

export type Book = Pick<Logbook, 'appendNext' | 'lastOf' | 'memory'>;

/** Durable on return. */
export function keepPending({ memory }: Pick<Book, 'memory'>, pending: Pending): Promise<void> {
  return memory.remember(NAME, JSON.stringify(pending));
}

export function forgetPending({ memory }: Pick<Book, 'memory'>): Promise<void> {
  return memory.remember(NAME, '');
}

/**
 * Writes the entry of a change that was saved, once.
 * @param written what is to be durable before the change counts as done
 * @returns it; undefined if the log book had it before
 * @throws LogbookError with one sentence; it is then written at the next start
 */
export async function enterPending(
  book: Book,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
  { who, account, at, ...fields }: Pending,
  written: () => Promise<void>,
): Promise<Entry | undefined> {
  const note = { ...siteChangeNote(site, who, at, fields), ...(account && { account }) };
  const entry = await writeOnce(book, keys, note, fields.id);
  await written();
  await forgetPending(book);
  return entry;
}

/**
 * Makes up for a change that a host was killed in, before anything else is done.
 * @param revision of the file as it is now
 * @param written see `enterPending`
 * @returns a sentence on what is not known; '' if all is
 */
export async function settlePending(
  book: Book,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
  revision: string,
  written: () => Promise<void>,
): Promise<string> {
  const text = (await book.memory.all()).get(NAME) ?? '';
  if (text === '') return '';
  const pending = JSON.parse(text) as Pending;
  if (revision === pending.after) {
    await enterPending(book, keys, site, pending, written);
    return '';
  }
  await forgetPending(book);
  return revision === pending.before
    ? ''
    : `The host was stopped while ${pending.who} saved a change of the site file, and the file was edited since; compare it with the log book.`;
}
