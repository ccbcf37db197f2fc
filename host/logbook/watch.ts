// Checks the chain while the host runs: each check continues where the last one stopped, a slice at a time,
// so that a long log book never delays the page.
import { chainWalk } from './chain';
import type { Logbook } from './logbook';

const SLICE = 2000;

export interface ChainWatch {
  /** Checks the next slice; false once a broken entry was found. */
  look(): Promise<boolean>;
}

/** Watches the chain of a log book from its first entry; signatures are left to `verify`. */
export function watchChain(logbook: Pick<Logbook, 'after'>): ChainWatch {
  const walk = chainWalk();
  const lookOn = async (): Promise<boolean> => {
    if (walk.broken()) return false;
    for (const entry of await logbook.after(walk.entries(), SLICE)) {
      if (!walk.take(entry)) return false;
    }
    return true;
  };
  let running: Promise<boolean> | undefined;
  return {
    // Two checks at once would read the same entries twice.
    look() {
      running ??= lookOn().finally(() => {
        running = undefined;
      });
      return running;
    },
  };
}
