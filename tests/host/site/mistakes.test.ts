import { describe, expect, it } from 'vitest';
import { formatMistake, parseSite } from '../../../host/site/load';
import { SMALL, WITNESS_KEY } from './small';

/** The mistakes of the small site after one change. */
function mistakesOf(search: string, replacement: string) {
  expect(SMALL).toContain(search);
  const result = parseSite(SMALL.replace(search, replacement), 'mill.yaml');
  return 'mistakes' in result ? result.mistakes : [];
}

describe('a mistake in a site file', () => {
  it.each([
    ['an unknown key', 'timeZone:', 'timezone:', 3, 'timezone', 'did you mean "timeZone"?'],
    [
      'a missing field',
      'name: The old mill\n',
      '',
      1,
      'name',
      'is missing; it must be the name of the building',
    ],
    ['an unknown time zone', 'Europe/London', 'Europe/Hollinsea', 3, 'timeZone', 'but is "Europe/Hollinsea"'],
    ['a bad time', '"04:00"', '"4 am"', 6, 'testWindows[#1].to', 'as "HH:MM"'],
    ['a time past midnight', '"04:00"', '"24:00"', 6, 'testWindows[#1].to', '00:00 to 23:59'],
    ['a bad day', '[mon, tue]', '[mon, tues]', 6, 'testWindows[#1].days[#2]', 'mon, tue, wed'],
    [
      'a date that does not exist',
      '2024-02-29',
      '2023-02-29',
      19,
      'circuits[one].batteryFitted',
      'a real date',
    ],
    [
      'a current out of bounds',
      'Milliamps: 150',
      'Milliamps: 2001',
      22,
      'circuits[one].luminaires[A-2].batteryMilliamps',
      'from 1 to 2000',
    ],
    [
      'a current in words',
      'Milliamps: 150',
      'Milliamps: many',
      22,
      'circuits[one].luminaires[A-2].batteryMilliamps',
      'but is "many"',
    ],
    [
      'a rated duration out of bounds',
      'ratedMinutes: 180',
      'ratedMinutes: 181',
      17,
      'circuits[one].ratedMinutes',
      'from 15 to 180',
    ],
    [
      'an unknown mode',
      'mode: non-maintained',
      'mode: standby',
      22,
      'circuits[one].luminaires[A-2].mode',
      'switched maintained',
    ],
    ['a bad id', 'id: one', 'id: Circuit_One', 14, 'circuits[Circuit_One].id', '1 to 24 lower-case letters'],
    [
      'no mains current',
      ', mainsMilliamps: 120',
      '',
      21,
      'circuits[one].luminaires[A-1].mainsMilliamps',
      'lit on mains',
    ],
    [
      'a mains current too many',
      'Milliamps: 150',
      'Milliamps: 150, mainsMilliamps: 9',
      22,
      'circuits[one].luminaires[A-2].mainsMilliamps',
      'remove this field',
    ],
    [
      'an earlier battery fitted after a later one',
      'Milliamps: 150',
      'Milliamps: 150, batteriesBefore: [2021-01-01, 2024-03-01]',
      22,
      'circuits[one].luminaires[A-2].batteriesBefore[#2]',
      'must be before the date of the battery that followed it (2024-02-29)',
    ],
    [
      'an unknown area',
      'area: loft',
      'area: lofd',
      22,
      'circuits[one].luminaires[A-2].area',
      'did you mean "loft"?',
    ],
    [
      'an unknown adjacent area',
      '[loft]',
      '[cellar]',
      11,
      'areas[hall].adjacent[#1]',
      'there is no area "cellar"',
    ],
    [
      'an area adjacent to itself',
      '[loft]',
      '[hall]',
      11,
      'areas[hall].adjacent[#1]',
      'not adjacent to itself',
    ],
    [
      'an unknown floor',
      'floor: ground\n    rated',
      'floor: roof\n    rated',
      16,
      'circuits[one].floor',
      'there is no floor "roof"',
    ],
    [
      'a luminaire named twice',
      'id: A-2',
      'id: A-1',
      22,
      'circuits[one].luminaires[A-1].id',
      'another luminaire "A-1"',
    ],
    ['an area named twice', '{ id: loft', '{ id: hall', 12, 'areas[hall].id', 'another area "hall"'],
    [
      'an unknown profile',
      'responsible:',
      'profile: en99999\nresponsible:',
      4,
      'profile',
      'write one of: en50172',
    ],
    ['a window too short', '"04:00"', '"02:04"', 6, 'testWindows[#1].to', 'make it at least 3 h 5 min'],
    [
      'a window that noon makes too short',
      'from: "23:00", to: "04:00"',
      'from: "10:00", to: "15:00"',
      6,
      'testWindows[#1].to',
      'the longest window is 3 h (a night lasts from noon to noon, so a window across noon counts as two); make it ' +
        'at least 3 h 5 min',
    ],
    [
      'a window for the limited test only',
      '"04:00"',
      '"01:05"',
      6,
      'testWindows[#1].to',
      'or, where people are there day and night and the rule accepts a limited duration test (2/3), write ' +
        'alwaysOccupied: true for circuit "one".',
    ],
    [
      'a default that is nowhere',
      '    chemistry: NiMH\n',
      '',
      20,
      'circuits[one].luminaires[A-1].chemistry',
      'once for its circuit',
    ],
    [
      'an empty place for a list',
      'opening: []',
      'opening:',
      7,
      'opening',
      'must be a list of opening hours, but is empty',
    ],
    [
      'hours of an area in which people sleep',
      '{ id: loft, name: Loft, floor: ground }',
      '{ id: loft, name: Loft, floor: ground, sleeping: true, occupied: [] }',
      12,
      'areas[loft].occupied',
      'although people sleep there; remove the hours',
    ],
    [
      'hours of an area that is never empty',
      '{ id: loft, name: Loft, floor: ground }',
      '{ id: loft, name: Loft, floor: ground, alwaysOccupied: true, occupied: [] }',
      12,
      'areas[loft].occupied',
      'though people are always there',
    ],
    [
      'an area in which people sleep but are not always',
      '{ id: loft, name: Loft, floor: ground }',
      '{ id: loft, name: Loft, floor: ground, sleeping: true, alwaysOccupied: false }',
      12,
      'areas[loft].alwaysOccupied',
      'counts as always occupied',
    ],
    [
      'light on an unknown area',
      'area: loft, mode',
      'area: loft, serves: [hal], mode',
      22,
      'circuits[one].luminaires[A-2].serves[#1]',
      'did you mean "hall"?',
    ],
    [
      'light on no area',
      'area: loft, mode',
      'area: loft, serves: [], mode',
      22,
      'circuits[one].luminaires[A-2].serves',
      'at least one',
    ],
    [
      'a place north of the pole',
      'opening: []',
      'location: { latitude: 91, longitude: 0 }\nopening: []',
      7,
      'location.latitude',
      'a number from -90 to 90',
    ],
    [
      'half a place',
      'opening: []',
      'location: { latitude: 54 }\nopening: []',
      7,
      'location.longitude',
      'is missing; it must be the longitude',
    ],
    [
      'an engineer on no day',
      'opening: []',
      'engineerDays: []\nopening: []',
      7,
      'engineerDays',
      'must be a list of days',
    ],
    [
      'a wait on a circuit that is not shared',
      '    ratedMinutes: 180',
      '    emptySec: 600\n    ratedMinutes: 180',
      17,
      'circuits[one].emptySec',
      'remove this field',
    ],
    [
      'a shared circuit that is never empty',
      '    ratedMinutes: 180',
      '    shared: true\n    alwaysOccupied: true\n    ratedMinutes: 180',
      18,
      'circuits[one].alwaysOccupied',
      'have the circuits separated',
    ],
    [
      'a witness without http',
      'opening: []',
      `opening: []\nwitnesses: [{ url: "192.168.1.9:8351", key: ${WITNESS_KEY} }]`,
      8,
      'witnesses[#1].url',
      'e.g. "http://192.168.1.9:8351"',
    ],
    [
      'a key that is cut short',
      'opening: []',
      `opening: []\nwitnesses: [{ url: "http://192.168.1.9:8351", key: ${WITNESS_KEY.slice(0, -1)} }]`,
      8,
      'witnesses[#1].key',
      'name+8 digits+44 characters',
    ],
    [
      'a time stamp server that is no address',
      'opening: []',
      'opening: []\ntimeStamps: [gatehouse]',
      8,
      'timeStamps[#1]',
      'the address of a time stamp server',
    ],
  ])('is reported with its line and what to write: %s', (_, search, replacement, line, field, words) => {
    const mistakes = mistakesOf(search, replacement);
    const found = mistakes.find((mistake) => mistake.field === field);
    expect(found, mistakes.map(formatMistake).join('\n')).toBeDefined();
    expect(found!.line).toBe(line);
    expect(found!.message).toContain(words);
    expect(found!.message).toMatch(/[.?]$/);
    expect(found!.message).not.toContain('\n');
  });

  it.each([
    ['a window of 3.5 h for a test of 3 h', '"02:30"', []],
    ['one that holds the test and its margin', '"02:05"', []],
    ['one that holds the limited test', '"01:05"', ['alwaysOccupied: true']],
  ])('is not found in %s', (_, to, always) => {
    const site = SMALL.replace('"04:00"', to).replace(
      'name: Circuit one',
      ['name: Circuit one', ...always].join('\n    '),
    );
    expect(parseSite(site, 'mill.yaml')).toHaveProperty('site');
  });

  it.each([
    ['not even the limited test fits', '"01:04"', 'name: Circuit one'],
    ['the limited one is planned already', '"01:04"', 'name: Circuit one\n    alwaysOccupied: true'],
    ['the circuit must be empty for a test', '"01:05"', 'name: Circuit one\n    shared: true'],
  ])('never suggests the limited test where %s', (_, to, circuit) => {
    const result = parseSite(SMALL.replace('"04:00"', to).replace('name: Circuit one', circuit), 'mill.yaml');
    const [mistake] = 'mistakes' in result ? result.mistakes : [];
    expect(mistake?.field).toBe('testWindows[#1].to');
    expect(mistake?.message).toContain('make it at least');
    expect(mistake?.message).not.toContain('alwaysOccupied');
  });

  it('is told in a short sentence even where the whole rest of the file is quoted for it', () => {
    const result = parseSite(SMALL.replace('Door', "'").repeat(20), 'mill.yaml');
    const mistakes = 'mistakes' in result ? result.mistakes : [];
    expect(mistakes.length).toBeGreaterThan(0);
    for (const { message } of mistakes) expect(message.length).toBeLessThan(250);
  });

  it('is reported for the seventeenth luminaire of a circuit', () => {
    const lamp = (i: number) =>
      `      - { id: B-${i}, place: Row, area: hall, mode: non-maintained, batteryMilliamps: 9 }\n`;
    const result = parseSite(SMALL + Array.from({ length: 15 }, (_, i) => lamp(i)).join(''), 'mill.yaml');
    if (!('mistakes' in result)) throw new Error('17 luminaires were accepted');
    expect(result.mistakes.map(formatMistake)).toEqual([
      'mill.yaml:37: circuits[one].luminaires[B-14]: circuit "one" has 17 luminaires, but a controller has ' +
        '16 sensor inputs; move the rest to another circuit.',
    ]);
  });

  it.each([
    [
      '{ kind: dead lamp, luminaire: A-9, fromDay: 1 }',
      'luminaire',
      'there is no luminaire "A-9"; did you mean',
    ],
    [
      '{ kind: relay stuck closed, circuit: two, fromDay: 1, repairedDay: 9 }',
      'circuit',
      'there is no circuit "two"',
    ],
    [
      '{ kind: person at night, circuit: one, fromDay: 1, everyDays: 3 }',
      'circuit',
      'has no movement sensor',
    ],
    ['{ kind: gremlin, luminaire: A-1, fromDay: 1 }', 'kind', 'must be one of: dead lamp, aged battery'],
    ['{ kind: dead lamp, luminaire: A-1, fromday: 1 }', 'fromday', 'did you mean "fromDay"?'],
    ['{ kind: aged battery, luminaire: A-1, fromDay: 1 }', 'lastsMinutes', 'is missing'],
  ])('is reported for a planted fault: %s', (fault, field, words) => {
    const simulation = `simulation:\n  start: 2026-01-05T09:00\n  historyDays: 0\n  faults:\n    - ${fault}\n`;
    const result = parseSite(SMALL + simulation, 'mill.yaml');
    const mistakes = 'mistakes' in result ? result.mistakes : [];
    const found = mistakes.find((mistake) => mistake.field === `simulation.faults[#1].${field}`);
    expect(found, mistakes.map(formatMistake).join('\n')).toMatchObject({ line: 27 });
    expect(found!.message).toContain(words);
  });

  const BY_HAND = [
    '  byHand:',
    '    every: month',
    '    fullMonth: 3',
    '    days: [mon, fri]',
    '    from: "09:00"',
    '    to: "13:00"',
    '    walkMinutes: 15',
    '    skippedPercent: 5',
    '    overlookedPercent: 5',
    '    keyForgottenPercent: 2',
    '    noticedWithinDays: 5',
    '',
  ].join('\n');
  const SIMULATION = 'simulation:\n  start: 2026-01-05T09:00\n  historyDays: 0\n  faults: []\n';

  it.each([
    ['every: month', 'every: moon', 'every', 28, 'must be one of: week, month, quarter'],
    ['fullMonth: 3', 'fullMonth: 13', 'fullMonth', 29, 'from 1 to 12, but is 13'],
    ['to: "13:00"', 'to: "12:14"', 'to', 32, 'make them at least 3 h 15 min'],
    ['to: "13:00"', 'to: "08:00"', 'to', 32, 'must be later than from'],
    ['walkMinutes: 15', 'walkMinutes: 0', 'walkMinutes', 33, 'from 1 to 240'],
    ['skippedPercent: 5', 'skippedPercent: 101', 'skippedPercent', 34, 'from 0 to 100'],
    ['keyForgotten', 'keyForgoten', 'keyForgotenPercent', 36, 'did you mean "keyForgottenPercent"?'],
    ['noticedWithinDays: 5', 'noticedWithinDays: 0', 'noticedWithinDays', 37, 'from 1 to 60'],
  ])('is reported for a site tested by hand: %s as %s', (search, replacement, field, line, words) => {
    const result = parseSite(SMALL + SIMULATION + BY_HAND.replace(search, replacement), 'mill.yaml');
    const mistakes = 'mistakes' in result ? result.mistakes : [];
    const found = mistakes.find((mistake) => mistake.field === `simulation.byHand.${field}`);
    expect(found, mistakes.map(formatMistake).join('\n')).toMatchObject({ line });
    expect(found!.message).toContain(words);
  });

  it('is absent if a site is tested by hand within its bounds', () => {
    const result = parseSite(SMALL + SIMULATION + BY_HAND, 'mill.yaml');
    expect('site' in result && result.site.simulation.byHand).toMatchObject({ every: 'month', from: 540 });
    expect('site' in result && result.site.simulation.repairDays).toBe(14);
  });
});
