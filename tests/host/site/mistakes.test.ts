import { describe, expect, it } from 'vitest';
import { formatMistake, parseSite } from '../../../host/site/load';
import { SLIPS, TODAY } from './slips';
import { SMALL } from './small';

describe('a mistake in a site file', () => {
  it.each(SLIPS)('is told in one sentence with its line and what to write: $slip', (slip) => {
    expect(SMALL).toContain(slip.for);
    const result = parseSite(SMALL.replace(slip.for, slip.write), 'mill.yaml', () => TODAY);
    expect('mistakes' in result && result.mistakes.map(formatMistake)).toEqual(
      slip.get.map((sentence) => `mill.yaml:${sentence}`),
    );
  });

  it('about a date or a dark area is told to whoever writes the file, and keeps no host from starting', () => {
    const dark = '  - { id: cellar, name: Cellar, floor: ground }\ncircuits:';
    const text = SMALL.replace('2024-02-29', '2032-02-29').replace('circuits:', dark);
    expect(parseSite(text, 'mill.yaml')).toHaveProperty('site');
    expect(parseSite(text, 'mill.yaml', () => TODAY)).toMatchObject({ mistakes: { length: 2 } });
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
