import { expect, it } from 'vitest';
import { levelBits, newInputs } from '../../../firmware/core/inputs';

it('levels as bits: each input has its own', () => {
  const dark = { ...newInputs(), supplyA: 0, supplyB: 0 };
  const senses = ['supplyA', 'supplyB', 'aux', 'occupied', 'stop', 'key'] as const;
  expect(levelBits(dark)).toBe(0);
  expect(senses.map((sense) => levelBits({ ...dark, [sense]: 1 }))).toEqual([1, 2, 4, 8, 16, 32]);
});
