// Checks the chain while the host runs, to its end, a slice at a time, so that a long log book never delays the
// page. What it says holds for the entries it has checked and no further.
import type { Logbook } from './logbook';
import { bookWalk } from './walk';

/** Entries per slice: some 5 ms of work. */
const SLICE = 100;
/** A page waits while at most so many entries are left to check. */
const SHORT = 500;
/** After this time everything is checked anew, s: an entry may be changed after it was looked at. */
const AGAIN_SEC = 3600;
/** Longest time it waits, ms. */
const LOOK_MS = 50;

export interface ChainState {
  /** All entries from the first to this one were checked in the newest walk. */
  checked: number;
  /** UTC second at which the newest complete walk ended, 0 while there was none. */
  at: number;
  /** The first entry that is not as it was written, or is missing. */
  broken?: { entry: number; why: string };
}

export interface ChainWatch {
  /**
   * What is known now, after a moment at most; if that is not everything, the check goes on in the background.
   * @param entries how many there are
   */
  look(entries: number): Promise<ChainState>;
  /** Resolves once every entry there is now has been checked. */
  settled(): Promise<ChainState>;
  stop(): void;
}

export interface WatchOptions {
  /** UTC second. */
  now(): number;
  /** Receives one sentence about the first broken entry, or a log book that cannot be read. */
  onProblem?: (sentence: string) => void;
}

class Watch implements ChainWatch {
  private walk = this.begin();
  private running: Promise<void> | undefined;
  private state: ChainState = { checked: 0, at: 0 };
  private began = 0;
  private stopped = false;

  constructor(
    private readonly logbook: Pick<Logbook, 'after'>,
    private readonly o: WatchOptions,
  ) {}

  async look(entries: number): Promise<ChainState> {
    const walked = this.walkOn();
    if (entries - this.state.checked > SHORT) return this.state;
    let timer: NodeJS.Timeout | undefined;
    const moment = new Promise<void>((resolve) => {
      timer = setTimeout(resolve, LOOK_MS);
    });
    await Promise.race([walked, moment]);
    clearTimeout(timer);
    return this.state;
  }

  async settled(): Promise<ChainState> {
    // A walk that is under way may have passed the end before the newest entries came.
    for (let i = 0; i < 2; i++) await this.walkOn();
    return this.state;
  }

  // Two walks at once would read the same entries twice.
  private walkOn(): Promise<void> {
    this.running ??= this.run().finally(() => {
      this.running = undefined;
    });
    return this.running;
  }

  stop(): void {
    this.stopped = true;
  }

  private begin() {
    return bookWalk(({ part, entry, why }) => {
      // What one controller wrote is not the log book's doing.
      if (part !== 'chain' || this.state.broken) return;
      this.state = { ...this.state, broken: { entry, why } };
      this.o.onProblem?.(`The log book was changed. ${why} Run "logbook verify" for all that is wrong.`);
    });
  }

  private async run(): Promise<void> {
    try {
      const isDue = this.state.at > 0 && this.o.now() - this.began >= AGAIN_SEC;
      if (isDue || this.began === 0) {
        this.walk = this.begin();
        this.began = this.o.now();
        this.state = { ...this.state, checked: 0 };
      }
      while (!this.stopped && (await this.slice()));
      if (!this.stopped) this.state = { ...this.state, at: this.o.now() };
    } catch (error) {
      this.o.onProblem?.((error as Error).message);
    }
  }

  /** @returns whether there may be more */
  private async slice(): Promise<boolean> {
    const entries = await this.logbook.after(this.walk.entries(), SLICE);
    for (const entry of entries) this.walk.take(entry);
    this.state = { ...this.state, checked: this.walk.entries() };
    // Everything else that waits comes first.
    await new Promise((resolve) => setImmediate(resolve));
    return entries.length === SLICE;
  }
}

/** Watches the chain of a log book; signatures and the file itself are left to `logbook verify`. */
export function watchChain(logbook: Pick<Logbook, 'after'>, options: WatchOptions): ChainWatch {
  return new Watch(logbook, options);
}
