// Years of an estate from the command line: the same on any number of threads, and complete.
import { describe, expect, it } from 'vitest';
import { simulate } from '../../host/cli/simulate';
import { seededKeys } from '../../host/keys';
import { neighboursOf } from '../../host/planner/placing/colours';
import { inventedEstate } from '../../host/rehearse/inventedEstate';
import { longRun } from '../../host/rehearse/longRun';
import { loadSite } from '../../host/site/load';
import type { LiveHeap } from '../../simulator/run/shard';
import { DEMO_SITE, run } from './support/cli';

const YEARS = ['simulate', '--years', '2', '--seed', '3', '--json', '--estate', '12x3', '--workers'];

interface Told {
  [field: string]: unknown;
  seconds: number;
  cpuSeconds: number;
  controllerYearsPerSecond: number;
  workers: number;
}

async function told(...words: string[]): Promise<Told> {
  const outcome = await run(...words);
  expect(outcome).toMatchObject({ code: 0, stderr: '' });
  return JSON.parse(outcome.stdout);
}

describe('simulate --years', () => {
  it('gives the same result on one and on two threads, and every record is in the log book once', async () => {
    const one = await told(...YEARS, '1');
    const two = await told(...YEARS, '2');
    const { seconds, cpuSeconds, controllerYearsPerSecond, workers, ...result } = one;
    expect(workers).toBe(1);
    expect(two).toMatchObject({ ...result, workers: 2 });
    expect(Object.keys(two)).toEqual(Object.keys(one));
    expect(result).toMatchObject({
      ...{
        controllerDays: 12 * 731,
        violations: 0,
        recordsLost: 0,
        recordsDuplicated: 0,
        chainValid: true,
      },
      recordsInLogbook: result.recordsWritten,
    });
    expect(result.finalHash).toMatch(/^[0-9a-f]{64}$/);
    for (const measured of [seconds, cpuSeconds, controllerYearsPerSecond])
      expect(measured).toBeGreaterThan(0);
  });

  it('gives another result for another seed', async () => {
    const seeds = [...YEARS, '1'].map((word) => (word === '3' ? '4' : word));
    const [one, other] = [await told(...YEARS, '1'), await told(...seeds)];
    expect(one.finalHash).not.toBe(other.finalHash);
  });

  it('tests every luminaire of an estate about once a month, with one duration test a year', async () => {
    const { tests } = (await told(...YEARS, '2')) as unknown as {
      tests: { brief: { pass: number; fail: number; void: number }; full: { pass: number; fail: number } };
    };
    const lampYears = 12 * 3 * 2;
    const briefs = tests.brief.pass + tests.brief.fail + tests.brief.void;
    expect(briefs / lampYears).toBeGreaterThan(11);
    expect(briefs / lampYears).toBeLessThan(17);
    expect((tests.full.pass + tests.full.fail) / lampYears).toBeGreaterThanOrEqual(1);
  });

  it('reaches the same verdicts as the whole host on the demonstration site, about as often', async () => {
    const loaded = loadSite(DEMO_SITE);
    if (!('site' in loaded)) throw new Error('The demonstration site has mistakes.');
    const options = { site: loaded.site, days: 250, seed: 7, json: true };
    const whole = await simulate(options);
    const alone = await simulate({ ...options, isAlone: true });
    expect([alone.violations, whole.violations]).toEqual([[], []]);
    // So short a run is not worth a second thread.
    expect(alone.result.workers).toBe(1);
    for (const kind of ['brief', 'full'] as const)
      for (const verdict of ['pass', 'fail'] as const) {
        const [mine, theirs] = [alone.result.tests[kind][verdict], whole.result.tests[kind][verdict]];
        expect(Math.abs(mine - theirs), `${kind} ${verdict}`).toBeLessThanOrEqual(0.05 * theirs + 8);
      }
  });
});

it('a long run keeps no more in memory in its last ten years than in its first ten', async () => {
  const heaps: LiveHeap[] = [];
  await longRun({
    ...{ site: inventedEstate({ controllers: 6, luminaires: 16 }, 1), keys: seededKeys(1), seed: 1 },
    ...{ days: 30 * 365, workers: 1, countsHeap: true },
    onSpan: (_days, [heap]) => heaps.push(heap),
  });
  expect(heaps.length).toBe(37);
  const middle = (spans: number[]) => spans.sort((a, b) => a - b)[5];
  const growth = (what: keyof LiveHeap) =>
    middle(heaps.slice(-11).map((heap) => heap[what])) / middle(heaps.slice(1, 12).map((heap) => heap[what]));
  // Of about twelve thousand objects. Keeping one per record would mean growth of 1.3.
  expect(growth('objects')).toBeLessThan(1.02);
  // Strings too (the texts of the records: 1.27), but these include bytes of the engine, which come and go.
  expect(growth('bytes')).toBeLessThan(1.2);
});

describe('an invented estate', () => {
  it('is the same for the same size and seed, has the requested size, and names nobody twice', () => {
    const site = inventedEstate({ controllers: 37, luminaires: 16 }, 1);
    expect(inventedEstate({ controllers: 37, luminaires: 16 }, 1)).toEqual(site);
    expect(inventedEstate({ controllers: 37, luminaires: 16 }, 2)).not.toEqual(site);
    const lamps = site.circuits.flatMap((circuit) => circuit.luminaires.map((lamp) => lamp.id));
    expect([site.circuits.length, lamps.length]).toEqual([37, 37 * 16]);
    expect(new Set(lamps).size).toBe(lamps.length);
    expect(new Set(site.circuits.map((circuit) => circuit.id)).size).toBe(37);
  });

  it('has two circuits on each floor, which are neighbours', () => {
    const near = neighboursOf(inventedEstate({ controllers: 11, luminaires: 1 }, 1));
    expect([...(near.get('h1-f0a') as Set<string>)]).toEqual(['h1-f0b']);
    expect([...(near.get('h2-f1a') as Set<string>)]).toEqual([]);
  });
});
