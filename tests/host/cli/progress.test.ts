import { expect, it } from 'vitest';
import { barText } from '../../../host/cli/progress';

it('shows how much is done and how long the rest will take at that pace', () => {
  expect(barText(0, 200, 'runs', 0)).toBe('[..............................] 0 of 200 runs');
  expect(barText(50, 200, 'runs', 10_000)).toBe(
    '[########......................] 50 of 200 runs, about 30 s left',
  );
  expect(barText(200, 200, 'runs', 40_000)).toBe('[##############################] 200 of 200 runs');
});
