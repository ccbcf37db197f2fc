// The language the page speaks.
import { en, type Words } from './en';

/** All words in the language that is spoken now. It changes: take no word from it before it is shown. */
export let t: Words = en;

/** From now on `t` is these words. */
export function speak(words: Words): void {
  t = words;
}
