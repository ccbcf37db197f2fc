import fc from 'fast-check';
import { expect, it } from 'vitest';
import type { FormField, SiteFileData } from '../../../../host/api/site';
import {
  circuitWords,
  formCaution,
  movedUp,
  moveWords,
  removeWords,
  saidNow,
  takingWords,
} from '../../../../host/page/words/site';
import {
  changesOf,
  fieldsOf,
  hintOf,
  itemOf,
  rawOf,
  sorted,
  standing,
  valuesOf,
} from '../../../../host/page/words/siteForm';
import { dataOf } from '../../../../host/site/edit/edit';
import { formFields } from '../../../../host/siteDoor/form';
import { SMALL } from '../../site/small';

const FIELDS = formFields();
const DATA = dataOf(SMALL) as SiteFileData;
const fieldOf = (part: keyof typeof FIELDS, name: string): FormField =>
  FIELDS[part].find((one) => one.name === name)!;

it('shows what the file says and changes nothing by itself', () => {
  for (const place of [
    { part: 'site', id: '' },
    { part: 'floors', id: 'ground' },
    { part: 'areas', id: 'hall' },
    { part: 'circuits', id: 'one' },
    { part: 'luminaires', id: 'A-2' },
  ] as const) {
    const fields = fieldsOf(place, FIELDS[place.part]);
    const values = valuesOf(fields, itemOf(DATA, place)!);
    expect(changesOf(place, fields, values, values), place.part).toEqual([]);
  }
});

it('sends what is typed as the file has it, a new id last', () => {
  const place = { part: 'luminaires', id: 'A-2' } as const;
  const fields = fieldsOf(place, FIELDS.luminaires);
  const before = valuesOf(fields, itemOf(DATA, place)!);
  expect(changesOf(place, fields, before, { ...before, circuit: 'two', id: 'L-2' })).toEqual([
    { do: 'move', part: 'luminaires', id: 'A-2', to: 'two' },
    { do: 'rename', part: 'luminaires', id: 'A-2', to: 'L-2' },
  ]);
  const now = { ...before, id: 'L-2', batteryMilliamps: ' 160 ', ratedMinutes: '', serves: ['loft', 'hall'] };
  expect(changesOf(place, fields, before, now)).toEqual([
    { do: 'set', part: 'luminaires', id: 'A-2', field: 'serves', value: ['loft', 'hall'] },
    { do: 'set', part: 'luminaires', id: 'A-2', field: 'batteryMilliamps', value: 160 },
    { do: 'set', part: 'luminaires', id: 'A-2', field: 'ratedMinutes', value: null },
    { do: 'rename', part: 'luminaires', id: 'A-2', to: 'L-2' },
  ]);
  expect(rawOf(fieldOf('luminaires', 'batteryMilliamps'), '3x')).toBe('3x');
  expect(rawOf(fieldOf('site', 'closedDates'), '2026-12-25, 2026-12-26\n2027-01-01')).toEqual([
    ...['2026-12-25', '2026-12-26', '2027-01-01'],
  ]);
  expect(rawOf(fieldOf('site', 'location'), { latitude: '54.6', longitude: '' })).toEqual({ latitude: 54.6 });
  expect(rawOf(fieldOf('areas', 'occupied'), [])).toEqual([]);
  expect(rawOf(fieldOf('areas', 'occupied'), null)).toBeNull();
});

it('makes a new thing of what is filled in, a circuit with no luminaires yet', () => {
  const fields = FIELDS.circuits;
  const empty = valuesOf(fields, {});
  const now = { ...empty, id: 'two', name: 'Circuit two', floor: 'ground', shared: 'no' };
  expect(changesOf({ part: 'circuits', id: '' }, fields, empty, now)).toEqual([
    {
      do: 'add',
      part: 'circuits',
      item: { id: 'two', name: 'Circuit two', floor: 'ground', shared: false, luminaires: [] },
    },
  ]);
});

it('adds a luminaire to the circuit that is chosen', () => {
  const place = { part: 'luminaires', id: '', circuit: 'one' } as const;
  const fields = fieldsOf(place, FIELDS.luminaires);
  const empty = valuesOf(fields, itemOf(DATA, place)!);
  const now = { ...empty, id: 'A-3', place: 'Yard' };
  const item = { id: 'A-3', place: 'Yard' };
  expect(changesOf(place, fields, empty, now)).toEqual([
    { do: 'add', part: 'luminaires', circuit: 'one', item },
  ]);
  expect(changesOf(place, fields, empty, { ...now, circuit: 'two' })).toEqual([
    { do: 'add', part: 'luminaires', circuit: 'two', item },
  ]);
});

