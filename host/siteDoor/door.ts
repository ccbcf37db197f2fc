// The one door by which people change the site while the host runs: the file's text, then the log book, then the host
// itself.
import { randomUUID } from 'node:crypto';
import { basename } from 'node:path';
import type { SiteChangeRequest, SiteFileView, SiteOutcome, TakingView } from '../api/site';
import type { House } from '../house/house';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import { isSame, type SiteData } from '../site/edit/data';
import type { Edited } from '../site/edit/edit';
import { SETTLED, shownData } from '../site/edit/places';
import type { Site } from '../site/model';
import { tidyText } from '../words/freeText';
import { isWho, NAME_RULE } from '../words/person';
import { circuitsChanged, type Hindrance, inTheWay } from './busy';
import { createSiteEditor, type Looked } from './editor';
import { EditedMeanwhile, readSiteText, revisionOf, saveSiteText } from './file';
import { formFields } from './form';
import { keepKnown, seal } from './known';
import { enterPending, forgetPending, keepPending, type Pending } from './pending';
import { mistaken, type Refusal, refused, STALE, takingWords, UNTAKEN } from './refusals';
import { settleText } from './settle';

/** A site that was saved, for the host to work with. */
export interface NextSite {
  site: Site;
  /** Of the file's text that holds it. */
  revision: string;
  /** What would be lost if the host worked with it now, and what can be done, without a full stop; '' if nothing. */
  hindrance(): string;
}

export interface SiteDoor {
  /** The file as it is now; one and the same object while it is the same. It never rejects. */
  view(): Promise<SiteFileView>;
  /** Saves changes, all or none. It never rejects. */
  change(wish: SignedChange, now: number): Promise<SiteOutcome>;
  /** How far the host is with a change that was saved; null if it works with it. */
  taking(): TakingView | null;
  /** Has the host work with what was saved; nothing to do if nothing was. */
  takeOver(): void;
  /** Resolves when no change is being saved: file and log book must not part because the host stops. */
  idle(): Promise<void>;
}

/** Changes, with the account of who signed in to make them. */
export type SignedChange = SiteChangeRequest & { account?: string | undefined };

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
  /** UTC second. */
  now(): number;
  /** Has the host work with another site as soon as it can. */
  takeOver(next: NextSite): void;
  /** How far that is; null if nothing is being taken over. */
  taking(): TakingView | null;
}

/** The text the host was started with; undefined if the file is another by now. */
function startedWith({ fixed, file, inForce }: SiteDoorOptions): string | undefined {
  if (fixed !== '') return undefined;
  try {
    const text = readSiteText(file);
    return revisionOf(text) === inForce ? text : undefined;
  } catch {
    return undefined;
  }
}

/** The circuits that a change is about, and whether each is gone after it. */
function circuitsGoing(before: SiteData, after: SiteData): Map<string, boolean> {
  const left = new Set(after.circuits.map(({ id }) => id));
  return new Map(circuitsChanged(before, after).map((id) => [id, !left.has(id)]));
}

/** A change that nothing speaks against, with what `circuitsGoing` says of it. */
interface Checked extends Edited {
  circuits: ReadonlyMap<string, boolean>;
}

/** Texts whose data are kept: the file as it is, and as it was. */
const KEPT = 2;

class FileDoor implements SiteDoor {
  /** Changes are saved one after the other. */
  private turn: Promise<unknown> = Promise.resolve();
  private saved: NextSite | undefined;
  private readonly text: string | undefined;
  /** The last change saved here, and whether the host takes it over. */
  private last: { revision: string; isTaken: boolean } | undefined;
  /** A change that was saved, and that the log book could not take. */
  private owed: { pending: Pending; text: string } | undefined;

  private readonly editor = createSiteEditor();
  /** What texts say, by revision. */
  private readonly looks = new Map<string, Promise<Looked>>();
  private shown: SiteFileView | undefined;

  constructor(private readonly o: SiteDoorOptions) {
    this.text = startedWith(o);
  }

