// What a host does before it works with a changed site: what the log book says is read anew for it where entries are
// read otherwise, which takes minutes for a long one. Meanwhile the host works on with the site as it was.
import { setImmediate as nextTurn } from 'node:timers/promises';
import type { TakingView } from '../api/site';
import { createPast, type PastState, replay } from '../house/past';
import { isReadAlike } from '../house/pastStore';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';
import type { NextSite } from '../siteDoor/door';

/** A site to start with, with what the log book says for it, if it was read. */
export interface ReadySite {
  site: Site;
  /** Of the file's text that holds it. */
  siteRevision: string;
  past?: PastState;
  /** What stands in the way now, in words; '' if nothing does. */
  hindrance?(): string;
}

export interface TakingOverOptions {
  /** The site the host works with. */
  site: Site;
  keys: KeyRing;
  logbook: Pick<Logbook, 'after' | 'entries'>;
  /** Starts with another site; the host ends soon after. */
  start(next: ReadySite): void;
  onProblem(sentence: string): void;
}

export interface TakingOver {
  begin(next: NextSite): void;
  /** How far it is; null if nothing is being taken over. */
  view(): TakingView | null;
  /** Gives up what is not ready. */
  stop(): void;
}

/** Entries read in one turn of the event loop: some milliseconds. */
const SLICE = 200;
/** Time between two looks whether something still stands in the way, ms. */
export const LOOK_MS = 1000;

class Preparation implements TakingOver {
  private now: TakingView | null = null;
  private isOver = false;
  private timer: NodeJS.Timeout | undefined;

  constructor(private readonly o: TakingOverOptions) {}

  begin(next: NextSite): void {
    this.now = { percent: 0, waits: '' };
    void this.prepare(next).catch((error: Error) => {
      // The new host reads the log book by itself, and says what is wrong with it.
      this.o.onProblem(error.message);
      this.start(next);
    });
  }

  view(): TakingView | null {
    return this.now;
  }

  stop(): void {
    this.isOver = true;
    clearTimeout(this.timer);
  }

  private async prepare(next: NextSite): Promise<void> {
    const { site, keys, logbook } = this.o;
    if (isReadAlike(site, next.site)) return this.start(next);
    const past = createPast(next.site, keys);
    const all = await logbook.entries();
    const turn = async () => {
      this.now = { percent: Math.floor((100 * past.entry()) / Math.max(1, all)), waits: '' };
      await nextTurn();
      return !this.isOver;
    };
    await replay(logbook, 0, (entry) => past.take(entry), { slice: SLICE, turn });
    if (!this.isOver) this.start(next, past.state());
  }

  /** A test or a fault may have begun since the change was saved. */
  private start(next: NextSite, past?: PastState): void {
    if (this.isOver) return;
    const waits = next.hindrance();
    this.now = { percent: 100, waits };
    if (waits !== '') {
      this.timer = setTimeout(() => this.start(next, past), LOOK_MS);
      return;
    }
    const { site, revision } = next;
    const hindrance = () => next.hindrance();
    this.o.start({ site, siteRevision: revision, hindrance, ...(past && { past }) });
  }
}

/** See `TakingOver`. */
export function createTakingOver(options: TakingOverOptions): TakingOver {
  return new Preparation(options);
}
