// The site file as the host last worked with it, kept in the log book's memory: what people change in it by hand is
// seen at the next start, and entered like a change on the page. It is believed only if this host signed it.
import { randomUUID } from 'node:crypto';
import { deflateRawSync, inflateRawSync } from 'node:zlib';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import { type SealOwner, sealed, unsealed } from '../seal';
import { differences } from '../site/edit/compare';
import { dataOf } from '../site/edit/edit';
import { parseSite } from '../site/load';
import type { Site } from '../site/model';
import { revisionOf } from './file';
import { type Book, enterPending, keepPending } from './pending';

const NAME = 'site file';
/** Who enters what nobody gave a name for. */
const WHO = 'Nightproof host';

const ownerOf = (keys: KeyRing, site: Pick<Site, 'id'>): SealOwner => ({ keys, site, use: 'site' });

/** A text of the site file, packed and signed by this host. */
export function seal(keys: KeyRing, site: Pick<Site, 'id'>, text: string): string {
  return sealed(ownerOf(keys, site), deflateRawSync(text).toString('base64'));
}

/** The text that was sealed; undefined if this host did not seal it for this site. */
export function openSeal(keys: KeyRing, site: Pick<Site, 'id'>, stored: string): string | undefined {
  const packed = unsealed(ownerOf(keys, site), stored);
  return packed === undefined ? undefined : inflateRawSync(Buffer.from(packed, 'base64')).toString('utf8');
}

/** The text last kept; undefined if there is none, or this host did not keep it for this site. */
export async function knownText(
  { memory }: Pick<Logbook, 'memory'>,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
): Promise<string | undefined> {
  return openSeal(keys, site, (await memory.all()).get(NAME) ?? '');
}

/** Durable on return. */
export function keepKnown(
  { memory }: Pick<Logbook, 'memory'>,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
  text: string,
): Promise<void> {
  return memory.remember(NAME, seal(keys, site, text));
}

/**
 * Enters what was changed in the file by hand since the host last worked with it, once.
 * @param text that the host starts with
 * @param at UTC second
 * @returns the entry; undefined if there is nothing to enter
 * @throws LogbookError with one sentence
 */
export async function enterByHand(
  book: Book,
  keys: KeyRing,
  site: Pick<Site, 'id'>,
  { text, at }: { text: string; at: number },
): Promise<Entry | undefined> {
  const known = await knownText(book, keys, site);
  if (known === text || 'mistakes' in parseSite(text, '')) return undefined;
  const changes = known === undefined ? [] : differences(dataOf(known), dataOf(text));
  if (known === undefined || changes.length === 0) {
    await keepKnown(book, keys, site, text);
    return undefined;
  }
  const [before, after] = [revisionOf(known), revisionOf(text)];
  const pending = {
    id: randomUUID(),
    before,
    after,
    changes,
    byHand: true,
    who: WHO,
    at,
    sealed: seal(keys, site, text),
  } as const;
  await keepPending(book, pending);
  return enterPending(book, keys, site, pending, () => keepKnown(book, keys, site, text));
}
