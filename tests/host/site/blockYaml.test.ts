// What is read here must be what a parser of all YAML reads, or be left to it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseDocument } from 'yaml';
import { blockData } from '../../../host/site/blockYaml';
import { runs } from '../../support/depth';
import { SMALL } from './small';

/** By a parser that shares nothing with it; undefined where it finds a mistake. */
function judged(text: string): unknown {
  const doc = parseDocument(text, { logLevel: 'silent' });
  return doc.errors.length > 0 ? undefined : doc.toJS();
}

const PIECES = [
  ...[
    ': ',
    ' #',
    '- ',
    '-',
    '  ',
    '\n',
    '\n\n',
    '\r\n',
    '\t',
    ', ',
    '{',
    '}',
    '[',
    ']',
    '{}',
    '[]',
    '[a, b]',
    '"',
    "'",
  ],
  ...[
    'a: 1',
    '? a',
    '---',
    '...',
    '# c',
    '&a ',
    '*a',
    '!t ',
    '| ',
    '> ',
    '%',
    '@',
    '\\',
    'é',
    '\u2028',
    '\ud83d\ude00',
  ],
  ...[
    '~',
    'null',
    'true',
    'No',
    '0',
    '-1',
    '+1',
    '007',
    '1.50',
    '1e3',
    '.5',
    '1.',
    '0x1F',
    '0o7',
    '.inf',
    '1_0',
    '22:00',
  ],
  ...['2025-06-01', '12345678901234567890', '__proto__: 1', 'http://a.b', "it''s", '<<: ', '='],
];
const EXAMPLES = [
  SMALL,
  'a:\n- b\n- c: 1\n  d: [x, "y z", {e: 2.5}]\n-\n  - 3\nf:\ng: \'h\'\n',
  '- { a: b c, d: [1, -2], e: {} }\n# c\n\n- word, with [brackets]\n- -5\n-\n',
];

describe('the lean reader of plain YAML', () => {
  it('reads the same data as another parser, or none', () => {
    for (const text of EXAMPLES) expect(blockData(text)).toEqual(judged(text));
  });

  it('reads the same data as another parser, or none, whatever is put anywhere', () => {
    const change = fc.record({ at: fc.nat(), cut: fc.nat(3), piece: fc.constantFrom(...PIECES, '') });
    fc.assert(
      fc.property(
        fc.constantFrom(...EXAMPLES),
        fc.array(change, { minLength: 1, maxLength: 4 }),
        (text, changes) => {
          let changed = text;
          for (const { at, cut, piece } of changes) {
            const from = at % (changed.length + 1);
            changed = changed.slice(0, from) + piece + changed.slice(from + cut);
          }
          const data = blockData(changed);
          if (data !== undefined) expect(data).toEqual(judged(changed));
        },
      ),
      { numRuns: runs(300) },
    );
  });

  it.each([
    'a: 1\na: 2',
    'a: b: c',
    'a: b #c',
    'a: [1, 2',
    'a: "b\\n"',
    'a: &x 1',
    'constructor: 1',
    '[[a]'.repeat(50_000),
  ])('leaves what is not plain to another parser: %#', (text) => {
    expect(blockData(text)).toBeUndefined();
  });
});
