import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Change } from '../../../../host/site/edit/change';
import type { Item } from '../../../../host/site/edit/data';
import { dataOf, editSite } from '../../../../host/site/edit/edit';
import { saidWords } from '../../../../host/site/edit/said';
import { parseSite } from '../../../../host/site/load';
import { SMALL } from '../small';

const MUSEUM = readFileSync('docs/examples/museum-of-tides.yaml', 'utf8');
const today = () => '2026-11-30';

function edited(text: string, ...changes: Change[]): string {
  const made = editSite(text, 'mill.yaml', changes, today);
  if ('mistakes' in made)
    throw new Error(made.mistakes.map(({ field, message }) => `${field}: ${message}`).join('\n'));
  return made.text;
}

function mistakes(text: string, ...changes: Change[]): string[] {
  const made = editSite(text, 'mill.yaml', changes, today);
  return 'mistakes' in made ? made.mistakes.map(({ field, message }) => `${field}: ${message}`) : [];
}

/** Lines that only one of two texts has. */
function difference(before: string, after: string): string[] {
  const [a, b] = [before.split('\n'), after.split('\n')];
  return [
    ...a.filter((x) => !b.includes(x)).map((x) => `-${x}`),
    ...b.filter((x) => !a.includes(x)).map((x) => `+${x}`),
  ];
}

const set = (part: (Change & { do: 'set' })['part'], id: string, field: string, value: unknown): Change => ({
  do: 'set',
  ...{ part, id, field, value },
});

