// The reader's language: as chosen on this device, or else as the browser prefers.
import { isTongue, speak, type Tongue, tongueFor } from '../tongues/tongue';
import type { PageStore } from './store';

const KEY = 'nightproof language';

/** What was chosen on this device; a browser that keeps nothing asks its own preference again. */
function kept(): string {
  try {
    return localStorage.getItem(KEY) ?? '';
  } catch {
    return '';
  }
}

function use(store: PageStore, tongue: Tongue): void {
  speak(tongue);
  document.documentElement.lang = tongue;
  store.change((s) => ({ ...s, tongue }));
}

/** Before the first word is shown. */
export function startTongue(store: PageStore): void {
  const chosen = kept();
  use(store, isTongue(chosen) ? chosen : tongueFor(navigator.languages));
}

/** The reader has chosen; all that is shown changes, and what is typed stays. */
export function chooseTongue(store: PageStore, tongue: Tongue): void {
  use(store, tongue);
  try {
    localStorage.setItem(KEY, tongue);
  } catch {
    // Then it holds until the page is left.
  }
}
