// The site file of a running host: what it was started with, and who may change it.
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';
import { readSiteText, revisionOf } from '../siteDoor/file';
import { settleText } from '../siteDoor/settle';
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
 * Makes up for a change that an earlier host was stopped in, and enters what was changed in the file by hand.
 * @param now UTC second
 * @returns the revision of the file the host starts with; '' if the file is not read
 */
export async function settleSiteFile(
  o: SiteFileOptions,
  logbook: Logbook,
  keys: KeyRing,
  now: number,
): Promise<string> {
  if (fixedWords(o) !== '') return '';
  const { site } = o;
  let text: string | undefined;
  try {
    text = readSiteText(o.siteFile);
  } catch (error) {
    tell((error as Error).message);
  }
  const revision = text === undefined ? '' : revisionOf(text);
  const inForce = o.siteRevision ?? revision;
  // Edited once more since the site was read: the next start enters that.
  if (text === undefined || inForce !== revision) return inForce;
  try {
    const { sentence } = await settleText(logbook, keys, site, { text, at: now });
    if (sentence !== '') tell(sentence);
  } catch (error) {
    tell(
      `What was changed in ${o.siteFile} is not in the log book yet: it is entered before the next change is saved on the page, or at the next start. ${(error as Error).message}`,
    );
  }
  return inForce;
}
