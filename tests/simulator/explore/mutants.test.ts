import { expect, it } from 'vitest';
import { mutantSource } from '../../../simulator/explore/bundle';
import { hunt } from '../../../simulator/explore/explore';
import { mutants } from '../../../simulator/explore/mutants';

it.each(mutants.map((mutant) => [mutant.name, mutant] as const))(
  'finds the place of "%s" exactly once',
  (_, mutant) => {
    expect(mutantSource(mutant)).toContain(mutant.replace);
  },
);

it('has at least 25 broken cores, each with a name of its own', () => {
  expect(new Set(mutants.map((mutant) => mutant.name)).size).toBe(mutants.length);
  expect(mutants.length).toBeGreaterThanOrEqual(25);
});

it('names the claim that a broken core breaks', async () => {
  const mutant = mutants.find(({ name }) => name === 'restore only on pass')!;
  expect(await hunt(mutant)).toMatch(/^I1 /);
});