  async view(): Promise<SiteFileView> {
    const { fixed, file, inForce } = this.o;
    const taking = this.o.taking();
    const rest = { file: basename(file), fields: formFields(), taking };
    try {
      const text = readSiteText(file);
      const revision = revisionOf(text);
      if (this.shown?.revision === revision && this.shown.taking === taking) return this.shown;
      const looked = await this.look(text, revision);
      if ('wrong' in looked) throw new Error(looked.wrong);
      const data = shownData(looked.data);
      this.shown = { ...rest, fixed, revision, inForce: revision === inForce, data };
      return this.shown;
    } catch (error) {
      const why = fixed || `${(error as Error).message} Correct it in an editor first.`;
      return { ...rest, fixed: why, revision: '', inForce: false, data: null };
    }
  }

  change(wish: SignedChange, now: number): Promise<SiteOutcome> {
    const done = this.turn.then(() => this.save(wish, now));
    this.turn = done;
    return done;
  }

  taking(): TakingView | null {
    return this.o.taking();
  }

  takeOver(): void {
    const { saved } = this;
    this.saved = undefined;
    if (saved) this.o.takeOver(saved);
  }

  async idle(): Promise<void> {
    this.editor.stop();
    await this.turn;
  }

  /** What a text says. It is read once. @throws Error with one sentence if it could not be read */
  private look(text: string, revision = revisionOf(text)): Promise<Looked> {
    const known = this.looks.get(revision);
    if (known) return known;
    const orders = { text, file: basename(this.o.file), changes: [], now: this.o.now() };
    const looked = this.editor.ask(orders).then((answer) => answer.looked);
    this.keep(revision, looked);
    return looked;
  }

  private keep(revision: string, looked: Promise<Looked>): void {
    this.looks.delete(revision);
    this.looks.set(revision, looked);
    looked.catch(() => this.looks.delete(revision));
    for (const old of [...this.looks.keys()].slice(0, -KEPT)) this.looks.delete(old);
  }

  private async save(wish: SignedChange, now: number): Promise<SiteOutcome> {
    const { fixed, file } = this.o;
    if (fixed !== '') return refused(fixed);
    const who = tidyText(wish.who);
    if (!isWho(who))
      return refused(`Give your name, ${NAME_RULE}: the log book records who changed the site.`);
    try {
      const owed = await this.enterOwed();
      if (owed !== '') return refused(owed);
      const text = readSiteText(file);
      if (revisionOf(text) !== wish.revision) return refused(STALE, { stale: true });
      const apart = await this.apart(text);
      if (apart !== '') return refused(apart);
      const edited = await this.edited(text, wish, now);
      return 'ok' in edited ? edited : await this.write(text, edited, { who, account: wish.account }, now);
    } catch (error) {
      return refused(`Nothing was saved. ${(error as Error).message}`);
    }
  }

  /** Only one change can be noted as pending, so the one before must be in the log book. Why it is not; '' if it is. */
  private async enterOwed(): Promise<string> {
    const { owed } = this;
    return owed ? this.tried(() => this.enter(owed.pending, owed.text)) : '';
  }

  /** The log book may not have been able to take what was changed before the host was started. */
  private settle(text: string, now: number): Promise<string> {
    const { logbook, keys, site, apply } = this.o;
    return this.tried(async () => {
      const { entries } = await settleText(logbook, keys, site, { text, at: now });
      for (const entry of entries) await apply(entry);
    });
  }

  private async tried(enter: () => Promise<void>): Promise<string> {
    try {
      await enter();
      return '';
    } catch (error) {
      return `Nothing was saved: the log book still could not take the change before. ${(error as Error).message}`;
    }
  }

  private async enter(pending: Pending, text: string): Promise<void> {
    const { logbook, keys, site, apply } = this.o;
    this.owed = { pending, text };
    const keep = () => keepKnown(logbook, keys, site, text);
    const entry = await enterPending(logbook, keys, site, pending, keep);
    this.owed = undefined;
    if (entry) await apply(entry);
  }

