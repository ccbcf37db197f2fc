// Breaks text into lines. Words are measured once each: a report repeats the same few thousand.

/** Width of a text, points. */
export type Measure = (text: string) => number;

/** Most words whose width is remembered. */
const KNOWN_MAX = 50_000;

/** The same measure, with a memory. */
export function remembering(measure: Measure): Measure {
  const known = new Map<string, number>();
  return (text) => {
    let width = known.get(text);
    if (width === undefined) {
      if (known.size >= KNOWN_MAX) known.clear();
      width = measure(text);
      known.set(text, width);
    }
    return width;
  };
}

/** Parts of a word that is wider than a line. */
function* parts(word: string, width: number, measure: Measure): Generator<string> {
  let part = '';
  for (const character of word) {
    if (part !== '' && measure(part + character) > width) {
      yield part;
      part = '';
    }
    part += character;
  }
  yield part;
}

/** Lines of a text, none wider than `width` unless a single character is; at least one, maybe empty. */
export function linesOf(text: string, width: number, measure: Measure): string[] {
  const space = measure(' ');
  const lines: string[] = [];
  let [line, used] = ['', 0];
  for (const word of text.split(' ').filter((one) => one !== ''))
    for (const part of measure(word) > width ? parts(word, width, measure) : [word]) {
      const wide = measure(part);
      if (line !== '' && used + space + wide > width) {
        lines.push(line);
        [line, used] = ['', 0];
      }
      used += line === '' ? wide : space + wide;
      line += line === '' ? part : ` ${part}`;
    }
  return [...lines, line];
}