describe('a change to a site file', () => {
  it('replaces one value and leaves every other byte', () => {
    const after = edited(MUSEUM, set('luminaires', 'GA-03', 'batteryMilliamps', 275));
    expect(after).toBe(MUSEUM.replace(/(GA-03.*batteryMilliamps: )260/, (_, before) => `${before}275`));
  });

  it('puts a new field where the reference has it', () => {
    expect(difference(SMALL, edited(SMALL, set('luminaires', 'A-2', 'celsius', 25)))).toEqual([
      '-      - { id: A-2, place: Ladder, area: loft, mode: non-maintained, batteryMilliamps: 150, ratedMinutes: 60 }',
      '+      - { id: A-2, place: Ladder, area: loft, mode: non-maintained, batteryMilliamps: 150, ratedMinutes: 60, celsius: 25 }',
    ]);
    const shared = edited(SMALL, set('circuits', 'one', 'shared', true));
    expect(shared).toBe(SMALL.replace('    floor: ground\n', '    floor: ground\n    shared: true\n'));
    expect(edited(shared, set('circuits', 'one', 'shared', null))).toBe(SMALL);
  });

  it('keeps comments beside and between what it changes, and line ends of another system', () => {
    const noted = SMALL.replace(
      'opening: []',
      'opening: [] # nobody\n# Nights of the fair.\nnoTestDates: [2026-09-27] # fair',
    ).replace('ratedMinutes: 180\n', 'ratedMinutes: 180   # on the plate\n    # Bought together.\n');
    const after = edited(
      noted.replaceAll('\n', '\r\n'),
      set('site', '', 'noTestDates', ['2026-09-27', '2026-10-01']),
      set('circuits', 'one', 'ratedMinutes', 60),
      set('site', '', 'responsible', 'B Miller: by day'),
    );
    const expected = noted
      .replace('[2026-09-27] # fair', '[2026-09-27, 2026-10-01] # fair')
      .replace('ratedMinutes: 180   # on', 'ratedMinutes: 60   # on')
      .replace('A Miller', '"B Miller: by day"');
    expect(after).toBe(expected.replaceAll('\n', '\r\n'));
  });

  it('adds a luminaire, an area and a circuit in the style of their neighbours', () => {
    const lamp = {
      id: 'B-1',
      place: 'Yard',
      area: 'yard',
      mode: 'combined',
      batteryMilliamps: 90,
      ratedMinutes: 60,
    };
    const rest = { chemistry: 'NiCd', batteryFitted: '2025-01-02' };
    const after = edited(
      SMALL,
      { do: 'add', part: 'areas', item: { id: 'yard', name: 'Yard', floor: 'ground' } },
      {
        do: 'add',
        part: 'circuits',
        item: { id: 'two', name: 'Circuit two', floor: 'ground', luminaires: [] },
      },
      { do: 'add', part: 'luminaires', circuit: 'two', item: { ...lamp, ...rest } },
    );
    expect(difference(SMALL, after)).toEqual([
      '+  - { id: yard, name: Yard, floor: ground }',
      '+  - id: two',
      '+    name: Circuit two',
      '+      - { id: B-1, place: Yard, area: yard, mode: combined, batteryMilliamps: 90, ratedMinutes: 60, chemistry: NiCd, batteryFitted: 2025-01-02 }',
    ]);
    const back = edited(
      after,
      { do: 'remove', part: 'circuits', id: 'two' },
      { do: 'remove', part: 'areas', id: 'yard' },
    );
    expect(back).toBe(SMALL);
  });

  it('changes hours line by line', () => {
    const hours = [
      { days: ['tue', 'wed', 'fri', 'sat', 'sun'], from: '10:00', to: '17:00' },
      { days: ['thu'], from: '10:00', to: '21:00' },
      { days: ['mon'], from: '12:00', to: '13:00' },
    ];
    const after = edited(MUSEUM, set('site', '', 'opening', hours));
    expect(difference(MUSEUM, after).slice(2)).toEqual(['+  - { days: [mon], from: "12:00", to: "13:00" }']);
    expect(after).toContain('[tue, wed, fri, sat, sun], from: "10:00", to: "17:00" }\n  - { days: [thu]');
  });

  it('keeps the results of a renamed luminaire by its former id, and what names the thing follows', () => {
    const lamp = edited(SMALL, { do: 'rename', part: 'luminaires', id: 'A-2', to: 'L-2' });
    expect(lamp).toContain('{ id: L-2, formerly: [A-2], place: Ladder');
    const again = edited(lamp, { do: 'rename', part: 'luminaires', id: 'L-2', to: 'A-2' });
    expect(again).toContain('{ id: A-2, formerly: [L-2], place: Ladder');
    const area = edited(SMALL, { do: 'rename', part: 'areas', id: 'loft', to: 'attic' });
    expect(difference(SMALL, area).filter((line) => /^\+.*attic/.test(line))).toHaveLength(3);
    const floor = edited(SMALL, { do: 'rename', part: 'floors', id: 'ground', to: 'low' });
    expect(floor).not.toContain('floor: ground');
  });

  it('moves a luminaire to another circuit with the battery it has', () => {
    const two = `  - id: two
    name: Circuit two
    floor: ground
    ratedMinutes: 60
    chemistry: NiMH
    batteryFitted: 2025-01-02
    luminaires:
      - { id: B-1, place: Yard, area: hall, mode: combined, batteryMilliamps: 90 }
`;
    const both = `${SMALL}${two}`;
    const move: Change = { do: 'move', part: 'luminaires', id: 'A-1', to: 'two' };
    const made = editSite(both, 'mill.yaml', [move], today);
    if ('mistakes' in made) throw new Error(made.mistakes[0].message);
    expect(difference(both, made.text)).toEqual([
      '-      - { id: A-1, place: Door, area: hall, mode: maintained, batteryMilliamps: 100, mainsMilliamps: 120 }',
      '+      - { id: A-1, place: Door, area: hall, mode: maintained, batteryMilliamps: 100, mainsMilliamps: 120, ratedMinutes: 180, batteryFitted: 2024-02-29 }',
    ]);
    expect(dataOf(made.text).circuits[1].luminaires.map(({ id }) => id)).toEqual(['B-1', 'A-1']);
    expect(made.said.map(saidWords)).toEqual([
      'luminaire A-1: circuit from one to two',
      'luminaire A-1: ratedMinutes is now 180',
      'luminaire A-1: batteryFitted is now 2024-02-29',
    ]);
    const lampOf = (text: string) => {
      const read = parseSite(text, 'mill.yaml');
      if (!('site' in read)) throw new Error('The text has mistakes.');
      return read.site.circuits.flatMap(({ luminaires }) => luminaires).find(({ id }) => id === 'A-1');
    };
    expect(lampOf(made.text)).toEqual(lampOf(both));
  });

  it('says what a moved luminaire has from its new circuit because nobody knew it before', () => {
    const two = `  - id: two
    name: Circuit two
    floor: ground
    ratedMinutes: 180
    chemistry: NiMH
    batteryFitted: 2025-01-02
    celsius: 40
    luminaires:
      - { id: B-1, place: Yard, area: hall, mode: combined, batteryMilliamps: 90 }
`;
    const made = editSite(
      `${SMALL}${two}`,
      'mill.yaml',
      [{ do: 'move', part: 'luminaires', id: 'A-1', to: 'two' }],
      today,
    );
    if ('mistakes' in made) throw new Error(made.mistakes[0].message);
    expect(made.said.map(saidWords)).toContain('luminaire A-1: celsius is now 40');
  });

  it('leaves no circuit without a luminaire, and moves none to a circuit that is not there', () => {
    const move = (id: string, to: string): Change => ({ do: 'move', part: 'luminaires', id, to });
    expect(mistakes(MUSEUM, ...['GA-01'].map((id) => move(id, 'cellar-9')))).toEqual([
      ': There is no circuit "cellar-9" in the site file any more; load the page again.',
    ]);
    const two = SMALL.slice(SMALL.indexOf('  - id: one'))
      .replaceAll('A-', 'B-')
      .replace('id: one', 'id: two');
    expect(mistakes(SMALL + two, move('B-1', 'one'), move('B-2', 'one'))[0]).toMatch(
      /^circuits\[two\]\.luminaires: /,
    );
    expect(edited(SMALL, move('A-1', 'one'), set('site', '', 'name', 'Mill'))).toBe(
      SMALL.replace('The old mill', 'Mill'),
    );
  });

  it('takes planted faults and neighbours along with what is removed', () => {
    const after = edited(MUSEUM, { do: 'remove', part: 'circuits', id: 'top-b' });
    expect(after).not.toContain('circuit: top-b');
    expect('site' in parseSite(after, 'museum.yaml')).toBe(true);
    expect(
      dataOf(
        edited(
          SMALL,
          { do: 'remove', part: 'luminaires', id: 'A-2' },
          { do: 'remove', part: 'areas', id: 'loft' },
        ),
      ).areas,
    ).toEqual([{ id: 'hall', name: 'Hall', floor: 'ground' }]);
  });

  it('gives the sentences of check for what is wrong, and changes nothing', () => {
    expect(mistakes(SMALL, set('luminaires', 'A-2', 'batteryMilliamps', '3x'))).toEqual([
      'circuits[one].luminaires[A-2].batteryMilliamps: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is "3x"; write 3.',
    ]);
    expect(mistakes(SMALL, set('luminaires', 'A-2', 'batteryFitted', '2026-12-24'))[0]).toContain(
      'is after today',
    );
    expect(
      mistakes(SMALL, { do: 'add', part: 'areas', item: { id: 'yard', name: 'Yard', floor: 'ground' } })[0],
    ).toContain('no luminaire is in area "yard"');
    expect(mistakes(SMALL, { do: 'remove', part: 'areas', id: 'loft' })[0]).toContain(
      'there is no area "loft"',
    );
    expect(mistakes(SMALL, set('luminaires', 'A-9', 'place', 'Roof'))).toEqual([
      ': There is no luminaire "A-9" in the site file any more; load the page again.',
    ]);
  });

  it('is not refused for what the owner of the file has left open before', () => {
    const unlit = SMALL.replace('circuits:\n', '  - { id: yard, name: Yard, floor: ground }\ncircuits:\n');
    expect(edited(unlit, set('site', '', 'name', 'The new mill'))).toContain('name: The new mill');
  });

  it('refuses a text with parts that stand for others rather than changing these too', () => {
    const aliased = SMALL.replace('batteryMilliamps: 100', 'batteryMilliamps: &ma 100').replace(
      'batteryMilliamps: 150',
      'batteryMilliamps: *ma',
    );
    expect(mistakes(aliased, set('luminaires', 'A-1', 'batteryMilliamps', 90))[0]).toContain(
      'change it in an editor',
    );
    expect(edited(aliased, set('luminaires', 'A-2', 'batteryMilliamps', 90))).toContain(
      'batteryMilliamps: 90',
    );
  });

  it('renames a floor and an area on their floor plans too', () => {
    const plan =
      '  - { id: plan, name: Plan, picture: plans/hall.svg, floor: ground, areas: [hall, loft] }\n';
    const planned = SMALL.replace('areas:\n', `floorPlans:\n${plan}areas:\n`);
    const after = edited(
      planned,
      { do: 'rename', part: 'floors', id: 'ground', to: 'first' },
      { do: 'rename', part: 'areas', id: 'loft', to: 'attic' },
    );
    expect(dataOf(after).floorPlans).toMatchObject([
      { id: 'plan', floor: 'first', areas: ['hall', 'attic'] },
    ]);
  });

  it('says in words from what to what', () => {
    const made = editSite(
      MUSEUM,
      'm',
      [
        set('luminaires', 'GA-03', 'batteryMilliamps', 275),
        set('site', '', 'name', 'Museum of Tides, Hollinsea'),
      ],
      today,
    );
    expect('said' in made && made.said.map(saidWords)).toEqual([
      'luminaire GA-03: batteryMilliamps from 260 to 275',
    ]);
  });
});