  /**
   * Why the file is not what the host works with; '' if it is, comments aside. The host would take over everything else
   * in it together with the change, unchecked against running tests and not in the log book.
   */
  private async apart(text: string): Promise<string> {
    const revision = revisionOf(text);
    if (revision === this.o.inForce) return '';
    if (revision === this.last?.revision) return this.last.isTaken ? takingWords(this.taking()) : UNTAKEN;
    const [now, started] = await Promise.all([text, this.text ?? ''].map((one) => this.look(one)));
    if ('data' in now && 'data' in started && isSame(now.data, started.data)) return '';
    return `Nothing was saved: ${basename(this.o.file)} was changed by hand since the host was started; start the host again, or put the file back as it was.`;
  }

  /** The new text, if nothing speaks against it. */
  private async edited(
    text: string,
    { changes }: SiteChangeRequest,
    now: number,
  ): Promise<Checked | Refusal> {
    const settled = changes.find(
      (one) => one.do === 'set' && one.part === 'site' && SETTLED.includes(one.field),
    );
    if (settled && 'field' in settled)
      return refused(
        `"${settled.field}" cannot be changed here; change it in the file, and start the host again.`,
      );
    const { file } = this.o;
    const { looked, edited: made } = await this.editor.ask({ text, file: basename(file), changes, now });
    if ('wrong' in looked || !made)
      return refused(`Nothing was saved. ${'wrong' in looked ? looked.wrong : ''}`);
    this.keep(revisionOf(text), Promise.resolve(looked));
    if ('mistakes' in made) return mistaken(made);
    // Somebody may have edited it while this was checked.
    if (readSiteText(file) !== text) return refused(STALE, { stale: true });
    if (made.said.length === 0) return refused('Nothing was changed.');
    const circuits = circuitsGoing(looked.data, made.data);
    const found = this.hindrance(circuits, now);
    return found ? refused(`Nothing was saved: ${found.why}${found.todo}`) : { ...made, circuits };
  }

  /** What stands in the way of circuits that are changed, or gone, if anything does. */
  private hindrance(circuits: ReadonlyMap<string, boolean>, now: number): Hindrance | undefined {
    const { site, house } = this.o;
    const known = new Set(site.circuits.map(({ id }) => id));
    for (const [id, isGone] of circuits) {
      const found = known.has(id) ? inTheWay(house.view.controller(id, now), isGone, now) : undefined;
      if (found) return found;
    }
    return undefined;
  }

  private async write(
    before: string,
    { text, said, site, data, circuits }: Checked,
    { who, account }: { who: string; account: string | undefined },
    now: number,
  ): Promise<SiteOutcome> {
    const { logbook, file, keys } = this.o;
    const unsettled = await this.settle(before, now);
    if (unsettled !== '') return refused(unsettled);
    const [from, to] = [revisionOf(before), revisionOf(text)];
    const signed = { who, ...(account !== undefined && { account }), at: now };
    const sealed = seal(keys, this.o.site, text);
    const pending: Pending = { id: randomUUID(), before: from, after: to, changes: said, ...signed, sealed };
    await keepPending(logbook, pending);
    try {
      saveSiteText(file, before, text);
    } catch (error) {
      await forgetPending(logbook);
      if (error instanceof EditedMeanwhile) return refused(STALE, { stale: true });
      throw error;
    }
    this.last = { revision: to, isTaken: false };
    this.keep(to, Promise.resolve({ data }));
    try {
      await this.enter(pending, text);
    } catch (error) {
      const answer = `Saved, but the log book could not take it yet. ${(error as Error).message} The host works with the new file, and enters the change, when it is started again.`;
      return { ok: true, revision: to, answer, taken: false };
    }
    this.last.isTaken = true;
    const hindrance = () => {
      const found = this.hindrance(circuits, this.o.now());
      return found ? found.why + found.saved : '';
    };
    this.saved = { site, revision: to, hindrance };
    const answer = 'Saved, and entered in the log book. The host is taking it over.';
    return { ok: true, revision: to, answer, taken: true };
  }
}

/** See `SiteDoor`. */
export function createSiteDoor(options: SiteDoorOptions): SiteDoor {
  return new FileDoor(options);
}
