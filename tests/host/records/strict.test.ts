// The strict reader against a reader that shares nothing with it: acorn, which keeps every name and every
// number as it was written.
import { type AnyNode, parseExpressionAt } from 'acorn';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sign } from '../../../firmware/contract/signature';
import { topicOf } from '../../../firmware/contract/topics';
import { createIngest } from '../../../host/ingest/ingest';
import { openLogbook } from '../../../host/logbook/engines/open';
import { readStrictly } from '../../../host/records/strict';
import { runs } from '../../support/depth';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const A = 'demo/a';

interface Written {
  names: string[];
  /** How each value is written. */
  raw: Map<string, string>;
}

/** Every name of an object in order, at any depth, and the text of each value of the outermost one. */
function acornReads(text: string): Written {
  const names: string[] = [];
  const raw = new Map<string, string>();
  const visit = (node: AnyNode, depth: number): void => {
    if (node.type === 'ArrayExpression') for (const item of node.elements) if (item) visit(item, depth + 1);
    if (node.type !== 'ObjectExpression') return;
    const own: string[] = [];
    for (const property of node.properties) {
      if (property.type !== 'Property' || property.key.type !== 'Literal') throw new Error('not JSON');
      const { key, value } = property;
      own.push(String(key.value));
      if (depth === 0) raw.set(String(key.value), text.slice(value.start, value.end));
      visit(value, depth + 1);
    }
    expect(new Set(own).size).toBe(own.length);
    names.push(...own);
  };
  visit(parseExpressionAt(text, 0, { ecmaVersion: 2022 }), 0);
  return { names, raw };
}

/** The text of a record without its signature's ending. */
function bare(kind: string, fields: object): string {
  return newJournal(A)
    .next(kind, fields)
    .replace(/,"mac".*/, '');
}

const BARE = [
  bare('held', { reason: 23, arg: 0 }),
  bare('result', resultFields([[1, 0, 90, 300, 300, 290, 2]])),
  bare('trace', { part: 0, left: 9, text: 'a b "c" d' }),
];

/** Pieces that one reader may take otherwise than another. */
const PIECES = [
  ...[
    '"seq":2,',
    '"kind":"held",',
    '"utc":5,',
    '"prev":"00",',
    '"test":7,',
    '"x":{"seq":3},',
    '"x":["seq",1],',
  ],
  ...['1e9', '.0', '-', '0', ' ', '\\"', '\\u0031', '"', ',', ':', '{', '}', '[', ']', '"seq":', '"1":2,'],
];

const oddTexts = fc
  .tuple(
    fc.constantFrom(...BARE),
    fc.array(fc.tuple(fc.nat(400), fc.nat(3), fc.constantFrom(...PIECES)), { maxLength: 3 }),
  )
  .map(([text, changes]) =>
    changes.reduce((t, [at, drop, piece]) => {
      // Between two fields as often as anywhere.
      const places = [...t.matchAll(/[,{](?=")/g)].map((m) => m.index + 1);
      const from = at % 2 ? (places[at % places.length] ?? 0) : at % t.length;
      return t.slice(0, from) + piece + t.slice(from + (at % 2 ? 0 : drop));
    }, text),
  );

describe('the strict reader', () => {
  it('takes every record that a controller writes', () => {
    for (const text of BARE) expect(readStrictly(`${text}}`)).toBeDefined();
  });

  it('takes only what another reader reads alike: each name once, each number in digits', () => {
    let taken = 0;
    fc.assert(
      fc.property(oddTexts, (text) => {
        const value = readStrictly(`${text}}`);
        if (!value) return;
        taken++;
        const { raw } = acornReads(`${text}}`);
        for (const name of ['v', 'seq', 'utc', 'test'])
          expect(raw.get(name)).toBe(value[name] === undefined ? undefined : String(value[name]));
        for (const name of ['journal', 'kind', 'prev'])
          expect(raw.get(name)).toBe(value[name] === undefined ? undefined : `"${value[name]}"`);
      }),
      { numRuns: runs(3000) },
    );
    expect(taken).toBeGreaterThan(0);
  });

  it('leaves no text, however odd, that makes the log book look broken', async () => {
    await fc.assert(
      fc.asyncProperty(fc.array(oddTexts, { minLength: 5, maxLength: 30 }), async (texts) => {
        const logbook = await openLogbook(':memory:');
        const ingest = createIngest({
          ...{ logbook, keys: KEYS, clock: { nowMs: () => 1770001234567 }, publish: () => true },
        });
        for (const text of texts)
          ingest.accept(topicOf(A, 'record'), sign(KEYS.keyOf(A), 'record', A, text), false);
        await ingest.flush();
        const { stored, conflicts, duplicates } = ingest.counts;
        expect(stored + conflicts + duplicates + ingest.counts.refused.shape).toBe(texts.length);
        const { broken } = await logbook.verify(KEYS);
        // A number left out or a link to another text is the controller's doing, and may be said.
        if (broken) expect(broken.why).toMatch(/lacks record|does not follow/);
        await logbook.close();
      }),
      { numRuns: runs(60) },
    );
  });
});
