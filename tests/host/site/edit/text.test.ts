import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { parse } from 'yaml';
import { isSame, type SiteData, valueAt } from '../../../../host/site/edit/data';
import { dataOf } from '../../../../host/site/edit/edit';
import { type Step, take } from '../../../../host/site/edit/steps';
import { stepped } from '../../../../host/site/edit/text';
import { SMALL } from '../small';

/** Lists and groups in lines and in one line, with comments. */
const MIXED = `${SMALL.replace('opening: []', 'opening: []\nnoTestDates: [2026-03-21, 2026-09-27, 2026-10-01, 2026-10-02]')}
  # The yard.
  - id: two
    name: Circuit two
    floor: ground
    bus:
      parity: even
    luminaires: # in the order of the terminals
      - id: B-1
        place: Gate # left
        area: hall
        celsius: 4
      # Beside the well.
      - id: B-2
        place: Well
        area: hall
      - id: B-3
        place: Shed
        area: loft # cold
      - { id: B-4, place: Barn }
      - id: B-5
        place: Bridge
simulation:
  faults:
    - { kind: dead lamp, luminaire: B-1, fromDay: 3 }
    - { kind: dead lamp, luminaire: B-2, fromDay: 4 }
`;

const LAMPS = [0, 1].map((i) => ['circuits', i, 'luminaires']);
const LISTS = [['noTestDates'], ['areas'], ['circuits'], ['simulation', 'faults'], ...LAMPS, ...LAMPS];
const GROUPS = [['areas', 0], ['circuits', 1], [...LAMPS[0], 1], ...[0, 1, 3].map((i) => [...LAMPS[1], i])];
const FIELDS = ['id', 'place', 'celsius', 'luminaires'];

const drawn = fc.oneof(
  { weight: 3, arbitrary: fc.record({ do: fc.constant('drop' as const), at: fc.constantFrom(...LISTS) }) },
  fc.record({ do: fc.constant('append' as const), at: fc.constantFrom(...LISTS) }),
  fc.record({
    do: fc.constantFrom('put' as const, 'drop' as const),
    at: fc.constantFrom(...GROUPS),
    field: fc.constantFrom(...FIELDS),
  }),
);

interface Wish {
  do: Step['do'];
  at: (string | number)[];
  field?: string;
}

/** The step drawn, as far as there is such a thing in the data. */
function stepFor(data: SiteData, one: Wish, n: number): Step[] {
  const here = valueAt(data, one.at);
  if (typeof here !== 'object' || here === null) return [];
  if (one.do === 'append') {
    const value = one.at[0] === 'noTestDates' ? `2027-01-0${1 + (n % 9)}` : { id: `new-${n}`, name: 'New' };
    return Array.isArray(here) ? [{ do: 'append', path: one.at, value }] : [];
  }
  const key = one.field ?? n % Math.max(1, (here as unknown[]).length);
  if (one.do === 'put') return [{ do: 'put', path: [...one.at, key], value: `text ${n}` }];
  return Object.hasOwn(here, key) ? [{ do: 'drop', path: [...one.at, key] }] : [];
}

/** The steps drawn that can be carried out one by one, with the text they lead to. */
function oneByOne(wishes: [Wish, number][]): { steps: Step[]; text: string } {
  const data = dataOf(MIXED);
  const steps: Step[] = [];
  let text = MIXED;
  for (const [wish, n] of wishes)
    for (const step of stepFor(data, wish, n)) {
      const wanted = structuredClone(data);
      take(wanted, step);
      const next = stepped(text, [step]);
      if (!isSame(parse(next), wanted)) continue;
      take(data, step);
      steps.push(step);
      text = next;
    }
  return { steps, text };
}

describe('steps in the text of a site file', () => {
  it('make together the text that they make one by one', () => {
    fc.assert(
      fc.property(fc.array(fc.tuple(drawn, fc.nat(30)), { minLength: 2, maxLength: 7 }), (wishes) => {
        const { steps, text } = oneByOne(wishes);
        expect(stepped(MIXED, steps)).toBe(text);
      }),
      { numRuns: 60 },
    );
  });

  it.each<[string, Step[]]>([
    [
      'the only field for another',
      [
        { do: 'put', path: ['circuits', 1, 'bus', 'bitsPerSecond'], value: 9600 },
        { do: 'drop', path: ['circuits', 1, 'bus', 'parity'] },
      ],
    ],
    [
      'an item that has just come',
      [
        { do: 'append', path: ['areas'], value: { id: 'yard', name: 'Yard' } },
        { do: 'put', path: ['areas', 2, 'name'], value: 'Court' },
      ],
    ],
    [
      'a list to which something has just come for another',
      [
        { do: 'append', path: ['circuits', 1, 'luminaires'], value: { id: 'B-6', place: 'Porch' } },
        { do: 'put', path: ['circuits', 1, 'luminaires'], value: [] },
      ],
    ],
  ])('know of each other: %s', (_, steps) => {
    const wanted = dataOf(MIXED);
    for (const step of steps) take(wanted, step);
    expect(dataOf(stepped(MIXED, steps))).toEqual(wanted);
  });

  it('cost in dozens about what one costs, in a large file', () => {
    const lamp = (_: unknown, n: number) => `      - { id: L-${n}, place: Door ${n}, area: hall }\n`;
    const large = SMALL + Array.from({ length: 300 }, lamp).join('');
    const costOf = (count: number): number => {
      const path = (i: number) => ['circuits', 0, 'luminaires', (i * 37) % 200];
      const before = process.cpuUsage().user;
      stepped(
        large,
        Array.from({ length: count }, (_, i): Step => ({ do: 'drop', path: path(i) })),
      );
      return process.cpuUsage().user - before;
    };
    costOf(1);
    expect(costOf(60)).toBeLessThan(10 * costOf(1));
  });
});
