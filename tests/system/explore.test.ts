import { expect, it } from 'vitest';
import { explore, WORLDS } from '../../simulator/explore/explore';
import { mutants } from '../../simulator/explore/mutants';
import { isWhole, sizes } from '../support/depth';
import { run } from './support/cli';

if (isWhole)
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
  });
else
  it('explores the smallest worlds without a broken claim and catches some broken cores', async () => {
    const step = Math.ceil(mutants.length / sizes.brokenCores);
    const broken = mutants.filter((_, i) => i % step === 0);
    const { report, findings } = await explore({ worlds: WORLDS.slice(-sizes.worlds), broken });
    expect(findings).toEqual([]);
    expect(report).toMatchObject({ violations: 0, mutantsCaught: broken.length });
    expect(report.states).toBeGreaterThan(10_000);
  });
