export interface Finding {
  /** Short name of the rule. */
  rule: string;
  /** From 1. */
  line: number;
  /** From 1, in characters. */
  column: number;
  /** What is wrong, in a sentence. */
  sentence: string;
}

/** Line and column of a character offset. */
export function at(source: string, offset: number): { line: number; column: number } {
  const before = source.slice(0, offset).split('\n');
  return { line: before.length, column: before[before.length - 1].length + 1 };
}
