// The language the page speaks. To add one: a file like en.ts, and its line in TONGUES.
import { de } from './de';
import { en, type Words } from './en';
import { fr } from './fr';
import { it } from './it';

/** By the tags for the `lang` attribute, in the order in which they are offered. */
export const TONGUES = { en, de, fr, it } satisfies Record<string, Words>;

export type Tongue = keyof typeof TONGUES;

/** All words in the language that is spoken now. It changes: take no word from it before it is shown. */
export let t: Words = en;

/** From now on `t` is in that language. */
export function speak(tongue: Tongue): void {
  t = TONGUES[tongue];
}

export function isTongue(tag: string): tag is Tongue {
  return Object.hasOwn(TONGUES, tag);
}

/** The first language of a reader's list that there is, whatever the country; English if there is none. */
export function tongueFor(preferred: readonly string[]): Tongue {
  const tags = preferred.map((tag) => tag.toLowerCase().split('-')[0]);
  return tags.find(isTongue) ?? 'en';
}
