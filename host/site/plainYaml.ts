// Large site files are written by programs. A reader of plain YAML alone takes a tenth of the time of the parser that
// keeps line numbers, and a parser of all YAML without them a fifth.
import { CORE_SCHEMA, load } from 'js-yaml';
import { blockData } from './blockYaml';

/** Characters from which on a file is large: some 500 circuits. */
export const LARGE = 500_000;

/** What the two parsers may take in different ways, or what may expand without end: directives, anchors, tags. */
const SPECIAL = /^%|(^|[\s[{,:-])[&*!]\S/m;

/** The data in a large YAML text that has nothing special; undefined where another parser must look at it. */
export function plainData(text: string): unknown {
  if (text.length < LARGE) return undefined;
  const data = blockData(text);
  if (data !== undefined || SPECIAL.test(text)) return data;
  try {
    return load(text, { schema: CORE_SCHEMA });
  } catch {
    // The other parser says what is wrong, and where.
    return undefined;
  }
}
