import { expect, test } from 'vitest';
import { curveColumns, minutesLit } from '../../../../host/page/words/curves';

test('curves with different steps share one axis in minutes', () => {
  const { minutes, columns } = curveColumns([
    { at: 2, step: 60, percent: [100, 90, -1], bound: 1.25 },
    { at: 1, step: 120, percent: [105, 95], bound: 1.25 },
  ]);
  expect(minutes).toEqual([0, 1, 2]);
  expect(columns).toEqual([
    [100, 90, null],
    [105, null, 95],
  ]);
});

test('without curves the plot is empty', () => {
  expect(curveColumns([])).toEqual({ minutes: [], columns: [] });
});

test('minutes lit end where the curve drops for good, not at a dip', () => {
  expect(minutesLit({ at: 1, step: 60, percent: [100, 60, 100, 95, 40, 2], bound: 1.25 }, 70)).toBe(4);
  expect(minutesLit({ at: 1, step: 60, percent: [100, 98, 97], bound: 1.25 }, 70)).toBeNull();
  expect(minutesLit({ at: 1, step: 60, percent: [0, 0], bound: 1.25 }, 70)).toBe(0);
  expect(minutesLit({ at: 1, step: 60, percent: [-1, -1], bound: 1.25 }, 70)).toBeNull();
});
