// Runs of a campaign with the real host: sound ones, and hosts that are broken on purpose, which must be found.
import { rmSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { afterAll, expect, it } from 'vitest';
import { realThreads } from '../../../../host/rehearse/realHost/threads';
import { type Campaign, campaign, replayRun } from '../../../../simulator/campaign/campaign';
import { claimOf } from '../../../../simulator/campaign/shrink';
import { depth, isWhole, sizes } from '../../../support/depth';
import { BROKEN_HOSTS, buildBroken } from './brokenHosts';

const BUILD = fileURLToPath(new URL('../../../../build/', import.meta.url));
const scripts: string[] = [];

afterAll(() => {
  for (const script of scripts) rmSync(script, { force: true });
});

it('loses and doubles no acknowledged record while host and disk fail', async () => {
  const runs = sizes.realHostRuns;
  const { report, findings } = await campaign({
    ...{ runs, seed: 5, workers: 2, real: { ...realThreads(), every: 1 } },
  });
  expect(findings.map(({ command }) => command)).toEqual([]);
  expect(report).toMatchObject({ runs, violations: 0, recordsLost: 0, recordsDuplicated: 0 });
  const { realHosts } = report;
  expect(realHosts.runs).toBe(runs);
  // What happened was real: the host was ended, its disk refused calls and lost sectors.
  expect(realHosts.starts).toBeGreaterThan(runs);
  expect(realHosts.acknowledged).toBeGreaterThan(0);
  expect(realHosts.callsFailed).toBeGreaterThan(0);
  if (depth === 'deep') expect(realHosts.sectorsLost).toBeGreaterThan(0);
});

/** Runs until something breaks. */
async function until(program: string, seed: number): Promise<Campaign & { said: string }> {
  let said = '';
  const found = await campaign({
    ...{ runs: 30, seed, workers: 1, real: { ...realThreads(program), every: 1 } },
    ...{ untilBroken: true, isLeftLarge: true },
    onRun: (_, violations) => {
      said = violations[0] ?? said;
    },
  });
  return { ...found, said };
}

const KEPT_APART = /kept apart/;
const LOST = /acknowledged records are not in the log book/;

/** The second takes ten times as long to find as the others, and all but the first are left to the deep run. */
const FOUND: [name: string, seed: number, sentence: RegExp][] = [
  ['it acknowledges before the commit', 1, LOST],
  ['its commits do not reach the disk', 1, LOST],
  ['it files a record again that it has', 1, KEPT_APART],
];

it.each(isWhole ? FOUND : FOUND.slice(0, 1))(
  'finds a host that is broken: %s',
  async (name, seed, sentence) => {
    const host = BROKEN_HOSTS.find((one) => one.name === name)!;
    const script = `${BUILD}broken-host-${process.pid}-${scripts.length}.cjs`;
    scripts.push(script);
    await buildBroken(host, script);
    const { said, report } = await until(script, seed);
    expect(said).toMatch(sentence);
    if (depth !== 'deep') return;
    // The same number breaks it again, and a sound host holds.
    const at = { seed, run: report.runs - 1 };
    const again = await replayRun(at, {}, { real: realThreads(script) });
    expect(again.violations.map(claimOf)).toContain(claimOf(said));
    expect((await replayRun(at, {}, { real: realThreads() })).violations).toEqual([]);
  },
);
