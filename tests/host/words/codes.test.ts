import { expect, it } from 'vitest';
import * as contract from '../../../firmware/contract/codes';
import { Reason, Verdict } from '../../../firmware/contract/codes';
import {
  kindWord,
  orderWord,
  phaseWord,
  reasonCode,
  reasonSentence,
  verdictWord,
} from '../../../host/words/codes';
import { lengthWord } from '../../../host/words/length';

/** All codes in one table of the contract. */
function codes(table: string): number[] {
  const tables = contract as unknown as Record<string, Record<string, number | string>>;
  return Object.values(tables[table]).filter((value): value is number => typeof value === 'number');
}

it('has one sentence for every reason, and no two alike', () => {
  const reasons = codes('Reason').filter((reason) => reason !== Reason.None);
  expect(reasons.length).toBeGreaterThan(40);
  const sentences = reasons.map(reasonSentence);
  for (const sentence of sentences) expect(sentence).toMatch(/^[A-Z][^.]*\.$/);
  expect(new Set(sentences).size).toBe(sentences.length);
});

it('finds the code of each of its sentences again, and of no other', () => {
  for (const code of [...codes('Reason'), 201]) expect(reasonCode(reasonSentence(code))).toBe(code);
  expect(reasonCode('Something else.')).toBe(0);
});

it('has a word for every phase and order, and shows an unknown code with its number', () => {
  expect(codes('Phase').map(phaseWord)).not.toContainEqual(expect.stringContaining('unknown'));
  expect(codes('OrderKind').map(orderWord)).not.toContainEqual(expect.stringContaining('unknown'));
  expect([phaseWord(77), reasonSentence(201), orderWord(9)]).toEqual([
    'unknown phase 77',
    'Reason 201, unknown to this host.',
    'do something unknown (9)',
  ]);
});

it('reads an unknown verdict as void: nothing is proven', () => {
  expect([Verdict.Open, Verdict.Pass, Verdict.Fail, Verdict.Void, 9].map(verdictWord)).toEqual([
    'open',
    'pass',
    'fail',
    'void',
    'void',
  ]);
  expect([0, 1, 2, 3, 4].map(kindWord)).toEqual(['', 'brief', 'full', 'limited', 'commissioning']);
});

it.each([
  [0, '0 s'],
  [90, '90 s'],
  [3600, '60 min'],
  [7200, '2 h'],
  [10800, '3 h'],
])('writes %i s as %s', (seconds, text) => {
  expect(lengthWord(seconds)).toBe(text);
});
