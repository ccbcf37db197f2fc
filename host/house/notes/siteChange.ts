// Changes of the site file that people made, on the page or in the file itself.
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import { type Said, saidWords } from '../../site/edit/said';
import type { Site } from '../../site/model';
import { siteNotes } from './inspected';
import { type NewNote, signedNote } from './notes';

export interface SiteChangeFields {
  /** Made when it was saved; the log book never has two of the same. */
  id: string;
  /** SHA-256 of the file's text before and after, hex. */
  before: string;
  after: string;
  changes: Said[];
  /** Made in the file itself, and found by the host when it started. */
  byHand?: true;
}

/** Most changes named in one line of the log book; its text has all of them. */
const NAMED_MAX = 12;

/** The note on a change; `at` is a UTC second. */
export function siteChangeNote(
  site: Pick<Site, 'id'>,
  who: string,
  at: number,
  fields: SiteChangeFields,
): NewNote {
  return { address: siteNotes(site), kind: 'site', at, who, fields };
}

/** The ids of luminaires that an entry of a change gave another area; none if this host did not write it. */
export function areaChanged(keys: KeyRing, entry: Entry): string[] {
  if (entry.kind !== 'site') return [];
  const changes = signedNote<SiteChangeFields>(keys, entry)?.fields.changes ?? [];
  return changes
    .filter(({ what, field }) => field === 'area' && what.startsWith('luminaire '))
    .map(({ what }) => what.slice('luminaire '.length));
}

/**
 * As it follows the name of who did: "changed the site: luminaire E4: ... from ... to ...". Of what was changed by hand
 * nobody knows who did.
 */
export function siteChangeWords({ changes, byHand }: SiteChangeFields): string {
  const named = changes.slice(0, NAMED_MAX).map(saidWords);
  const more = changes.length - named.length;
  const rest = more > 0 ? `; and ${more} more` : '';
  const did = byHand ? 'found the site file changed by hand' : 'changed the site';
  return `${did}: ${named.join('; ')}${rest}.`;
}