/** The small site with comments in every kind of place; one beside a field goes with it. */
const NOTED = `# The mill.
${SMALL.replace(
  'opening: []',
  'opening: [] # nobody\n# Nights of the fair.\nnoTestDates: [2026-03-21, 2026-09-27]',
)
  .replace('    ratedMinutes: 180\n', '    ratedMinutes: 180   # on the plate\n    # Bought together.\n')
  .replace('      - { id: A-2', '      # Up the ladder.\n      - { id: A-2')
  .replace('    luminaires:', '    luminaires: # in the order of the terminals')}# The end.
`;

const word = fc
  .stringMatching(/^[A-Za-z][ -~]{0,30}$/)
  .map((text) => text.trim())
  .filter((text) => text !== '');
const lampId = fc.constantFrom('A-1', 'A-2');
const dates = fc.uniqueArray(fc.constantFrom('2026-03-21', '2026-09-27', '2026-10-01'), { minLength: 1 });
/** A change that the checks let pass. */
const there = fc.oneof(
  fc.tuple(lampId, word).map(([id, value]) => set('luminaires', id, 'place', value)),
  fc
    .tuple(lampId, fc.integer({ min: 1, max: 2000 }))
    .map(([id, value]) => set('luminaires', id, 'batteryMilliamps', value)),
  fc
    .tuple(lampId, fc.option(fc.integer({ min: -20, max: 60 })))
    .map(([id, value]) => set('luminaires', id, 'celsius', value)),
  word.map((value) => set('site', '', 'responsible', value)),
  fc.option(fc.constant(true)).map((value) => set('circuits', 'one', 'shared', value)),
  fc.option(dates).map((value) => set('site', '', 'noTestDates', value)),
  fc
    .constantFrom('a', 'b')
    .map((n): Change => ({ do: 'rename', part: 'areas', id: 'loft', to: `loft-${n}` })),
);

function reverse(change: Change, data: ReturnType<typeof dataOf>): Change {
  if (change.do === 'rename') return { ...change, id: change.to, to: change.id };
  if (change.do !== 'set') throw new Error('Not drawn.');
  const lamps = data.circuits.flatMap(({ luminaires }) => luminaires);
  const things = { site: [data], circuits: data.circuits, luminaires: lamps }[
    change.part as 'site'
  ] as Item[];
  const item = change.part === 'site' ? data : things.find(({ id }) => id === change.id)!;
  return { ...change, value: item[change.field] ?? null };
}

const COMMENTS = NOTED.split('\n').flatMap((line) => /#.*$/.exec(line)?.[0] ?? []);

it('taken back gives the same data, and every comment survives both', () => {
  fc.assert(
    fc.property(there, (change) => {
      const data = dataOf(NOTED);
      const after = edited(NOTED, change);
      expect(COMMENTS.filter((one) => !after.includes(one))).toEqual([]);
      const back = edited(after, reverse(change, data));
      expect(dataOf(back)).toEqual(data);
      expect(COMMENTS.filter((one) => !back.includes(one))).toEqual([]);
    }),
    { numRuns: 100 },
  );
});
