// The reader's language: as chosen on this device, or else as the browser prefers.
import { en, type Words } from '../tongues/en';
import { isTongue, type Tongue, tongueFor, tonguePath } from '../tongues/names';
import { speak } from '../tongues/tongue';
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

async function wordsOf(tongue: Tongue): Promise<Words> {
  if (tongue === 'en') return en;
  const loaded = (await import(tonguePath(tongue))) as Record<Tongue, Words>;
  return loaded[tongue];
}

/** Number of the last choice: words that arrive after a later one are not spoken. */
let newest = 0;

/** False if the words cannot be had, or not before a later choice; then the language stays. */
async function use(store: PageStore, tongue: Tongue): Promise<boolean> {
  const mine = ++newest;
  const words = await wordsOf(tongue).catch(() => undefined);
  if (!words || mine !== newest) return false;
  speak(words);
  document.documentElement.lang = tongue;
  store.changeAtOnce((s) => ({ ...s, tongue }));
  return true;
}

/** Before the first word is shown; in English where the reader's own words cannot be had. It never rejects. */
export async function startTongue(store: PageStore): Promise<void> {
  const chosen = kept();
  await use(store, isTongue(chosen) ? chosen : tongueFor(navigator.languages));
}

/** The reader has chosen; all that is shown changes, and what is typed stays. It never rejects. */
export async function chooseTongue(store: PageStore, tongue: Tongue): Promise<void> {
  if (!(await use(store, tongue))) return;
  try {
    localStorage.setItem(KEY, tongue);
  } catch {
    // Then it holds until the page is left.
  }
}
