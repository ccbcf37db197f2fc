import { expect, test } from 'vitest';
import { datesMistake, fileName, lastYear } from '../../../../host/page/words/report';

test('the twelve months up to a date begin a day after the same date a year before', () => {
  expect(lastYear('2026-12-31')).toEqual({ from: '2026-01-01', to: '2026-12-31' });
  expect(lastYear('2025-02-28')).toEqual({ from: '2024-02-29', to: '2025-02-28' });
  expect(lastYear('2024-02-29')).toEqual({ from: '2023-03-01', to: '2024-02-29' });
});

test('dates that are missing or the wrong way round are said before the host is asked', () => {
  expect(datesMistake({ from: '', to: '2026-01-01' })).toBe('Give the first and the last day.');
  expect(datesMistake({ from: '2026-01-02', to: '2026-01-01' })).toBe('The last day is before the first.');
  expect(datesMistake({ from: '2026-01-01', to: '2026-01-01' })).toBe('');
});

test('the name says which report it is', () => {
  const wish = { from: '2026-01-01', to: '2026-12-31', format: 'csv', paper: 'letter' } as const;
  expect(fileName('lodge', wish)).toBe('emergency-lighting-lodge-2026-01-01-2026-12-31.csv');
});
