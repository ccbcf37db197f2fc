// Before the site file is changed, or worked with, the log book gets what it does not know yet of the text it has: a
// change that a host was stopped in, and what was changed by hand.
import { siteNotes } from '../house/notes/inspected';
import { isWritten } from '../house/notes/notes';
import type { KeyRing } from '../keys';
import type { Entry } from '../logbook/logbook';
import { differences } from '../site/edit/compare';
import { dataOf } from '../site/edit/edit';
import type { Site } from '../site/model';
import { revisionOf } from './file';
import { enterByHand, keepKnown, knownText, openSeal } from './known';
import { type Book, enterPending, forgetPending, type Pending, pendingOf } from './pending';

export interface Settled {
  /** What is not known about a change that was stopped; '' if all is. */
  sentence: string;
  /** What was entered, in its order. */
  entries: Entry[];
}

interface Ground {
  book: Book;
  keys: KeyRing;
  site: Pick<Site, 'id'>;
}

/**
 * Whether the file was replaced before the host was stopped, though it is another by now: then something of the change
 * is still in it.
 */
async function isInFile({ book, keys, site }: Ground, after: string, text: string): Promise<boolean> {
  const before = await knownText(book, keys, site);
  if (before === undefined) return false;
  const [made, found] = [after, text].map((one) => differences(dataOf(before), dataOf(one)).map(said));
  return made.some((one) => found.includes(one));
}

const said = (one: object): string => JSON.stringify(one);

async function wasSaved(ground: Ground, pending: Pending, after: string, text: string): Promise<boolean> {
  if (after === text) return true;
  if (await isWritten(ground.book, siteNotes(ground.site), pending.id)) return true;
  return revisionOf(text) !== pending.before && isInFile(ground, after, text);
}

async function settlePending(ground: Ground, pending: Pending, text: string): Promise<Settled> {
  const { book, keys, site } = ground;
  const revision = revisionOf(text);
  const after = revision === pending.after ? text : openSeal(keys, site, pending.sealed ?? '');
  if (after !== undefined && (await wasSaved(ground, pending, after, text))) {
    const keep = () => keepKnown(book, keys, site, after);
    const entry = await enterPending(book, keys, site, pending, keep);
    return { sentence: '', entries: entry ? [entry] : [] };
  }
  await forgetPending(book);
  const sentence =
    revision === pending.before
      ? ''
      : `The host was stopped while ${pending.who} saved a change of the site file, and the file was edited since; compare it with the log book.`;
  return { sentence, entries: [] };
}

/**
 * Enters what the log book does not know yet of the site file, once.
 * @param text of the file, without mistakes
 * @param at UTC second
 * @throws LogbookError with one sentence; what was not entered is when this is called again
 */
export async function settleText(
  book: Book,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
  { text, at }: { text: string; at: number },
): Promise<Settled> {
  const pending = await pendingOf(book);
  const nothing = { sentence: '', entries: [] };
  const { sentence, entries } = pending ? await settlePending({ book, keys, site }, pending, text) : nothing;
  const found = await enterByHand(book, keys, site, { text, at });
  return { sentence, entries: found ? [...entries, found] : entries };
}
