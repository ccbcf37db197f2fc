// The one door by which people change the site while the host runs: the file's text, then the log book, then the host
// itself.
import { randomUUID } from 'node:crypto';
import { basename } from 'node:path';
import type { SiteChangeRequest, SiteFileView, SiteMistake, SiteOutcome } from '../api/site';
import type { House } from '../house/house';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import { localDate } from '../site/civil';
import type { SiteData } from '../site/edit/data';
import { dataOf, type Edited, editSite } from '../site/edit/edit';
import { placeOf, SETTLED, shownData } from '../site/edit/places';
import { formatMistake, parseSite } from '../site/load';
import type { Site } from '../site/model';
import { tidyText } from '../words/freeText';
import { isWho, NAME_RULE } from '../words/person';
import { circuitsChanged } from './busy';
import { readSiteText, revisionOf, saveSiteText } from './file';
import { formFields } from './form';
import { enterPending, forgetPending, keepPending, type Pending } from './pending';

export interface SiteDoor {
  /** The file as it is now. It never rejects. */
  view(): SiteFileView;
  /** Saves changes, all or none. It never rejects. */
  change(wish: SiteChangeRequest, now: number): Promise<SiteOutcome>;
  /** Has the host work with what was saved; nothing to do if nothing was. */
  takeOver(): void;
  /** Resolves when no change is being saved: file and log book must not part because the host stops. */
  idle(): Promise<void>;
}

export interface SiteDoorOptions {
  site: Site;
  file: string;
  /** Revision of the text the host was started with. */
  inForce: string;
  /** Why nothing can be changed; '' if it can. */
  fixed: string;
  logbook: Logbook;
  keys: KeyRing;
  house: Pick<House, 'view'>;
  /** Applies a new log book entry to the house; it never rejects. */
  apply(entry: Entry): Promise<void>;
  /** Has the host work with another site from now on. */
  takeOver(site: Site): void;
}

type Refusal = SiteOutcome & { ok: false };
const refused = (answer: string, more: Partial<Refusal> = {}): Refusal => ({
  ...{ ok: false, answer, mistakes: [], data: null },
  ...more,
});

const STALE =
  'Nothing was saved: the site file has been changed since you opened it, in another window or in the file itself. ' +
  'Load the page again and enter your change once more.';

class FileDoor implements SiteDoor {
  /** Changes are saved one after the other. */
  private turn: Promise<unknown> = Promise.resolve();
  private saved: Site | undefined;

  constructor(private readonly o: SiteDoorOptions) {}

  view(): SiteFileView {
    const { fixed, file, inForce } = this.o;
    const rest = { file: basename(file), fields: formFields() };
    try {
      const text = readSiteText(file);
      const revision = revisionOf(text);
      const read = parseSite(text, basename(file));
      if ('mistakes' in read) throw new Error(read.mistakes.map(formatMistake).join(' '));
      return { ...rest, fixed, revision, inForce: revision === inForce, data: shownData(dataOf(text)) };
    } catch (error) {
      const why = fixed || `${(error as Error).message} Correct it in an editor first.`;
      return { ...rest, fixed: why, revision: '', inForce: false, data: null };
    }
  }

  change(wish: SiteChangeRequest, now: number): Promise<SiteOutcome> {
    const done = this.turn.then(() => this.save(wish, now));
    this.turn = done;
    return done;
  }

  takeOver(): void {
    const { saved } = this;
    this.saved = undefined;
    if (saved) this.o.takeOver(saved);
  }

  async idle(): Promise<void> {
    await this.turn;
  }

  private async save(wish: SiteChangeRequest, now: number): Promise<SiteOutcome> {
    const { fixed, file } = this.o;
    if (fixed !== '') return refused(fixed);
    const who = tidyText(wish.who);
    if (!isWho(who))
      return refused(`Give your name, ${NAME_RULE}: the log book records who changed the site.`);
    try {
      const text = readSiteText(file);
      if (revisionOf(text) !== wish.revision) return refused(STALE, { stale: true });
      const edited = this.edited(text, wish, now);
      return 'ok' in edited ? edited : await this.write(text, edited, who, now);
    } catch (error) {
      return refused(`Nothing was saved. ${(error as Error).message}`);
    }
  }

  /** The new text, if nothing speaks against it. */
  private edited(text: string, { changes }: SiteChangeRequest, now: number): Edited | Refusal {
    const settled = changes.find(
      (one) => one.do === 'set' && one.part === 'site' && SETTLED.includes(one.field),
    );
    if (settled && 'field' in settled)
      return refused(
        `"${settled.field}" cannot be changed here; change it in the file, and start the host again.`,
      );
    const made = editSite(text, basename(this.o.file), changes, (zone) => localDate(zone, now));
    if ('mistakes' in made) {
      const mistakes = made.mistakes.map(
        ({ path = [], field, message }): SiteMistake => ({
          ...placeOf(made.data, path),
          where: field,
          message,
        }),
      );
      const sentences = mistakes.map(({ where, message }) =>
        where === '' ? message : `${where}: ${message}`,
      );
      return refused(`Nothing was saved. ${sentences.join(' ')}`, {
        mistakes,
        data: made.data ? shownData(made.data) : null,
      });
    }
    if (made.said.length === 0) return refused('Nothing was changed.');
    const testing = this.testing(dataOf(text), made.data, now);
    return testing === '' ? made : refused(testing);
  }

  /** Why a test stands in the way; '' if none does. */
  private testing(before: SiteData, after: SiteData, now: number): string {
    const { site, house } = this.o;
    const known = new Set(site.circuits.map(({ id }) => id));
    for (const id of circuitsChanged(before, after)) {
      if (!known.has(id)) continue;
      const { kind, contact } = house.view.controller(id, now);
      // One that has been silent for long has nothing to say about now.
      if (kind !== '' && contact !== 'silent')
        return `Nothing was saved: a test is running on circuit ${id}, which this changes. Save it when the test is over.`;
    }
    return '';
  }

  private async write(
    before: string,
    { text, said, site }: Edited,
    who: string,
    now: number,
  ): Promise<SiteOutcome> {
    const { logbook, keys, file } = this.o;
    const [from, to] = [revisionOf(before), revisionOf(text)];
    const pending: Pending = { id: randomUUID(), before: from, after: to, changes: said, who, at: now };
    await keepPending(logbook, pending);
    try {
      saveSiteText(file, before, text);
    } catch (error) {
      await forgetPending(logbook);
      throw error;
    }
    try {
      const entry = await enterPending(logbook, keys, this.o.site, pending);
      if (entry) await this.o.apply(entry);
    } catch (error) {
      const answer = `Saved, but the log book could not take it yet. ${(error as Error).message} The host works with the new file, and enters the change, when it is started again.`;
      return { ok: true, revision: to, answer, taken: false };
    }
    this.saved = site;
    const answer = 'Saved, and entered in the log book. The host is taking it over.';
    return { ok: true, revision: to, answer, taken: true };
  }
}

/** See `SiteDoor`. */
export function createSiteDoor(options: SiteDoorOptions): SiteDoor {
  return new FileDoor(options);
}
