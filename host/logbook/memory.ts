// The host's small memory: loaded whole when the log book is opened, and written through. The state of the
// house can therefore read and change it in the middle of a step, without waiting for an engine.
import type { MemoryStore } from './logbook';

export interface Memory {
  /** '' if nothing is stored. */
  recall(name: string): string;
  remember(name: string, text: string): void;
}

/** For long texts, which need not stay in memory. */
export interface LongMemory {
  /** As `recall`, but for the last time. */
  take(name: string): string;
  /** As `remember`, but only in the log book: nobody reads the text before the next start. */
  put(name: string, text: string): void;
}

export interface WrittenMemory extends Memory, LongMemory {
  /** Resolves once everything stored is durable, or reported as a problem. */
  written(): Promise<void>;
}

/**
 * The memory of a log book.
 * @param onProblem receives one sentence about what could not be written; it stays in memory all the same
 */
export async function loadMemory(
  store: MemoryStore,
  onProblem: (sentence: string) => void,
): Promise<WrittenMemory> {
  const texts = await store.all();
  /** What is not on its way yet: of two texts under one name the later one. */
  let waiting = new Map<string, string>();
  let last = Promise.resolve();
  const recall = (name: string): string => texts.get(name) ?? '';
  const write = async (): Promise<void> => {
    const those = waiting;
    waiting = new Map();
    try {
      // A large site stores thousands at once, and each commit of its own waits for the disk.
      await store.rememberAll(those);
    } catch {
      // A text that has no room must not keep out the others.
      for (const [name, text] of those)
        await store.remember(name, text).catch((error: unknown) => onProblem((error as Error).message));
    }
  };
  const put = (name: string, text: string): void => {
    if (waiting.size === 0) last = last.then(write, write);
    waiting.set(name, text);
  };
  return {
    ...{ recall, put },
    remember(name, text) {
      texts.set(name, text);
      put(name, text);
    },
    take(name) {
      const text = recall(name);
      texts.delete(name);
      return text;
    },
    written: () => last,
  };
}
