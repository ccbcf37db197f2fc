import { describe, expect, it } from 'vitest';
import { colourCircuits, neighboursOf } from '../../../../host/planner/placing/colours';
import type { Site } from '../../../../host/site/model';
import { GRID, line, loop, T_JUNCTION } from '../graphs';

/** One circuit per area; doors between areas by number. */
function siteOf(count: number, doors: [number, number][]): Site {
  const ids = Array.from({ length: count }, (_, i) => `n${i}`);
  const adjacent = (i: number) => doors.filter((d) => d.includes(i)).map(([a, b]) => `n${a === i ? b : a}`);
  return {
    ...({} as Site),
    areas: ids.map((id, i) => ({
      ...{ id, name: id, floor: 'only', adjacent: adjacent(i) },
      ...{ occupied: [], always: false, sleeping: false },
    })),
    circuits: ids.map((id) => ({
      id,
      name: id,
      floor: 'only',
      shared: false,
      alwaysOccupied: false,
      auxiliaryContact: false,
      chargeMilliamps: 0,
      emptySec: 0,
      luminaires: [],
      areas: [id],
      ratedSec: 3600,
    })),
  };
}

describe('the colours of circuits', () => {
  // Facts of graph theory: lines, even loops, trees and grids need two groups, odd loops three.
  it.each<[string, number, [number, number][], number]>([
    ['a single circuit', 1, [], 1],
    ['circuits apart', 5, [], 1],
    ['a corridor', 7, line(7), 2],
    ['an even ring', 8, loop(8), 2],
    ['an odd ring', 7, loop(7), 3],
    ['a T junction', 4, T_JUNCTION, 2],
    ['a grid', 6, GRID, 2],
    [
      'four that all meet',
      4,
      [
        [0, 1],
        [0, 2],
        [0, 3],
        [1, 2],
        [1, 3],
        [2, 3],
      ],
      4,
    ],
  ])('are as few as %s needs', (_, count, doors, needed) => {
    const site = siteOf(count, doors);
    const colours = colourCircuits(neighboursOf(site));
    expect(new Set(colours.values()).size).toBe(needed);
    for (const [a, b] of doors) expect(colours.get(`n${a}`)).not.toBe(colours.get(`n${b}`));
  });

  it('differ for circuits that share an area, even if no door joins it to another', () => {
    const site = siteOf(2, []);
    site.circuits[1].areas = ['n0', 'n1'];
    expect(neighboursOf(site).get('n0')).toEqual(new Set(['n1']));
    expect(new Set(colourCircuits(neighboursOf(site)).values()).size).toBe(2);
  });
});
