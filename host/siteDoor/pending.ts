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
  /** The text after it, as `seal` makes it; left out by older hosts. */
  sealed?: string;
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
 * @throws LogbookError with one sentence; it stays noted as on its way
 */
export async function enterPending(
  book: Book,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
  { who, account, at, sealed: _sealed, ...fields }: Pending,
  written: () => Promise<void>,
): Promise<Entry | undefined> {
  const note = { ...siteChangeNote(site, who, at, fields), ...(account && { account }) };
  const entry = await writeOnce(book, keys, note, fields.id);
  await written();
  await forgetPending(book);
  return entry;
}

/** The change that is noted as on its way, if one is. */
export async function pendingOf({ memory }: Pick<Book, 'memory'>): Promise<Pending | undefined> {
  const text = (await memory.all()).get(NAME) ?? '';
  return text === '' ? undefined : (JSON.parse(text) as Pending);
}
