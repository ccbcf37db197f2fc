import { expect, it } from 'vitest';
import { MISFORTUNES } from '../../../simulator/campaign/misfortunes';
import { sceneOf } from '../../../simulator/campaign/run';

const scenes = Array.from({ length: 30 }, (_, run) => sceneOf({ seed: 1, run }, {}, 'real'));

it('draws every misfortune, before the last calm days, the same for the same numbers', () => {
  const kinds = new Set(scenes.flatMap(({ incidents }) => incidents.map((one) => one.misfortune?.kind)));
  for (const kind of MISFORTUNES) expect(kinds).toContain(kind);
  for (const { incidents, site } of scenes)
    for (const { misfortune, at } of incidents)
      if (misfortune) expect(at + misfortune.offMs).toBeLessThan((site.days - 4) * 86_400_000);
  expect(sceneOf({ seed: 1, run: 5 }, {}, 'real')).toEqual(scenes[5]);
});

it('gives each a number of its own, by which a run is cut down', () => {
  for (const { incidents } of scenes)
    expect(new Set(incidents.map(({ number }) => number)).size).toBe(incidents.length);
  const [one] = scenes[3].incidents.filter(({ misfortune }) => misfortune);
  const cut = sceneOf({ seed: 1, run: 3 }, { keep: [one.number] }, 'real');
  expect(cut.incidents).toEqual([one]);
});

it('draws no misfortune for a host in memory', () => {
  expect(sceneOf({ seed: 1, run: 3 }).incidents.some(({ misfortune }) => misfortune)).toBe(false);
});
