import { expect, test } from 'vitest';
import { NOTE_KINDS } from '../../../../host/house/notes/notes';
import {
  chainWords,
  kindWord,
  logKinds,
  markTone,
  merged,
  NOTHING_SHOWN,
  shownWords,
  withHead,
  withNewest,
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
  const words = logKinds().map(([, word]) => word.toLowerCase());
  expect(logKinds()[0]).toEqual(['failed', 'Failed test']);
  const roots = words.map((word) => word.replace(/s$/, ''));
  expect(new Set(roots).size).toBe(logKinds().length);
  for (const word of words) expect(words.filter((other) => other.startsWith(`${word} `))).toEqual([]);
});

test('every kind of note that people enter has a word', () => {
  for (const kind of NOTE_KINDS) expect(kindWord(kind)).not.toBe(kind);
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
  expect(shownWords(shown, { total: 160, lookedTo: 111 })).toBe('Shown here: 50 of 160, entries 111 to 160.');
  expect(shownWords([entry(1)], { total: 1, lookedTo: 0 })).toBe('Shown here: all 1.');
  expect(shownWords(shown, { total: null, lookedTo: 0 })).toBe('Shown here: 50, entries 111 to 160.');
  const searched = { total: null, lookedTo: 90 };
  const rest = 'Entries before 90 have not been looked at.';
  expect(shownWords(shown, searched)).toBe(`Shown here: 50, entries 111 to 160. ${rest}`);
  expect(shownWords([], searched)).toBe(`None found. ${rest}`);
  expect(shownWords([], { total: 0, lookedTo: 0 })).toBe('No entries of this kind.');
});

test('what was searched once is not searched again, unless newer entries in between were never fetched', () => {
  const first = withNewest(NOTHING_SHOWN, { entries: [entry(90)], lookedTo: 50 }, 2);
  expect(first).toEqual({ entries: [entry(90)], lookedTo: 50 });
  const deeper = { ...first, lookedTo: 20 };
  const newer = withNewest(deeper, { entries: [entry(95), entry(90)], lookedTo: 90 }, 2);
  expect(newer).toEqual({ entries: [entry(95), entry(90)], lookedTo: 20 });
  const gap = withNewest(deeper, { entries: [entry(99), entry(98)], lookedTo: 98 }, 2);
  expect(gap).toEqual({ entries: [entry(99), entry(98)], lookedTo: 98 });
});
