// Keeps an eye on the chain while the host runs: every look goes on where the last one stopped, a slice
// at a time, so that a long log book never holds up the page.
import { chainWalk } from './chain';
import type { Logbook } from './logbook';

const SLICE = 2000;

export interface ChainWatch {
  /** Looks at the next slice; false once a broken entry was met. */
  look(): Promise<boolean>;
}

/** Watches the chain of a log book from its first entry on; signatures are left to `verify`. */
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
    // Two looks at a time would take the same entries twice.
    look() {
      running ??= lookOn().finally(() => {
        running = undefined;
      });
      return running;
    },
  };
}
