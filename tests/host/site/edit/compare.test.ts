import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { Change } from '../../../../host/site/edit/change';
import { differences } from '../../../../host/site/edit/compare';
import { dataOf, editSite } from '../../../../host/site/edit/edit';
import { saidWords } from '../../../../host/site/edit/said';
import { SMALL } from '../small';

const TWO = `${SMALL}  - id: two
    name: Circuit two
    floor: ground
    ratedMinutes: 60
    chemistry: NiMH
    batteryFitted: 2025-01-02
    luminaires:
      - { id: B-1, place: Yard, area: hall, mode: combined, batteryMilliamps: 90 }
`;
const words = (text: string) => differences(dataOf(TWO), dataOf(text)).map(saidWords);

it.each<[string, [string | RegExp, string][], string[]]>([
  ['nothing, for comments and empty lines', [['areas:', '# All of them.\n\nareas:']], []],
  ['a field of the site', [['A Miller', 'B Miller']], ['site: responsible from A Miller to B Miller']],
  [
    'a luminaire that was added, and one that is gone',
    [[/ {6}- \{ id: B-1.*\n/, '      - { id: B-2, place: Gate, area: hall }\n']],
    [
      'luminaire B-2 in circuit two added: { id: B-2, place: Gate, area: hall }',
      'luminaire B-1 removed: { id: B-1, place: Yard, area: hall, mode: combined, batteryMilliamps: 90 }',
    ],
  ],
  [
    'another id of a luminaire, with a former id that is not its own',
    [['id: A-2,', 'id: L-2, formerly: [A-2],']],
    ['luminaire A-2: id from A-2 to L-2'],
  ],
  [
    'a former id that gives a luminaire the results of another',
    [['id: A-2,', 'id: L-2, formerly: [A-2, A-9],']],
    ['luminaire A-2: id from A-2 to L-2', 'luminaire L-2: formerly is now [A-2, A-9]'],
  ],
  [
    'the order of the sensors',
    [
      ['id: A-1', 'id: X'],
      ['id: A-2', 'id: A-1'],
      ['id: X', 'id: A-2'],
    ],
    ['luminaire A-2: place from Ladder to Door', 'circuit one: luminaires from [A-1, A-2] to [A-2, A-1]'],
  ],
  [
    'another id of a circuit, as one gone and one new with its luminaires',
    [['id: two', 'id: second']],
    [
      'circuit second added: { id: second, name: Circuit two, floor: ground, ratedMinutes: 60, chemistry: NiMH, batteryFitted: 2025-01-02 }',
      'circuit two removed: { id: two, name: Circuit two, floor: ground, ratedMinutes: 60, chemistry: NiMH, batteryFitted: 2025-01-02 }',
      'luminaire B-1: circuit from two to second',
    ],
  ],
])('tells %s', (_, edits, expected) => {
  const edited = edits.reduce((text, [from, to]) => text.replace(from, to), TWO);
  expect(words(edited)).toEqual(expect.arrayContaining(expected));
  if (edits.length < 3) expect(words(edited)).toEqual(expected);
});

const lampId = fc.constantFrom('A-1', 'A-2', 'B-1');
const set = (
  part: 'luminaires' | 'circuits' | 'areas',
  id: string,
  field: string,
  value: unknown,
): Change => ({
  do: 'set',
  ...{ part, id, field, value },
});
const onPage = fc.oneof(
  fc
    .tuple(lampId, fc.integer({ min: 1, max: 2000 }))
    .map(([id, mA]) => set('luminaires', id, 'batteryMilliamps', mA)),
  fc
    .tuple(lampId, fc.option(fc.integer({ min: -20, max: 60 })))
    .map(([id, c]) => set('luminaires', id, 'celsius', c)),
  fc.constantFrom('one', 'two').map((id) => set('circuits', id, 'shared', true)),
  fc.boolean().map((yes) => set('areas', 'loft', 'sleeping', yes)),
  lampId.map((id): Change => ({ do: 'rename', part: 'luminaires', id, to: 'Z-1' })),
  fc.constantFrom('A-1', 'A-2').map((id): Change => ({ do: 'move', part: 'luminaires', id, to: 'two' })),
);

it('says what the page says of the same change', () => {
  fc.assert(
    fc.property(onPage, (change) => {
      const made = editSite(TWO, 'mill.yaml', [change], () => '2026-11-30');
      if ('mistakes' in made) throw new Error(made.mistakes[0].message);
      const found = differences(dataOf(TWO), dataOf(made.text)).map(saidWords);
      expect(found.toSorted()).toEqual(made.said.map(saidWords).toSorted());
    }),
    { numRuns: 60 },
  );
});
