// A small campaign with a fixed seed, and what a campaign promises: the same result on any number of threads,
// and a short story with one command to repeat it when something breaks.
import { expect, it } from 'vitest';
import { campaign, replayRun } from '../../../simulator/campaign/campaign';
import { replayCommand, storyOf } from '../../../simulator/campaign/replay';
import { sceneOf } from '../../../simulator/campaign/run';
import { claimOf } from '../../../simulator/campaign/shrink';
import { mutants } from '../../../simulator/explore/mutants';
import { FAULT_KINDS } from '../../../simulator/faults';
import { sizes } from '../../support/depth';

it('holds every invariant through many random sites with their faults', async () => {
  const runs = sizes.campaignRuns;
  const { report, findings } = await campaign({ runs, seed: 7, workers: 1 });
  expect(findings.map(({ command }) => command)).toEqual([]);
  expect(report).toMatchObject({ runs, violations: 0, recordsLost: 0, recordsDuplicated: 0 });
  expect(Object.keys(report.faultsInjected).sort()).toEqual(Object.keys(FAULT_KINDS).sort());
  const faults = Object.values(report.faultsInjected).reduce((a, b) => a + b, 0);
  expect(faults).toBeGreaterThanOrEqual(50 * runs);
  expect(report.controllerYears).toBeGreaterThanOrEqual(4 * runs);
});

it('expects no test before a clock that nobody has set for half a year may trust its window', async () => {
  const cut = { keep: [31, 39], circuits: ['c2'], lamps: 1, days: 748 };
  expect((await replayRun({ seed: 9, run: 0 }, cut)).violations).toEqual([]);
});

it('gives the same result on one and on two threads', async () => {
  const on = async (workers: number) => {
    const { report } = await campaign({ runs: 8, seed: 3, workers });
    return { ...report, seconds: 0 };
  };
  expect(await on(2)).toEqual(await on(1));
});

it('shrinks a failure, and repeats it from the numbers it prints', async () => {
  const mutant = mutants.find(({ name }) => name === 'restore only on pass')!;
  const { report, findings } = await campaign({ runs: 20, seed: 1, workers: 1, mutant, untilBroken: true });
  expect(report.violations).toBeGreaterThan(0);
  const [{ run, shrunk, command }] = findings;
  const at = { seed: 1, run };
  expect(command).toBe(replayCommand(at, shrunk.cut, { core: mutant.name }));
  expect(storyOf(sceneOf(at, shrunk.cut)).length).toBeLessThanOrEqual(5);
  const again = await replayRun(at, shrunk.cut, { mutant });
  expect(again.violations.map(claimOf)).toContain(claimOf(shrunk.outcome.violations[0]));
  // With the core as shipped, the same run breaks nothing.
  expect((await replayRun(at, shrunk.cut)).violations).toEqual([]);
});

it.each([
  [
    'the fallback schedule never wants a test',
    1,
    'I9 the fallback schedule did not begin a test that was due',
  ],
  ['believe one answer that contradicts the clock', 1, 'I2 the clock was put to another time by one answer'],
  ['an outage in a tester fault passes in silence', 2, 'I9 an outage in a tester fault passes in silence'],
])('finds a core in which %s', async (name, seed, sentence) => {
  const mutant = mutants.find((one) => one.name === name)!;
  const said: string[] = [];
  await campaign({
    ...{ runs: 30, seed, workers: 1, mutant, untilBroken: true, isLeftLarge: true },
    onRun: (_, violations) => said.push(...violations),
  });
  expect(said[0]).toContain(sentence);
});
