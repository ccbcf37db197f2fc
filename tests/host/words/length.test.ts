import { expect, it } from 'vitest';
import { lengthAtLeast, lengthWord } from '../../../host/words/length';

it.each([
  [45, '45 s'],
  [5400, '90 min'],
  [7500, '2 h 05 min'],
  [10_800, '3 h'],
])('%d s is written as %s', (seconds, text) => {
  expect(lengthWord(seconds)).toBe(text);
  expect(lengthAtLeast(seconds)).toBe(text);
});

it.each([
  [121, '3 min'],
  [11_101, '3 h 06 min'],
])('at least %d s is %s: a minute begun is needed', (seconds, text) => {
  expect(lengthAtLeast(seconds)).toBe(text);
  expect(lengthWord(seconds)).not.toBe(text);
});
