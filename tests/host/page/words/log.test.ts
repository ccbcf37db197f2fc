import { expect, test } from 'vitest';
import { kindWord, markTone, merged, withHead } from '../../../../host/page/words/log';
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
