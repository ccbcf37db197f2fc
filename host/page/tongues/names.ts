// The languages of the page. To add one: a file like en.ts that exports its words under its tag, and its line here.

/** What each calls itself, by the tags for the `lang` attribute, in the order in which they are offered. */
export const NAMES = { en: 'English', de: 'Deutsch', fr: 'Français', it: 'Italiano' } as const;

export type Tongue = keyof typeof NAMES;

/** All but English, which is part of the page's program; a browser loads another only where somebody reads it. */
export const LOADED = (Object.keys(NAMES) as Tongue[]).filter((tag) => tag !== 'en');

/** Where the host has the words of a language as a program that exports them under its tag. */
export function tonguePath(tag: string): string {
  return `/tongues/${tag}.js`;
}

export function isTongue(tag: string): tag is Tongue {
  return Object.hasOwn(NAMES, tag);
}

/** The first language of a reader's list that there is, whatever the country; English if there is none. */
export function tongueFor(preferred: readonly string[]): Tongue {
  const tags = preferred.map((tag) => tag.toLowerCase().split('-')[0]);
  return tags.find(isTongue) ?? 'en';
}
