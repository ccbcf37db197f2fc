// The small memory of the host: loaded whole when the log book is opened, and written through. So the state of the house
// can ask for and change what is remembered in the middle of a step, without waiting for an engine.
import type { MemoryStore } from './logbook';

export interface Memory {
  /** '' where nothing is remembered. */
  recall(name: string): string;
  remember(name: string, text: string): void;
}

export interface WrittenMemory extends Memory {
  /** Once all that was remembered is durable, or was complained about. */
  written(): Promise<void>;
}

/**
 * The memory of a log book.
 * @param onProblem hears in one sentence what could not be written; it is kept in memory all the same
 */
export async function loadMemory(
  store: MemoryStore,
  onProblem: (sentence: string) => void,
): Promise<WrittenMemory> {
  const texts = await store.all();
  let last = Promise.resolve();
  return {
    recall: (name) => texts.get(name) ?? '',
    remember(name, text) {
      texts.set(name, text);
      // One after the other: of two texts under one name the later one must stay.
      last = last
        .then(() => store.remember(name, text))
        .catch((error: unknown) => onProblem((error as Error).message));
    },
    written: () => last,
  };
}
