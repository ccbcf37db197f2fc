// Names of people: what one may consist of, and how a controller is given it.

/** Longest name, characters. */
export const NAME_MAX = 40;

/** What a name may be, for people whose name was refused. */
export const NAME_RULE = `1 to ${NAME_MAX} characters without quotes or backslash`;

/** Any script; no control characters, no text direction marks, no line ends. Persian and Sinhala need the joiners. */
const NAME = new RegExp(`^(?:[\\u200c\\u200d]|[^\\p{C}\\p{Zl}\\p{Zp}"\\\\]){1,${NAME_MAX}}$`, 'u');
/** A letter, digit or sign that can be seen. */
const SEEN = /[\p{L}\p{N}\p{P}\p{S}]/u;

/** True if `who` can sign an entry or an order: see `NAME_RULE`. */
export function isWho(who: string): boolean {
  return NAME.test(who) && SEEN.test(who);
}

/** Letters that are not an ASCII letter with marks (Unicode has no decomposition for them). */
const SPELT: { [letter: string]: string } = {
  ...{ ß: 'ss', ẞ: 'SS', æ: 'ae', Æ: 'AE', œ: 'oe', Œ: 'OE', ø: 'o', Ø: 'O', ł: 'l', Ł: 'L' },
  ...{ đ: 'd', Đ: 'D', ð: 'd', Ð: 'D', þ: 'th', Þ: 'Th', ı: 'i', '’': "'", '‘': "'", '–': '-' },
};

/**
 * The name as a controller keeps it, in printable ASCII: accents are left out, and each letter of another script
 * becomes "?". The log book has the name itself, in the entry written before the order is sent.
 */
export function plainWho(who: string): string {
  const bare = who.normalize('NFKD').replace(/\p{M}/gu, '');
  const spelt = Array.from(bare, (letter) => SPELT[letter] ?? letter).join('');
  const plain = spelt
    .replace(/[\u200c\u200d]/g, '')
    .replace(/[^\x20-\x7e]/gu, '?')
    .replace(/["\\]/g, '?')
    .slice(0, NAME_MAX);
  return plain.trim() === '' ? '?' : plain;
}
