// The fonts of a report, embedded in it. They cover Latin, Greek, Cyrillic and more; a character that none of them has
// is shown as its code, never lost.
import { readFile } from 'node:fs/promises';
import { createRequire } from 'node:module';

const { resolve } = createRequire(import.meta.url);

export interface FontFiles {
  plain: Uint8Array;
  bold: Uint8Array;
}

/** The fonts' files. @throws Error if they are not installed */
export async function loadFonts(): Promise<FontFiles> {
  const read = (name: string) => readFile(resolve(`dejavu-fonts-ttf/ttf/${name}.ttf`));
  const [plain, bold] = await Promise.all([read('DejaVuSans'), read('DejaVuSans-Bold')]);
  return { plain, bold };
}

/** A character no font has, or one that moves or hides others: "[U+1F525]". */
function codeOf(character: string): string {
  return `[U+${character.codePointAt(0)!.toString(16).toUpperCase().padStart(4, '0')}]`;
}

/** Line ends and tabs, which become spaces. */
const SPACE = /[\t\n\r\u2028\u2029]/;
/** Controls and marks of direction: unseen, they could make a text read as another. */
const UNSEEN = /[\p{Cc}\p{Cf}\p{Co}\p{Cs}]/u;

/** A text of which every character can be seen. @param hasGlyph whether the fonts have a code point */
export function visibleText(text: string, hasGlyph: (codePoint: number) => boolean): string {
  let out = '';
  for (const character of text) {
    if (SPACE.test(character)) out += ' ';
    else if (UNSEEN.test(character) || !hasGlyph(character.codePointAt(0)!)) out += codeOf(character);
    else out += character;
  }
  return out;
}
