// Two ways of testing side by side, requested on the command line.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { runSide } from '../../host/rehearse/compareSides';
import { loadSite } from '../../host/site/load';
import type { Site } from '../../host/site/model';
import { DEMO_SITE, run } from './support/cli';

const ROOT = fileURLToPath(new URL('../..', import.meta.url));
const BY_HAND = join(ROOT, 'docs/examples/museum-by-hand.yaml');

const TESTED_MORE = join(ROOT, 'docs/examples/museum-tested-more.yaml');

function siteOf(file: string): Site {
  const loaded = loadSite(file);
  if (!('site' in loaded)) throw new Error(`${file} has mistakes.`);
  return loaded.site;
}

describe('simulate --compare', () => {
  it('prints both sides, and the same numbers on one and on two threads', async () => {
    const words = ['simulate', '--compare', BY_HAND, DEMO_SITE, '--years', '2', '--seed', '5', '--json'];
    const one = await run(...words, '--workers', '1');
    const two = await run(...words, '--workers', '2');
    expect(one).toMatchObject({ code: 0, stderr: '' });
    expect(two).toEqual(one);
    const { a, b, violations, definitions } = JSON.parse(one.stdout);
    expect([a.isByHand, b.isByHand, violations]).toEqual([true, false, 0]);
    expect(definitions).toContain('Exposure: people are in an area');
    // True for every seed: who works when, and a forgotten key only on the side tested by hand.
    expect(a.measures).toMatchObject({ nightsUsed: 0 });
    expect(b.measures).toMatchObject({ workingDaysUsed: 0, soundReported: 0 });
    expect(a.measures.workingDaysUsed).toBeGreaterThan(20);
    expect(a.measures.beyondTestHours).toBeGreaterThan(24);
    expect(b.measures.beyondTestHours).toBeLessThan(1);
    expect(a.measures.dischargedHours).toBeGreaterThan(b.measures.dischargedHours);
    expect(a.measures.flatLuminaires).toBeGreaterThan(b.measures.flatLuminaires);
  });

  it('prints a table with the definitions below it, and no bar without a terminal', async () => {
    const { code, stdout, stderr } = await run('simulate', '--compare', BY_HAND, DEMO_SITE, '--days', '60');
    expect([code, stderr]).toEqual([0, '']);
    expect(stdout).toContain('  A  Museum of Tides, Hollinsea, by hand (');
    const guide = readFileSync(join(ROOT, 'docs/whatif.md'), 'utf8').split('\n');
    const rows = stdout.split('\n').slice(5, 22);
    expect(rows.at(-1)).toContain('Supply off beyond the test');
    for (const row of rows) {
      const [words] = row.split(/ {2,}[\d-]/);
      expect(
        guide.filter((line) => line.split(/ {2,}[\d-]/)[0] === words),
        words,
      ).toHaveLength(1);
    }
    expect(stdout).toMatch(/\nRelay openings \(circuits tested\) +\d+ +\d+\n/);
    expect(stdout).toMatch(
      /\nExposure: people are in an area, and at least one luminaire there would not last/,
    );
  });

  it('repeats three ways of testing with other failures, the same in all columns', async () => {
    const words = ['simulate', '--compare', BY_HAND, DEMO_SITE, TESTED_MORE, '--years', '1', '--seeds', '2'];
    const { code, stdout } = await run(...words, '--seed', '3', '--json');
    expect(code).toBe(0);
    const { seeds, violations } = JSON.parse(stdout);
    expect([violations, seeds.map(({ seed }: { seed: number }) => seed)]).toEqual([0, [3, 4]]);
    for (const { a, b, c } of seeds) {
      expect(b.measures.brokenHours).not.toBe(c.measures.brokenHours);
      // Tests on top of the rule's own find more, sooner, and with no key.
      expect(c.measures.brokenHours).toBeLessThan(b.measures.brokenHours);
      expect(c.measures.brokenHours).toBeLessThan(a.measures.brokenHours);
      expect(c.measures.medianDaysToFind).toBeLessThan(a.measures.medianDaysToFind);
      expect(c.measures.wearMostPercent).toBeLessThan(5);
      expect(c.measures.wearMeanPercent).toBeGreaterThan(b.measures.wearMeanPercent);
      expect(c.measures.beyondTestHours).toBeLessThan(1);
    }
    const sum = (side: 'b' | 'c') =>
      seeds.reduce((hours: number, run: (typeof seeds)[0]) => hours + run[side].measures.brokenHours, 0);
    expect(sum('c')).toBeLessThan(0.6 * sum('b'));
    expect(seeds[0].b.measures.brokenHours).not.toBe(seeds[1].b.measures.brokenHours);
  });

  it('prints the mean of all seeds, and the least and the most', async () => {
    const words = ['simulate', '--compare', BY_HAND, DEMO_SITE, '--days', '40', '--seeds', '2'];
    const { code, stdout } = await run(...words);
    expect(code).toBe(0);
    expect(stdout).toMatch(/\nFailures that arose +[\d.]+ \(\d+ to \d+\) +[\d.]+ \(\d+ to \d+\)\n/);
  });

  it('gives one sentence for options that do not fit together', async () => {
    const told = async (...words: string[]) => {
      const { code, stdout, stderr } = await run('simulate', ...words);
      expect([code, stdout]).toEqual([1, '']);
      return stderr;
    };
    expect(await told('--compare', DEMO_SITE)).toBe(
      '--compare takes two to four site files: --compare A.yaml B.yaml.\n',
    );
    expect(await told('--compare', DEMO_SITE, BY_HAND, '--db', 'x.db')).toMatch(
      /^--compare takes site files .*--db.*\.\n$/,
    );
    expect(await told('--compare', DEMO_SITE, 'no.yaml')).toMatch(/^no\.yaml: there is no such file;/);
    expect(await told('--years', '1', '--seeds', '3')).toBe(
      '--seeds repeats a comparison: use it with --compare.\n',
    );
    expect(await told(BY_HAND, '--years', '1')).toMatch(/is tested by hand, .*; use it with --compare\.\n$/);
  });
});

describe('the example sites', () => {
  it('tested more differs only in how often', () => {
    const [ours, theirs] = [TESTED_MORE, DEMO_SITE].map((file) => parse(readFileSync(file, 'utf8')));
    const { testMore, ...rest } = ours;
    expect(testMore).toEqual({ functionTestDays: 7, durationTestDays: 28 });
    expect(rest).toEqual(theirs);
  });

  it('differ only in how they are tested', () => {
    const [ours, theirs] = [BY_HAND, DEMO_SITE].map((file) => parse(readFileSync(file, 'utf8')));
    const { byHand, ...simulation } = ours.simulation;
    expect(byHand).toBeDefined();
    expect({ ...ours, simulation }).toEqual(theirs);
  });

  it('have the same luminaires fail at the same instants', async () => {
    const sides = [];
    for (const file of [BY_HAND, DEMO_SITE])
      sides.push(await runSide({ site: siteOf(file), days: 300, seed: 2, workers: 1 }));
    // Before any repair is possible, within the first month, and only lamps that were never touched.
    const [hand, controllers] = sides.map(({ story }) =>
      story.circuits.flatMap(({ failures }) =>
        failures.map(({ luminaire, what, at }) => `${luminaire} ${what} ${at}`),
      ),
    );
    const drawn = hand.filter((failure) => !failure.includes('worn'));
    expect(drawn.length).toBeGreaterThan(5);
    expect([...controllers].sort()).toEqual([...hand].sort());
  });
});
