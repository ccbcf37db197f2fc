// The texts of a language one by one, and the runs of words in them.

export type Leaf = string | ((...values: string[]) => string);

/** Every text of a table by its path. */
export function leaves(table: object, path = ''): [string, Leaf][] {
  return Object.entries(table).flatMap(([key, value]): [string, Leaf][] => {
    const here = `${path}${path === '' ? '' : '.'}${key}`;
    return typeof value === 'object' && value !== null ? leaves(value, here) : [[here, value as Leaf]];
  });
}

/** Values that serve as numbers and as words, and cannot be taken for one another. */
export const VALUES = ['7001', '7002', '7003', '7004'];

export function told(leaf: Leaf, values: readonly string[]): string {
  return typeof leaf === 'string' ? leaf : leaf(...values);
}

/** All `length` words of three letters or more that follow one another in a text, in lower case. */
export function runsOf(text: string, length: number): string[] {
  const plain = text.replace(/\{\w+\}/g, ' ').toLowerCase();
  const words: string[] = plain.match(/[\p{L}’']{3,}/gu) ?? [];
  return words.slice(0, 1 - length || undefined).map((_, i) => words.slice(i, i + length).join(' '));
}

/** Runs of words that are the same in every language, because people type them: commands. */
export const COMMANDS: readonly string[] = [
  'logbook verify noted',
  'nightproof accounts add',
  ...['nightproof serve site', 'serve site yaml', 'nightproof serve site yaml'],
];
