// Ways out of areas, and that both ways out of one area are never unready together.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Plan } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { loadSite } from '../../../host/site/load';
import type { Area, Site, Weekday } from '../../../host/site/model';
import { alternatives, useOf, waysOut } from '../../../host/site/waysOut';
import { runs } from '../../support/depth';
import { hardSite, nightly, OFFICE } from '../planner/hardSites';
import { ALL, DRAWN } from '../planner/smallSite';

const DAY = 86400;
const HOUR = 3600;
const FROM = utcOfLocal('UTC', '2026-01-05T12:00');

/** BUILDINGS=1000 takes some minutes. */
const BUILDINGS = Number(process.env.BUILDINGS || runs(20));

interface Drawn {
  floors: number;
  rooms: number;
  stairCircuits: number;
  isMarked: boolean;
  days: Weekday[];
  atOnce: number;
}

const drawn: fc.Arbitrary<Drawn> = fc.record({
  floors: fc.integer({ min: 2, max: 4 }),
  rooms: fc.integer({ min: 1, max: 2 }),
  stairCircuits: fc.integer({ min: 1, max: 2 }),
  isMarked: fc.boolean(),
  days: fc.subarray(ALL, { minLength: 4 }),
  atOnce: fc.integer({ min: 2, max: 4 }),
});

/** A building with two stairs, areas 0 and 1, and rooms between them; on one floor if the stairs are marked. */
function built({ floors, rooms, stairCircuits, isMarked, days, atOnce }: Drawn): Site {
  const room = (floor: number, i: number) => 2 + floor * rooms + i;
  const all = Array.from({ length: floors }, (_, floor) => floor);
  const doors = all.flatMap((floor): [number, number][] => [
    [0, room(floor, 0)],
    [1, room(floor, rooms - 1)],
    ...(rooms > 1 ? [[room(floor, 0), room(floor, 1)] as [number, number]] : []),
  ]);
  const stairs = Array.from({ length: 2 * stairCircuits }, (_, i) => [i % 2]);
  const circuits = [...stairs, ...all.flatMap((floor) => [[room(floor, 0)], [room(floor, rooms - 1)]])];
  const site = hardSite({
    ...{ name: 'Two stairs', circuits, doors, occupied: [OFFICE], atOnce },
    windows: nightly(30, 360, days),
  });
  const areas = site.areas.map((area, i) => {
    if (isMarked) return i < 2 ? { ...area, wayOut: true } : area;
    return i < 2 ? area : { ...area, floor: `floor ${Math.floor((i - 2) / rooms)}` };
  });
  return { ...site, areas };
}

/** Times at which an area's light is not all there, however late in its slot a test runs. */
function downTimes(site: Site, plan: Plan, area: string): { from: number; to: number }[] {
  const lit = site.circuits.filter((circuit) =>
    circuit.luminaires.some(({ serves }) => serves.includes(area)),
  );
  return plan.circuits
    .filter(({ circuit }) => lit.some(({ id }) => id === circuit))
    .flatMap(({ slots }) =>
      slots.map(({ kind, start, end }) => ({ from: start, to: end + (kind === 1 ? HOUR : DAY) })),
    );
}

it('both ways out of one area are never unready together', () => {
  fc.assert(
    fc.property(drawn, (sketch) => {
      const site = built(sketch);
      const plan = makePlan(site, profileOf('en50172'), FROM, 100);
      const [north, south] = ['a0', 'a1'].map((area) => downTimes(site, plan, area));
      expect(north.length).toBeGreaterThan(0);
      expect(north.filter((a) => south.some((b) => a.from < b.to && b.from < a.to))).toEqual([]);
    }),
    { ...DRAWN, numRuns: BUILDINGS },
  );
});

it('the ways out of the demonstration building are its two stairs, and they count as occupied with what they serve', () => {
  const loaded = loadSite('docs/examples/museum-of-tides.yaml');
  if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
  const { site } = loaded;
  const ways = waysOut(site);
  expect([...ways.keys()]).not.toContain('stair-north');
  for (const found of ways.values()) expect(found).toEqual(['stair-north', 'stair-south']);
  const stair = site.areas.find(({ id }) => id === 'stair-north')!;
  // Staff come to the pump room at seven, when the house is shut.
  expect(stair.occupied.some(({ from }) => from <= 420)).toBe(false);
  expect(useOf(stair, site).occupied.some(({ days, from }) => from === 420 && days.includes('mon'))).toBe(
    true,
  );
});

it('an area that is marked as no way out is none, and of three ways the first two are kept apart', () => {
  const area = (id: string, floor: string, adjacent: string[], wayOut?: boolean): Area => ({
    ...{ id, name: id, floor, adjacent, occupied: [], always: false, sleeping: false },
    ...(wayOut !== undefined && { wayOut }),
  });
  const of = (wayOut?: boolean) => ({
    areas: [
      area('hall', 'ground', ['a', 'b', 'c']),
      area('upstairs', 'first', ['a', 'b', 'c']),
      ...['a', 'b'].map((id) => area(id, 'ground', ['hall', 'upstairs'])),
      area('c', 'ground', ['hall', 'upstairs'], wayOut),
    ],
  });
  expect(waysOut(of()).get('hall')).toEqual(['a', 'b', 'c']);
  expect(alternatives(of())).toEqual([['a', 'b']]);
  expect(waysOut(of(false)).get('hall')).toEqual(['a', 'b']);
});
