// Keeps the duties in the store, so that forms can be opened without the host.
import type { DutiesView } from '../../api/duties';
import type { PageStore } from './store';

/** Time until a question without an answer is put again, ms. */
const AGAIN_MS = 15_000;

/**
 * Asks for the duties until there is an answer; what was known stays.
 * @param againMs time until a question without an answer is put again
 * @returns ends it
 */
export function followDuties(
  store: PageStore,
  ask: () => Promise<DutiesView>,
  againMs = AGAIN_MS,
): () => void {
  let isOver = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const once = (): void =>
    void ask().then(
      (duties) => {
        if (!isOver) store.change((s) => ({ ...s, duties, dutiesFailed: false }));
      },
      () => {
        if (isOver) return;
        store.change((s) => ({ ...s, dutiesFailed: true }));
        timer = setTimeout(once, againMs);
      },
    );
  once();
  return () => {
    isOver = true;
    clearTimeout(timer);
  };
}
