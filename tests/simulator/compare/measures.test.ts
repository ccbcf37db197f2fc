// What a comparison counts, checked on a story small enough to calculate by hand.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import {
  joined,
  measure,
  medianOf,
  overlapMs,
  type Story,
  storyOf,
} from '../../../simulator/compare/measures';
import type { Chapter } from '../../../simulator/people/chronicle';
import type { LuminaireSpec } from '../../../simulator/plant/luminaire';

const HOUR = 3_600_000;
const DAY = 24 * HOUR;

function lamp(id: string): LuminaireSpec {
  return {
    ...{ id, mode: 0, ratedSec: 3600, batteryMilliamps: 200, mainsMilliamps: 0 },
    ...{ chemistry: 'LiFePO4', margin: 1.5 },
  };
}

const TEST = { end: Reason.Complete, failed: [], voided: [] };

/**
 * Two circuits of one luminaire each in a hall, open from 10 to 18 h on each of ten days, and a yard without people.
 * The lamp of `a` dies on day 2 at 12 h and is repaired on day 4 at 12 h; `b` has a full test on day 1 from 9 to 10 h.
 */
function story(more: Partial<Story> = {}): Story {
  const occupied = Array.from({ length: 10 }, (_, day) => ({
    from: day * DAY + 10 * HOUR,
    to: day * DAY + 18 * HOUR,
  }));
  const [diedAt, repairedAt] = [2 * DAY + 12 * HOUR, 4 * DAY + 12 * HOUR];
  const test = { from: DAY + 9 * HOUR, to: DAY + 10 * HOUR };
  return {
    circuits: [
      {
        ...{ circuit: 'a', lamps: [lamp('a1')], offs: [], soundReported: 0 },
        tests: [{ ...TEST, at: 3 * DAY, kind: TestKind.Brief, failed: [0] }],
        failures: [{ luminaire: 'a1', what: 'dead lamp', at: diedAt, foundAt: 3 * DAY }],
        ailments: [[{ kind: 'dead lamp', from: diedAt, to: repairedAt }]],
      },
      {
        ...{ circuit: 'b', lamps: [lamp('b1')], soundReported: 2 },
        offs: [{ ...test, kind: TestKind.Full, meantMs: 45 * 60_000 }],
        tests: [{ ...TEST, at: test.from, kind: TestKind.Full }],
        failures: [{ luminaire: 'b1', what: 'charger dead', at: 9 * DAY }],
        ailments: [[]],
      },
    ],
    areas: [
      { area: 'hall', luminaires: ['a1', 'b1'], occupied },
      { area: 'yard', luminaires: ['a1'], occupied: [] },
    ],
    until: 10 * DAY,
    dayOf: (_circuit, at) => String(Math.floor(at / DAY)),
    isByHand: false,
    ...more,
  };
}

describe('the measures of a story', () => {
  it('count the hours in which people are where a luminaire is short, by the reason', () => {
    const measures = measure(story());
    // Dead: 12 to 18 h on day 2, 8 h on day 3, 10 to 12 h on day 4.
    expect(measures.brokenHours).toBeCloseTo(6 + 8 + 2, 6);
    // Short from 9:30; charged to two thirds 6.73 h after 10 h, when people arrive.
    expect(measures.dischargedHours).toBeCloseTo(6.73, 1);
    expect(measures.exposureHours).toBeCloseTo(measures.brokenHours + measures.dischargedHours, 6);
  });

  it('count an hour once for an area, however many of its luminaires are short in it', () => {
    const { circuits, areas } = story();
    const both = story({
      circuits: [circuits[0], { ...circuits[0], lamps: [lamp('b1')] }],
      areas: [areas[0]],
    });
    expect(measure(both).exposureHours).toBeCloseTo(16, 6);
    const apart = [
      { ...areas[0], luminaires: ['a1'] },
      { ...areas[0], luminaires: ['b1'] },
    ];
    expect(measure({ ...both, areas: apart }).exposureHours).toBeCloseTo(32, 6);
  });

  it('say how soon failures were found, and how many never were', () => {
    expect(measure(story())).toMatchObject({ failures: 2, found: 1, notFound: 1, soundReported: 2 });
    expect(measure(story()).medianDaysToFind).toBeCloseTo(0.5, 9);
    expect(measure(story()).worstDaysToFind).toBeCloseTo(0.5, 9);
    const none = story();
    none.circuits[0].failures = [];
    expect(measure(none).medianDaysToFind).toBeUndefined();
  });

  it('count the openings, the nights or days they took, and what was without supply for too long', () => {
    expect(measure(story())).toMatchObject({
      ...{ openings: 2, longOpenings: 1, nightsUsed: 2, workingDaysUsed: 0, flatLuminaires: 0 },
      beyondTestHours: 0.25,
    });
    expect(measure(story({ isByHand: true }))).toMatchObject({ nightsUsed: 0, workingDaysUsed: 2 });
  });

  it('count a battery that was run flat, once for its luminaire', () => {
    const flat = story();
    const off = (day: number) => ({
      ...{ from: day * DAY, to: day * DAY + 2 * HOUR, kind: TestKind.None, meantMs: 0 },
    });
    flat.circuits[1].offs = [off(1), off(5)];
    expect(measure(flat)).toMatchObject({ flatLuminaires: 1, beyondTestHours: 4 });
  });
});

describe('the parts of a story', () => {
  it('are joined: the events of each, and the state after the last', () => {
    const part = (at: number, more: Partial<Chapter>): Chapter => ({
      offs: [{ from: at, to: at + 1, kind: TestKind.Brief, meantMs: 1 }],
      tests: [{ ...TEST, at, kind: TestKind.Brief }],
      ...{ failures: [], soundReported: 0, ailments: [[]] },
      ...more,
    });
    const still = { from: 30, to: 40, kind: TestKind.None, meantMs: 0 };
    const told = storyOf('a', [lamp('a1')], [part(10, { still }), part(20, { still, soundReported: 3 })]);
    expect(told.offs.map(({ from, to }) => [from, to])).toEqual([
      [10, 11],
      [20, 21],
      [30, 40],
    ]);
    expect(told.tests.map(({ at }) => at)).toEqual([10, 20]);
    expect(told.soundReported).toBe(3);
  });
});

describe('the median', () => {
  it.each([
    [[], undefined],
    [[7], 7],
    [[9, 1], 5],
    [[30, 1, 2], 2],
  ])('of %j is %s', (values, median) => {
    expect(medianOf(values)).toBe(median);
  });
});

it('joins spans and measures where two lists of them meet, minute by minute', () => {
  const span = fc.tuple(fc.nat(40), fc.nat(10)).map(([from, length]) => ({ from, to: from + length }));
  fc.assert(
    fc.property(fc.array(span), fc.array(span), (one, other) => {
      const isIn = (spans: typeof one, at: number) => spans.some(({ from, to }) => from <= at && at < to);
      const minutes = Array.from({ length: 60 }, (_, at) => at);
      const both = minutes.filter((at) => isIn(one, at) && isIn(other, at)).length;
      expect(overlapMs(joined(one), joined(other))).toBe(both);
    }),
  );
});
