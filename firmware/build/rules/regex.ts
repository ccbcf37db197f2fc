/** What the interpreter's regular expressions cannot do, or undefined when the pattern is plain enough. */
export function regexFault(pattern: string): string | undefined {
  if (/\\[bB]/.test(pattern)) return 'the interpreter does not know \\b and \\B';
  // Escapes and classes cannot contain the constructs searched for below.
  const plain = pattern.replace(/\\./g, 'x').replace(/\[[^\]]*\]/g, 'x');
  if (/\(\?/.test(plain)) return 'the interpreter has no (?:), lookahead or lookbehind';
  if (/\{\d/.test(plain)) return 'the interpreter does not count with {n}';
  if (/[+*?]\?/.test(plain)) return 'the interpreter has no lazy quantifiers';
  if (/[+*][^()]*\)[+*?]/.test(plain)) return 'nested quantifiers match wrongly on the interpreter';
  return undefined;
}
