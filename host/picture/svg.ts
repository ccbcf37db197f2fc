// The minimum needed to write SVG as text.

type Attributes = Record<string, string | number | undefined>;

/** True if XML 1.0 allows the character. */
function isAllowed(character: string): boolean {
  const code = character.codePointAt(0) as number;
  if (code < 32) return code === 9 || code === 10 || code === 13;
  return (code < 0xd800 || code > 0xdfff) && code !== 0xfffe && code !== 0xffff;
}

/** Text escaped for XML; characters that XML does not allow are left out. */
export function escaped(text: string): string {
  return [...text]
    .filter(isAllowed)
    .join('')
    .replace(/&/g, '&amp;')
    .replace(/</g, '&lt;')
    .replace(/>/g, '&gt;')
    .replace(/"/g, '&quot;');
}

/** A number with no more decimals than a screen can show. */
export function short(value: number): string {
  return String(Math.round(value * 100) / 100);
}

/** An element; `children` are finished elements or escaped text. */
export function element(name: string, attributes: Attributes, ...children: string[]): string {
  const said = Object.entries(attributes)
    .filter(([, value]) => value !== undefined)
    .map(([key, value]) => ` ${key}="${typeof value === 'number' ? short(value) : escaped(String(value))}"`)
    .join('');
  return children.length === 0 ? `<${name}${said}/>` : `<${name}${said}>${children.join('')}</${name}>`;
}

/** Width of a letter in most fonts, as a multiple of an average letter. */
function roomOf(letter: string): number {
  if (/[MW@%]/.test(letter)) return 1.9;
  if (letter > '\u2e7f') return 2;
  return /[A-Zmw]/.test(letter) ? 1.35 : 1;
}

/** Width of a text, in average letters. */
export function roomFor(text: string): number {
  return [...text].reduce((sum, letter) => sum + roomOf(letter), 0);
}

/** As much of a text as fits, in average letters. */
export function fitted(text: string, most: number): string {
  if (roomFor(text) <= most) return text;
  let kept = '';
  for (const letter of text) {
    if (roomFor(kept + letter) > most - 1) break;
    kept += letter;
  }
  return `${kept}…`;
}

/** A text broken into lines of the given width; a word that is too long is cut. */
export function broken(text: string, most: number): string[] {
  const lines: string[] = [];
  for (const word of text.split(' ').map((one) => fitted(one, most))) {
    const last = lines[lines.length - 1];
    if (last !== undefined && roomFor(`${last} ${word}`) <= most) lines[lines.length - 1] = `${last} ${word}`;
    else lines.push(word);
  }
  return lines;
}

/** A line of text. */
export function label(x: number, y: number, text: string, attributes: Attributes = {}): string {
  return element('text', { x, y, ...attributes }, escaped(text));
}
