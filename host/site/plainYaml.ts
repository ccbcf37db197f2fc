// Large site files are written by programs. A parser that keeps no line numbers reads them in a fifth of the time and
// memory of the one that does.
import { CORE_SCHEMA, load } from 'js-yaml';

/** Characters from which on a file is large: some 500 circuits. */
export const LARGE = 500_000;

/** What the two parsers may take in different ways, or what may expand without end: directives, anchors, tags. */
const SPECIAL = /^%|(^|[\s[{,:-])[&*!]\S/m;

/** The data in a large YAML text that has nothing special; undefined where another parser must look at it. */
export function plainData(text: string): unknown {
  if (text.length < LARGE || SPECIAL.test(text)) return undefined;
  try {
    return load(text, { schema: CORE_SCHEMA });
  } catch {
    // The other parser says what is wrong, and where.
    return undefined;
  }
}
