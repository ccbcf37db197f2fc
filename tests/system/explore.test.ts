import { expect, it } from 'vitest';
import { run } from './support/cli';

it('explores more than a million states of the shipped core without a broken claim and catches every broken core', async () => {
  const { code, stdout, stderr } = await run('explore', '--json');
  expect(stderr).toBe('');
  expect(code).toBe(0);
  const report = JSON.parse(stdout) as Record<string, number>;
  expect(Object.keys(report)).toEqual([
    ...['states', 'transitions', 'violations', 'mutantsCaught', 'mutantsTotal', 'seconds'],
  ]);
  expect(report.violations).toBe(0);
  expect(report.states).toBeGreaterThanOrEqual(1_000_000);
  expect(report.mutantsCaught).toBe(report.mutantsTotal);
  expect(report.mutantsTotal).toBeGreaterThanOrEqual(25);
}, 900_000);
