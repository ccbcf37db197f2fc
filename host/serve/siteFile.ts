// The site file of a running host: what it was started with, and who may change it.
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';
import { readSiteText, revisionOf } from '../siteDoor/file';
import { settlePending } from '../siteDoor/pending';
import type { ReadySite } from './takingOver';
import { tell } from './tell';

export interface SiteFileOptions {
  site: Site;
  siteFile: string;
  simulated?: boolean;
  takeOver?: (next: ReadySite) => void;
  /** Of the text the site was read from; by default that of the file as it is. */
  siteRevision?: string;
}

/** Why the site cannot be changed on the page; '' if it can. */
export function fixedWords({ simulated, takeOver }: SiteFileOptions): string {
  if (simulated)
    return 'This is a demonstration, and its building is fixed. Start the host with a site file of your own, nightproof serve SITE.yaml, to change it here.';
  return takeOver ? '' : 'This host was started with a site that stays as it is.';
}

/**
 * Makes up for a change that an earlier host was stopped in.
 * @returns the revision of the file the host starts with; '' if the file is not read
 */
export async function settleSiteFile(o: SiteFileOptions, logbook: Logbook, keys: KeyRing): Promise<string> {
  if (fixedWords(o) !== '') return '';
  let revision = '';
  try {
    revision = revisionOf(readSiteText(o.siteFile));
  } catch (error) {
    tell((error as Error).message);
  }
  const sentence = await settlePending(logbook, keys, o.site, revision);
  if (sentence !== '') tell(sentence);
  return o.siteRevision ?? revision;
}
