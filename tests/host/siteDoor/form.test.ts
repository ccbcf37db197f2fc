import { expect, it } from 'vitest';
import { dataOf } from '../../../host/site/edit/edit';
import { placeOf } from '../../../host/site/edit/places';
import { knownKeys } from '../../../host/site/schema';
import { formFields } from '../../../host/siteDoor/form';
import { LABELS, UNLABELLED } from '../../../host/siteDoor/labels';
import { SMALL } from '../site/small';

it('every field of the building has a label, or is named as one without a form', () => {
  for (const group of Object.keys(LABELS)) {
    const all = [...Object.keys(LABELS[group]), ...(UNLABELLED[group] ?? [])];
    expect(all.sort(), group).toEqual([...knownKeys[group]].sort());
  }
});

it('a form says of each field what may be written, with an example, in plain words', () => {
  const { luminaires, site, circuits } = formFields();
  expect(luminaires.find(({ name }) => name === 'batteryMilliamps')).toEqual({
    ...{ name: 'batteryMilliamps', label: 'Lamp current on battery, mA', kind: 'number' },
    ...{ accepts: 'a whole number from 1 to 2000', example: '260', otherwise: '' },
    more: 'Measured at commissioning: the lamp is judged by it. 0.3 A is 300.',
  });
  expect(luminaires.find(({ name }) => name === 'mode')?.options).toContain('non-maintained');
  const kinds = Object.fromEntries(
    [...site, ...circuits, ...luminaires].map(({ name, kind }) => [name, kind]),
  );
  expect(kinds).toMatchObject({
    ...{ testWindows: 'hours', closedDates: 'dates', engineerDays: 'days', centralSupply: 'yes or no' },
    ...{
      location: 'group',
      profile: 'choice',
      floor: 'floor',
      area: 'area',
      serves: 'areas',
      timeZone: 'text',
    },
  });
  const words = Object.values(formFields()).flat();
  expect(words.filter(({ more, otherwise }) => /[`*\]]/.test(more + otherwise))).toEqual([]);
  expect(words.filter(({ more }) => more.includes('.md'))).toEqual([]);
  expect(site.find(({ name }) => name === 'opening')?.more).toMatch(/^None means that nobody is ever there/);
});

it('a place in the file is told as the thing and its field', () => {
  const data = dataOf(SMALL);
  expect(placeOf(data, ['circuits', 0, 'luminaires', 1, 'serves', 0])).toEqual({
    ...{ part: 'luminaires', id: 'A-2', field: 'serves' },
  });
  expect(placeOf(data, ['circuits', 0, 'luminaires'])).toEqual({
    part: 'circuits',
    id: 'one',
    field: 'luminaires',
  });
  expect(placeOf(data, ['areas', 1])).toEqual({ part: 'areas', id: 'loft', field: '' });
  expect(placeOf(data, ['opening', 0, 'from'])).toEqual({ part: 'site', id: '', field: 'opening' });
});
