import { describe, expect, it } from 'vitest';
import {
  counts,
  lampState,
  lampsOf,
  markName,
  planWords,
  withStates,
} from '../../../../host/page/words/floor';
import type { Circuit, FloorPlan, Luminaire } from '../../../../host/site/model';
import { controller, lamp, underTest } from '../samples';

const PLAN: FloorPlan = { id: 'hall', name: 'Hall', picture: 'hall.svg', floor: 'ground' };
const AREAS = ['hall', 'shop', 'attic'].map((id) => ({
  ...{ id, name: id, floor: id === 'attic' ? 'top' : 'ground', adjacent: [], occupied: [] },
  ...{ always: false, sleeping: false },
}));

function luminaire(id: string, area: string, floorPlan?: string): Luminaire {
  return {
    ...{ id, place: `Place of ${id}`, area, serves: [area], mode: 'non-maintained', ratedSec: 3600 },
    ...{ batteryMilliamps: 100, mainsMilliamps: 0, chemistry: 'NiMH', batteryFitted: '2024-01-01' },
    ...(floorPlan && { spot: { floorPlan, across: 1, down: 2 } }),
  };
}

function circuit(id: string, luminaires: Luminaire[]): Circuit {
  return {
    ...{ id, name: id, floor: 'ground', shared: false, alwaysOccupied: false, auxiliaryContact: false },
    ...{ chargeMilliamps: 0, emptySec: 0, luminaires, areas: [], ratedSec: 3600 },
  };
}

describe('the state of a luminaire on a plan', () => {
  const failed = lamp('A', { verdict: 'fail', reason: 'not lit' });
  const weak = lamp('A', { fullVerdict: 'fail', fullSeconds: 1200 });
  const live = (verdict: 'open' | 'fail' | 'pass') => ({
    live: { circuit: 'g', test: 1, kind: 'full' as const, t: 9, ma: [1], verdict: [verdict] },
  });
  it.each([
    ['a pass', lamp('A'), controller('g'), ['pass', 'good', 'good', '']],
    ['a failure', failed, controller('g'), ['fail', 'fault', 'fault', 'not lit']],
    [
      'a battery that failed before a function test passed',
      weak,
      controller('g'),
      ['fail', 'fault', 'fault', 'failed its last duration test, lit for 20 min'],
    ],
    ['a failure that is tested again', failed, underTest('g'), ['fail', 'fault', 'fault', 'not lit']],
    [
      'a failure seen just now',
      lamp('A'),
      underTest('g', live('fail')),
      ['fail', 'fault', 'fault', 'in the test that is running'],
    ],
    ['a test without a verdict', lamp('A'), underTest('g', live('open')), ['under test', 'busy', 'busy', '']],
    ['a test without a reading', lamp('A'), underTest('g'), ['under test', 'busy', 'busy', '']],
    [
      'a repair',
      failed,
      controller('g', { retests: [{ luminaire: 'A', at: 0 }] }),
      ['retest due', 'busy', 'retest', 'repaired, and not tested since'],
    ],
    [
      'a void result',
      lamp('A', { verdict: 'void', reason: 'stopped' }),
      controller('g'),
      ['void', 'idle', 'void', 'stopped'],
    ],
    ['no test yet', lamp('A', { verdict: 'untested' }), controller('g'), ['untested', 'idle', 'idle', '']],
    [
      'a pass of a silent controller',
      lamp('A'),
      controller('g', { contact: 'silent' }),
      ['not known', 'idle', 'unknown', 'its controller is silent; last result: pass'],
    ],
    [
      'a controller that was never heard',
      lamp('A', { verdict: 'untested' }),
      controller('g', { contact: 'never heard' }),
      ['not known', 'idle', 'unknown', 'its controller was never heard from'],
    ],
    [
      'a failure of a silent controller',
      failed,
      controller('g', { contact: 'silent' }),
      ['fail', 'fault', 'fault', 'not lit'],
    ],
    ['nothing at all', undefined, undefined, ['not known', 'idle', 'unknown', '']],
  ])('is told of %s', (_, one, status, expected) => {
    const { word, tone, figure, reason } = lampState(one, status, 0);
    expect([word, tone, figure, reason]).toEqual(expected);
  });
});

describe('a plan', () => {
  const all = [
    circuit('g', [luminaire('B', 'hall', 'hall'), luminaire('A', 'hall', 'hall'), luminaire('C', 'shop')]),
    circuit('h', [luminaire('D', 'attic'), luminaire('E', 'attic', 'hall'), luminaire('F', 'hall', 'other')]),
  ];
  const ids = (list: { luminaire: Luminaire }[]) => list.map((one) => one.luminaire.id);

  it('shows what is placed on it, from whatever floor, and what of its floor is on no plan', () => {
    const lamps = lampsOf(PLAN, { areas: AREAS, circuits: all });
    expect([ids(lamps.placed), ids(lamps.unplaced)]).toEqual([['B', 'A', 'E'], ['C']]);
    expect(planWords(lamps)).toBe('3 luminaires on the plan, 1 not placed.');
    const areas = lampsOf({ ...PLAN, areas: ['hall'] }, { areas: AREAS, circuits: all });
    expect(planWords(areas)).toBe('3 luminaires on the plan.');
  });

  it('has the most urgent first, each with its number, and a mark that says the same', () => {
    const { placed } = lampsOf(PLAN, { areas: AREAS, circuits: all });
    const lamps = [lamp('A'), lamp('B')];
    const fail = lamp('E', { verdict: 'fail', reason: 'not lit' });
    const shown = withStates(placed, [controller('g', { lamps }), controller('h', { lamps: [fail] })]);
    expect(ids(shown)).toEqual(['E', 'A', 'B']);
    expect(counts(shown).map(({ words }) => words)).toEqual(['1 fail', '2 pass']);
    expect(shown.map(markName)).toEqual([
      'E, fail, Place of E: not lit',
      'A, pass, Place of A',
      'B, pass, Place of B',
    ]);
  });
});
