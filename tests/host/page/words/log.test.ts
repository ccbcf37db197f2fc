import { expect, test } from 'vitest';
import {
  chainWords,
  kindWord,
  LOG_KINDS,
  markTone,
  merged,
  shownWords,
  withHead,
} from '../../../../host/page/words/log';
import { entry } from '../samples';

const numbers = (list: { entry: number }[]) => list.map((e) => e.entry);

test('older entries are added once, newest first', () => {
  expect(numbers(merged([entry(5), entry(4)], [entry(4), entry(3)]))).toEqual([5, 4, 3]);
});

test('new entries go above what is shown', () => {
  expect(numbers(withHead([entry(3), entry(2), entry(1)], [entry(4), entry(3)], 2))).toEqual([4, 3, 2, 1]);
});

test('if entries were missed in between, only the newest page is kept', () => {
  expect(numbers(withHead([entry(3), entry(2)], [entry(9), entry(8)], 2))).toEqual([9, 8]);
});

test('the filter has failures, and no two kinds that read alike', () => {
  const words = LOG_KINDS.map(([, word]) => word.toLowerCase());
  expect(LOG_KINDS[0]).toEqual(['failed', 'Failed test']);
  const roots = words.map((word) => word.replace(/s$/, ''));
  expect(new Set(roots).size).toBe(LOG_KINDS.length);
  for (const word of words) expect(words.filter((other) => other.startsWith(`${word} `))).toEqual([]);
});

test('an unknown kind is shown as it came', () => {
  expect([kindWord('result'), kindWord('visit')]).toEqual(['Test result', 'visit']);
});

test('alarms and failures are marked as faults', () => {
  expect((['pass', 'fail', 'alarm', 'void', 'note'] as const).map(markTone)).toEqual([
    'good',
    'fault',
    'fault',
    'idle',
    'idle',
  ]);
});

test('the chain is called valid only when all of it was checked', () => {
  const chain = { checked: 6000, entries: 6000, at: 1770001234, broken: null };
  expect(chainWords(chain, 'UTC')).toMatchObject({ tone: 'good', word: 'Chain valid, entries 1 to 6000' });
  for (const part of [{ checked: 4000 }, { at: 0 }, { broken: { entry: 5500, why: 'Changed.' } }]) {
    const { tone, word, text } = chainWords({ ...chain, ...part }, 'UTC');
    expect(tone).not.toBe('good');
    expect(word + text).not.toMatch(/valid/);
  }
  expect(chainWords({ ...chain, checked: 4000 }, 'UTC').word).toBe(
    'Chain checked to entry 4000 of 6000 so far',
  );
  expect(chainWords({ ...chain, broken: { entry: 5500, why: 'It was changed.' } }, 'UTC')).toMatchObject({
    word: 'Chain broken at entry 5500.',
    text: expect.stringContaining('It was changed.'),
  });
});

test('a print says which entries it shows', () => {
  const shown = Array.from({ length: 50 }, (_, i) => entry(160 - i));
  expect(shownWords(shown, 160)).toBe('Shown here: 50 of 160, entries 111 to 160.');
  expect(shownWords([entry(1)], 1)).toBe('Shown here: all 1.');
  expect(shownWords(shown, null)).toBe('Shown here: 50, entries 111 to 160.');
});
