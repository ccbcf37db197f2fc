// Free words that people type into the log book: how they are stored, and what they may not contain. The page removes
// what the host would refuse.

/** Letters of every script, but nothing that hides or turns round what stands beside it. */
const UNSEEN = '[\\p{Cc}\\p{Cs}\\p{Co}\\p{Zl}\\p{Zp}]|(?![\\u200c\\u200d])\\p{Cf}';

/** A text as it is stored: its letters composed, blanks and line ends as one blank each. */
export function tidyText(text: string): string {
  return text.normalize('NFC').replace(/\s+/g, ' ').trim();
}

/** Why a text cannot be stored, as the end of a sentence; '' if it can. @param most characters */
export function unfit(text: string, most: number): string {
  if ([...text].length > most) return `must have ${most} characters or fewer`;
  return new RegExp(UNSEEN, 'u').test(text) ? 'must not contain control or invisible characters' : '';
}

/** The text without what may not be stored. */
export function plainText(text: string): string {
  return tidyText(tidyText(text).replace(new RegExp(UNSEEN, 'gu'), ' '));
}
