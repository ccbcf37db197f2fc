// Changes of the site file that people made on the page.
import { type Said, saidWords } from '../../site/edit/said';
import type { Site } from '../../site/model';
import { siteNotes } from './inspected';
import type { NewNote } from './notes';

export interface SiteChangeFields {
  /** Made when it was saved; the log book never has two of the same. */
  id: string;
  /** SHA-256 of the file's text before and after, hex. */
  before: string;
  after: string;
  changes: Said[];
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

/** As it follows the name of who did: "changed the site: luminaire E4: ... from ... to ...". */
export function siteChangeWords({ changes }: SiteChangeFields): string {
  const named = changes.slice(0, NAMED_MAX).map(saidWords);
  const more = changes.length - named.length;
  const rest = more > 0 ? `; and ${more} more` : '';
  return `changed the site: ${named.join('; ')}${rest}.`;
}
