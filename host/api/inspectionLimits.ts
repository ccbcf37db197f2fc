// How much one inspection may hold: the form on the phone says so before the host has to refuse it.

/** Longest free words, characters. */
export const WORDS_MAX = 500;
/** Longest inspection as JSON, bytes: every point with words and luminaires. */
export const INSPECTION_BYTES = 65_536;
/** Header that repeats the id of an inspection, so that one too long to be read is answered by its id too. */
export const ENTRY_HEADER = 'x-entry-id';
/** What is said of a longer one. */
export const TOO_LONG =
  'The entry is too long. Name fewer luminaires or use fewer words, or enter one part of the building after the other.';
