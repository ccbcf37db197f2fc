// Large files go through another parser first; what comes out must not depend on that.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parseSite } from '../../../host/site/load';
import { LARGE, plainData } from '../../../host/site/plainYaml';
import { runs } from '../../support/depth';
import { SMALL } from './small';

/** Makes any text a large one without changing what it says. */
const PADDING = `\n# ${'-'.repeat(LARGE)}`;
/** The same, too short for that: mistakes are found on the same lines. */
const SHORT = '\n# -';
/** What may stand where a value does. */
const VALUES = [
  ...[
    '~',
    'null',
    'yes',
    'TRUE',
    '0o17',
    '017',
    '0b1',
    '1_000',
    '1e3',
    '.5',
    '-0',
    '.inf',
    '0x1F',
    '22:00',
    '2024-02-29',
  ],
  ...[
    '"\\x41"',
    "'it''s'",
    '[a, b,]',
    '{a: 1, a: 2}',
    '*none',
    '&a b',
    '!!str 3',
    '|',
    '>-',
    '?',
    '- a',
    'a: b',
    '# c',
    '\t',
  ],
];

/** The site, or where its mistakes are: what is not YAML is quoted in the sentence. */
function found(text: string): unknown {
  const result = parseSite(text, 'mill.yaml');
  return 'site' in result ? result.site : result.mistakes.map(({ line, field }) => `${line} ${field}`);
}

describe('a large site file', () => {
  it('is read as a small one with the same text, whatever has been changed in it', () => {
    const lines = SMALL.split('\n');
    const change = fc.record({
      line: fc.nat(lines.length - 1),
      value: fc.oneof(fc.constantFrom(...VALUES), fc.string({ maxLength: 12, unit: 'grapheme-ascii' })),
      how: fc.constantFrom('value', 'line', 'end'),
    });
    fc.assert(
      fc.property(fc.array(change, { maxLength: 3 }), (changes) => {
        const changed = [...lines];
        for (const { line, value, how } of changes) {
          if (how === 'line') changed[line] = value;
          else if (how === 'end') changed[line] += value;
          else changed[line] = changed[line].replace(/: .*$/, `: ${value}`);
        }
        const text = changed.join('\n');
        expect(found(text + PADDING)).toEqual(found(text + SHORT));
      }),
      { numRuns: runs(80) },
    );
  });

  it('is read by the lean parser only where it holds nothing but plain data', () => {
    expect(plainData(SMALL)).toBeUndefined();
    expect(plainData(SMALL + PADDING)).toMatchObject({ id: 'mill', areas: [{ id: 'hall' }, { id: 'loft' }] });
    for (const special of ['%YAML 1.1\n---\n', 'a: &x 1\nb: *x\n', 'a: !!str 1\n', 'a: [&x 1]\n'])
      expect(plainData(special + SMALL + PADDING)).toBeUndefined();
    expect(plainData(`a: b: c\n${PADDING}`)).toBeUndefined();
    expect(plainData(`name: Smith & Sons * 2 !${PADDING}`)).toEqual({ name: 'Smith & Sons * 2 !' });
  });
});