it('gives back every value of every kind unchanged', () => {
  const day = fc.subarray(['mon', 'thu', 'sun'], { minLength: 1 });
  const raws: [FormField, fc.Arbitrary<unknown>][] = [
    [fieldOf('luminaires', 'celsius'), fc.option(fc.integer({ min: -90, max: 90 }))],
    [fieldOf('site', 'centralSupply'), fc.option(fc.boolean())],
    [fieldOf('site', 'engineerDays'), fc.option(day)],
    [fieldOf('site', 'noTestDates'), fc.option(fc.subarray(['2026-03-21', '2026-09-27'], { minLength: 1 }))],
    [
      fieldOf('areas', 'occupied'),
      fc.option(fc.array(fc.record({ days: day, from: fc.constant('08:00'), to: fc.constant('09:00') }))),
    ],
    [
      fieldOf('site', 'testMore'),
      fc.option(fc.record({ functionTestDays: fc.integer(), durationTestDays: fc.integer() })),
    ],
  ];
  for (const [field, raw] of raws)
    fc.assert(
      fc.property(raw, (one) => void expect(rawOf(field, standing(field, one))).toEqual(one)),
      { numRuns: 30 },
    );
});

it('puts a mistake at its field, and one of another thing elsewhere', () => {
  const place = { part: 'areas', id: '' } as const;
  const mistakes = [
    {
      part: 'areas',
      id: 'yard',
      field: 'floor',
      where: 'areas[yard].floor',
      message: 'is missing; it must be.',
    },
    {
      part: 'areas',
      id: 'yard',
      field: '',
      where: 'areas[yard]',
      message: 'no luminaire is in area "yard".',
    },
  ] as const;
  expect(sorted(mistakes, place, FIELDS.areas, { id: ' yard ' })).toEqual({
    here: { floor: 'is missing; it must be.' },
    elsewhere: [mistakes[1]],
  });
});

it('hints at range, example and what holds if a field is left empty', () => {
  expect(hintOf(fieldOf('luminaires', 'ratedMinutes'))).toMatch(
    /^A whole number from \d+ to \d+\. Empty: what its circuit says; one of the two must say it\.$/,
  );
  expect(hintOf(fieldOf('luminaires', 'place'))).toBe('For example: West door.');
  expect(hintOf(fieldOf('areas', 'sleeping'))).toBe('Counts as always occupied.');
  expect(hintOf(fieldOf('luminaires', 'serves'))).toBe(
    'All areas its light falls on. None marked: its own area.',
  );
  expect(hintOf(fieldOf('luminaires', 'area'))).toBe('');
});

it('says what removing means for sensor wires, unless modules on a bus read the lamps', () => {
  expect(movedUp(DATA, 'A-1')).toEqual(['A-2']);
  expect(removeWords(DATA, { part: 'luminaires', id: 'A-1' })).toContain(
    'A-2 will be read one sensor input further up: move their sensor wires too.',
  );
  const [circuit] = DATA.circuits;
  const onBus = {
    ...DATA,
    circuits: [{ ...circuit, luminaires: circuit.luminaires.map((lamp, i) => ({ ...lamp, module: i + 1 })) }],
  };
  expect(movedUp(onBus, 'A-1')).toEqual([]);
  expect(formCaution({ part: 'luminaires', id: '' })).toContain('never changes wiring');
});

it('says what another circuit means for sensor wires, and nothing of the circuit it is in', () => {
  const [circuit] = DATA.circuits;
  const two = { ...circuit, id: 'two', luminaires: [{ id: 'B-1' }] };
  const both = { ...DATA, circuits: [circuit, two] };
  expect(moveWords(both, 'A-1', 'one')).toBe('');
  expect(moveWords(both, 'A-1', 'two')).toBe(
    'Changing these data never changes wiring. Change it here only if luminaire A-1 is fed by circuit two. It will be ' +
      'read at sensor input 2 of circuit two. A-2 will be read one sensor input further up: move their sensor wires ' +
      'too. Its results and its battery data go with it. If its temperature is not known, that of the new circuit holds.',
  );
  expect(moveWords(both, 'A-2', 'two')).not.toContain('further up');
  const onBus = { ...two, luminaires: [{ id: 'B-1', module: 1 }] };
  expect(moveWords({ ...DATA, circuits: [circuit, onBus] }, 'A-2', 'two')).toContain(
    'It needs a current module on the bus of circuit two.',
  );
});

it('says how far the host is with a change, or what it waits for', () => {
  expect(takingWords({ percent: 42, waits: '' })).toContain(
    '42 % of the log book is read for it. Until then',
  );
  expect(takingWords({ percent: 100, waits: '' })).not.toContain('%');
  const waits = 'a test is running on circuit one, which this changes';
  expect(takingWords({ percent: 100, waits })).toContain(`The host waits with it: ${waits}. Until then`);
});

it('says in one line what a field says now', () => {
  const hours = [{ days: ['mon', 'tue'], from: '23:00', to: '04:00' }];
  expect(saidNow(fieldOf('site', 'testWindows'), hours)).toBe('Mon, Tue 23:00–04:00');
  expect(saidNow(fieldOf('site', 'opening'), [])).toBe('never');
  expect(saidNow(fieldOf('site', 'centralSupply'), false)).toBe('No');
  expect(circuitWords(DATA.circuits[0])).toBe('Circuit one, 2 luminaires');
});
