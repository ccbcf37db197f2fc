// Luminaires as a table, from and to a site file.
import { parse } from 'csv-parse/sync';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { formatMistake, loadSite, parseSite } from '../../../host/site/load';
import type { Site } from '../../../host/site/model';
import { knownKeys } from '../../../host/site/schema';
import { buildingOf, hoursOf } from '../../../host/site/table/building';
import { cellText, onOneLine, plainCell } from '../../../host/site/table/cells';
import { csvTable } from '../../../host/site/table/csv';
import { settleDates } from '../../../host/site/table/dates';
import { draftOf } from '../../../host/site/table/draft';
import { LOST_OF_AREAS, LOST_OF_CIRCUITS, LOST_OF_SITE, lostOf } from '../../../host/site/table/lost';
import { neighbours, tooManyAreas } from '../../../host/site/table/neighbours';
import type { ExpectedCurrents } from '../../../host/site/table/reader';
import { Titles } from '../../../host/site/table/titles';
import { luminaireTable } from '../../../host/site/table/write';
import { siteText } from '../../../host/site/table/yamlText';

const TODAY = '2026-11-30';
const file = 'mill.csv';

/** The site of a table, or its mistakes without the name of the file. */
function imported(
  bytes: Buffer | string,
  expected: ExpectedCurrents = {},
): { site: Site; text: string; doubts: string[] } | { mistakes: string[] } {
  const read = csvTable(Buffer.from(bytes as string), file, new Titles(expected));
  const undecided = 'table' in read ? settleDates(read.table.rows, undefined, file) : [];
  const made = 'table' in read ? draftOf(read.table.rows, file, TODAY, expected) : read;
  if ('mistakes' in made)
    return {
      mistakes: [...undecided, ...made.mistakes].map((one) =>
        formatMistake(one)
          .slice(file.length + 1)
          .trim(),
      ),
    };
  const text = siteText(buildingOf({ timeZone: 'Europe/London' }, 'Mill'), made.draft, 'Made for a test.');
  const result = parseSite(text, 'mill.yaml', () => TODAY);
  if ('mistakes' in result) throw new Error(`${result.mistakes.map(formatMistake).join('\n')}\n${text}`);
  return { site: result.site, text, doubts: made.draft.doubts };
}

function siteOf(bytes: Buffer | string): Site {
  const made = imported(bytes);
  if ('mistakes' in made) throw new Error(made.mistakes.join('\n'));
  return made.site;
}

const ROW = ['A-1', 'Tür, "groß"', 'Süd A', 'maintained', '60', '98', '125'];
const TITLES = ['ID', 'Place', 'circuit', 'Mode', 'rated minutes', 'battery (mA)', 'mains_mA'];
const table = (separator: string, rows = [TITLES, ROW]) =>
  rows.map((row) => row.map((cell) => `"${cell.replaceAll('"', '""')}"`).join(separator)).join('\r\n');

describe('a table of luminaires', () => {
  it.each<[string, Buffer | string]>([
    ['commas', table(',')],
    ['semicolons', table(';')],
    ['tabs', table('\t')],
    ['a byte order mark', `\uFEFF${table(';')}`],
    ['Windows-1252', Buffer.from(table(';'), 'latin1')],
    ['a line that names its separator', `sep=;\r\n${table(';')}`],
    ['columns in another order', table(',', [[...TITLES].reverse(), [...ROW].reverse()])],
    ['empty lines', `\r\n${table(',')}\r\n\r\n`],
    ['decimal commas', table(';').replace('"98"', '"98,0"')],
  ])('is read with %s', (_, bytes) => {
    const [circuit] = siteOf(bytes).circuits;
    expect(circuit).toMatchObject({ id: 'sud-a', name: 'Süd A' });
    expect(circuit.luminaires).toMatchObject([
      {
        id: 'A-1',
        place: 'Tür, "groß"',
        mode: 'maintained',
        ratedSec: 3600,
        batteryMilliamps: 98,
        mainsMilliamps: 125,
      },
    ]);
  });

  it('takes a current of 0 on mains for a lamp that is dark there', () => {
    const rows = ['A-1,a,9,0,', 'A-2,a,9,"0,0",non-maintained', 'A-3,a,9,7,'].join('\n');
    const { luminaires } = siteOf(`id,circuit,battery mA,mains mA,mode\n${rows}\n`).circuits[0];
    expect(luminaires.map((lamp) => [lamp.mode, lamp.mainsMilliamps])).toEqual([
      ['non-maintained', 0],
      ['non-maintained', 0],
      ['maintained', 7],
    ]);
    const lit = imported('id,circuit,battery mA,mains mA,mode\nA-1,a,9,0,maintained\n');
    expect(lit).toEqual({
      mistakes: [expect.stringMatching(/mains mA: is empty or 0; a maintained luminaire is lit/)],
    });
  });

  it('makes what is missing a default, and says each', () => {
    const made = imported('circuit,id,battery mA,mains mA\none,A-1,100,\none,A-2,100,90\n');
    if ('mistakes' in made) throw new Error(made.mistakes.join('\n'));
    expect(made.site.circuits[0].luminaires.map(({ mode }) => mode)).toEqual([
      'non-maintained',
      'maintained',
    ]);
    const said = made.text.split('\n').filter((line) => line.startsWith('#   '));
    expect(said.map((line) => line.slice(4).split(';')[0])).toEqual([
      'name of the building Mill',
      'id mill, made of the name',
      'rule profile en50172',
      'person responsible for the emergency lighting not named',
      'people are there mon-sun 07:00-22:00',
      'tests mon-sun 23:00-05:00',
      'floor ground (all of 2 luminaires)',
      'area as the circuit (all of 2 luminaires)',
      'mode maintained where there is a current on mains, else non-maintained (all of 2 luminaires)',
      'place as the id (all of 2 luminaires)',
      'rated duration 180 minutes (all of 2 luminaires)',
      'chemistry NiMH (all of 2 luminaires)',
      'battery fitted 2022-11-30, as its age is not known (all of 2 luminaires)',
      'no relay also switches off normal lighting, shared: false (all of 1 circuits)',
      'nobody sleeps or is always anywhere',
      'no area is marked as the way out of others, such as a stair',
    ]);
  });

  it('takes areas of the same name on two floors for two, and neighbours for all on one', () => {
    const rows = ['Ground,Hall', 'Ground,Shop', 'First,Hall'].map((at, i) => `A-${i},one,100,${at}`);
    const { areas } = siteOf(`id,circuit,battery mA,floor,area\n${rows.join('\n')}`);
    expect(areas.map(({ id, floor, adjacent }) => [id, floor, adjacent])).toEqual([
      ['hall-ground', 'ground', ['shop', 'hall-first']],
      ['shop', 'ground', ['hall-ground']],
      ['hall-first', 'first', ['hall-ground']],
    ]);
  });

  it.each([
    ['areas', 'id,circuit,battery mA,floor,area', ['A-1,a,9,G,Stair', 'A-2,b,9,1,stair', 'A-3,a,9,2,Stair']],
    [
      'circuits that serve as areas',
      'id,circuit,battery mA,floor',
      ['A-1,Stair,9,G', 'A-2,stair,9,1', 'A-3,Stair,9,2'],
    ],
  ])('lets the parts of a stair on three floors adjoin each other: %s', (_, titles, rows) => {
    const { areas } = siteOf([titles, ...rows].join('\n'));
    const ids = ['stair-g', 'stair-1', 'stair-2'];
    expect(areas.map(({ id, adjacent }) => [id, adjacent])).toEqual(
      ids.map((id) => [id, ids.filter((other) => other !== id)]),
    );
  });

  it('takes a circuit whose rows are on two floors for one, and says so', () => {
    const made = imported('id,circuit,battery mA,floor\nA-1,A,9,Ground\nA-2,a,9,First\nA-3,B,9,First');
    expect('doubts' in made && made.doubts).toEqual([
      'circuit A has luminaires on 2 floors (Ground, First) and is one circuit; if there are several, give each its own name',
    ]);
  });

  it('never takes two names for one because the id of one is the other', () => {
    const { circuits } = siteOf('id,circuit,battery mA\nA-1,"Ground, A",9\nA-2,ground-a,9\n');
    expect(circuits.map(({ id, name }) => [id, name])).toEqual([
      ['ground-a', 'Ground, A'],
      ['ground-a-2', 'ground-a'],
    ]);
  });

  it('says of each circuit whether its relay also switches off normal lighting', () => {
    const rows = ['A-1,a,9,yes', 'A-2,a,9,', 'A-3,b,9,N', 'A-4,c,9,'].join('\n');
    const made = imported(`id,circuit,battery mA,shared\n${rows}`);
    if ('mistakes' in made) throw new Error(made.mistakes.join('\n'));
    expect(made.site.circuits.map(({ id, shared }) => [id, shared])).toEqual([
      ['a', true],
      ['b', false],
      ['c', false],
    ]);
    expect(made.text).toContain('shared: false (1 of 3 circuits); where one does, write true');
    expect(made.text.match(/shared: false # a default/g)).toHaveLength(1);
    expect(imported('id,circuit,battery mA,shared\nA-1,a,9,no\nA-2,a,9,1\nA-3,a,9,perhaps')).toEqual({
      mistakes: [
        '3: shared: line 2 says no for the same circuit; write the same for all of it.',
        '4: shared: must be yes or no (does the relay also switch off normal lighting?), but is "perhaps".',
      ],
    });
  });

  it.each([
    ['1,000', '1', '1000'],
    ['1.000', '1', '1000'],
    ['2,000', '2', '2000'],
    ['120,000', '120', '120000'],
  ])('refuses %s where a whole number is meant', (cell, few, many) => {
    expect(imported(`id;circuit;battery mA\nA-1;one;${cell}`)).toEqual({
      mistakes: [
        `2: battery mA: "${cell}" can mean ${few} or ${many}; write ${many} without a separator, or ${few}.`,
      ],
    });
  });

  it('tells cells that no title is for', () => {
    expect(imported('id,circuit,battery mA\nGA-01,A,120,5\nGA-02,A,120,\nGA-03,Hall, north,120')).toEqual({
      mistakes: [2, 4].map(
        (line) => `${line}: has more cells than titles; put a text that holds the separator between quotes.`,
      ),
    });
    const text = 'id,circuit,battery mA,,,colour\nGA-01,A,120,,5,red';
    expect(csvTable(Buffer.from(text), file, new Titles())).toMatchObject({
      table: { unused: ['column 5, which has no title', 'colour'] },
    });
  });

  it('tells a cell on one short line, and a date that is none once', () => {
    const cell = `not\u0085 a\ndate ${'x'.repeat(100)}`;
    expect(imported(`id,circuit,battery mA,fitted\nA-1,one,9,"${cell}"`)).toEqual({
      mistakes: [
        `2: fitted: must be the date the battery was fitted as YYYY-MM-DD, a real date, but is "not  a\\ndate ${'x'.repeat(23)}...".`,
      ],
    });
  });

  it('gives luminaires that nobody has measured the currents that are expected, and says so of each', () => {
    const rows = [
      'id,circuit,mode,currents,mains mA',
      'A-1,one,nm,,',
      'A-2,one,maintained,,',
      'A-3,one,maintained,,125',
    ];
    const made = imported(rows.join('\n'), { batteryMa: 100, mainsMa: 130 });
    if ('mistakes' in made) throw new Error(made.mistakes.join('\n'));
    expect(made.site.circuits[0].luminaires).toMatchObject([
      { batteryMilliamps: 100, mainsMilliamps: 0, isExpected: true },
      { batteryMilliamps: 100, mainsMilliamps: 130, isExpected: true },
      { batteryMilliamps: 100, mainsMilliamps: 125, isExpected: true },
    ]);
    const again = siteOf(luminaireTable(made.site));
    expect(again.circuits[0].luminaires).toEqual(made.site.circuits[0].luminaires);

    const partly = imported('id,circuit,battery mA,mode\nA-1,one,98,nm\nA-2,one,,nm\n', { batteryMa: 100 });
    if ('mistakes' in partly) throw new Error(partly.mistakes.join('\n'));
    const [measured, expected] = partly.site.circuits[0].luminaires;
    expect(measured).toMatchObject({ batteryMilliamps: 98 });
    expect([measured.isExpected, expected.isExpected]).toEqual([undefined, true]);
    expect(imported('id,circuit,mode\nA-1,one,maintained\n', { batteryMa: 100 })).toMatchObject({
      mistakes: [expect.stringMatching(/a maintained luminaire is lit on mains, .+ --mains-ma 250\.$/)],
    });
  });

  it('tells every mistake of every row with its line', () => {
    const rows = [
      'id,circuit,mode,battery mA,mains mA,minutes,fitted,place',
      'A-1,one,maintaned,100,120,180,2020-01-01,"two\nlines"',
      'A 2,one,maintained,0.3,,3,2040-01-01,',
      ',one,nm,,5,180,30/02/2020,',
      'A-1,,nm,100,,180,1.2.2020,',
    ];
    const made = imported(rows.join('\n'));
    expect('mistakes' in made && made.mistakes).toEqual([
      '2: mode: must be one of: non-maintained, maintained, switched maintained, combined, but is "maintaned"; did you mean "maintained"?',
      '4: id: must be 1 to 24 letters, digits or hyphens, e.g. "GA-04", but is "A 2"; write A-2.',
      '4: minutes: must be the rated duration in minutes, a whole number from 15 to 180, but is "3"; write 180 for 3 h.',
      '4: battery mA: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is "0.3"; write 300 for 0.3 A.',
      '4: mains mA: is empty or 0; a maintained luminaire is lit on mains, so write its current.',
      '4: fitted: 2040-01-01 is after today, 2026-11-30; write the date on which the battery was fitted.',
      '5: id: is empty; write it for every luminaire.',
      '5: battery mA: is empty; write it for every luminaire.',
      '5: fitted: must be the date the battery was fitted as YYYY-MM-DD, a real date, but is "30/02/2020".',
      '5: mains mA: the emergency lamp of a non-maintained luminaire is dark on mains; leave it empty.',
      '6: circuit: is empty; write it for every luminaire.',
      '6: id: luminaire "A-1" is in line 2 too; give each one its own id.',
    ]);
  });

  it.each<[string, string, string]>([
    ['nothing', '', 'the table is empty; write one row per luminaire.'],
    [
      'only titles',
      'id,circuit,battery mA',
      'the table has no luminaire; write one row per luminaire under the titles.',
    ],
    [
      'no titles',
      'A-1,one,100\n',
      '1: there is no column "id", "circuit", "battery mA"; write the titles in the first row.',
    ],
    [
      'a title twice',
      'id,circuit,battery mA,id\nA,b,1,C',
      '1: there are two columns "id"; remove or rename one.',
    ],
    [
      'an open quote',
      'id,circuit,battery mA\n"A,b,1\n',
      '2: a text in quotes does not end; write " at its end, and "" for a quote inside it.',
    ],
  ])('that holds %s is told in one sentence', (_, text, sentence) => {
    expect(imported(text)).toEqual({ mistakes: [sentence] });
  });

  it('comes back from the table that is written of it: the demonstration building', () => {
    const loaded = loadSite('docs/examples/museum-of-tides.yaml');
    if ('mistakes' in loaded) throw new Error('the museum has mistakes');
    const luminaires = ({ circuits }: Site) =>
      circuits.map((one) => [one.id, one.floor, one.shared, one.luminaires]);
    const back = siteOf(luminaireTable(loaded.site));
    expect(luminaires(back)).toEqual(luminaires(loaded.site));
    expect(luminaireTable(back)).toBe(luminaireTable(loaded.site));
  });
});

describe('the floor plans of a table', () => {
  const TITLES = 'id,circuit,battery mA,floor,plan,plan x,plan y';

  it('are named in the site file, with pictures to be put beside it', () => {
    const made = imported(`${TITLES}\nA-1,a,9,First,first,"12,5",100\nA-2,a,9,First,,,`);
    if ('mistakes' in made) throw new Error(made.mistakes.join('\n'));
    expect(made.site.floorPlans).toEqual([
      { id: 'first', name: 'First', picture: 'first.svg', floor: 'first' },
    ]);
    expect(made.site.circuits[0].luminaires.map(({ spot }) => spot)).toEqual([
      { floorPlan: 'first', across: 12.5, down: 100 },
      undefined,
    ]);
    expect(made.text).toContain('#   pictures of the floor plans first.svg; put them beside the site file');
  });

  it('have places on them, or the row is told', () => {
    expect(imported(`${TITLES}\nA-1,a,9,First,First,101,5\n`)).toEqual({
      mistakes: [
        '2: plan: must be 1 to 24 lower-case letters, digits or hyphens, e.g. "ground", but is "First"; write first.',
        '2: plan x: must be the place on the floor plan, percent of its width from its left edge, a number from 0 to 100, but is "101".',
      ],
    });
    expect(() => imported(`${TITLES}\nA-1,a,9,First,first,10,\n`)).toThrow(
      '[A-1].down: is missing; a place on a floor plan is across and down',
    );
  });
});

describe('a draft of a site', () => {
  it('with thousands of rooms on a floor is refused in one sentence, before it is written', () => {
    const draftWith = (rooms: number) => {
      const rows = Array.from({ length: rooms }, (_, i) => ({
        line: i + 2,
        cells: { id: `A-${i}`, circuit: `c${i >> 4}`, area: `Room ${i}`, batteryMilliamps: '90' },
      }));
      const made = draftOf(rows, file, TODAY);
      if ('mistakes' in made) throw new Error('the rows have mistakes');
      return made.draft;
    };
    expect(tooManyAreas(draftWith(5000))).toBe(
      'floor ground has 5000 areas, which all adjoin each other as long as nothing else is said: too many pairs for a ' +
        'site file; give rooms that are left by the same way one area.',
    );
    const few = draftWith(60);
    expect(tooManyAreas(few)).toBeUndefined();
    expect([...neighbours(few).values()].flat()).toHaveLength((60 * 59) / 2);
  });

  it('keeps a line break in the name of its table out of what YAML reads', () => {
    const made = draftOf([{ line: 2, cells: { id: 'A', circuit: 'a', batteryMilliamps: '9' } }], file, TODAY);
    if ('mistakes' in made) throw new Error('the row has mistakes');
    const name = 'two\nlines: yes';
    const text = siteText(buildingOf({ timeZone: 'UTC' }, name), made.draft, `Made from ${name}.csv`);
    const result = parseSite(text, 'two.yaml', () => TODAY);
    expect('site' in result && result.site.name).toBe(name);
  });
});

describe('what a table cannot hold', () => {
  it.each<[string, Record<string, unknown>, string[]]>([
    [
      '',
      LOST_OF_SITE,
      [
        'id',
        'name',
        'timeZone',
        'profile',
        'responsible',
        'testWindows',
        'opening',
        'floors',
        'areas',
        'circuits',
      ],
    ],
    ['areas', LOST_OF_AREAS, ['id', 'floor']],
    [
      'circuits',
      LOST_OF_CIRCUITS,
      // Register and its unit stand at each luminaire of the table.
      [
        'id',
        'floor',
        'luminaires',
        'register',
        'milliampsPerCount',
        'shared',
        'ratedMinutes',
        'chemistry',
        'batteryFitted',
        'celsius',
      ],
    ],
  ])('is known of every field of the site file: %s', (group, lost, held) => {
    expect([...Object.keys(lost), ...held].sort()).toEqual([...knownKeys[group]].sort());
  });

  it('is told of the demonstration building', () => {
    const loaded = loadSite('docs/examples/museum-of-tides.yaml');
    if ('mistakes' in loaded) throw new Error('the museum has mistakes');
    expect(lostOf(loaded.site)).toEqual([
      ...['closedDates', 'noTestDates', 'location', 'engineerDays', 'floorPlans', 'simulation'],
      ...['name (14 areas)', 'adjacent (15 areas)', 'occupied (5 areas)'],
      ...['name (13 circuits)', 'auxiliaryContact (13 circuits)'],
    ]);
  });
});

describe('a cell that is written', () => {
  it.each(['=1+1', '+49', '-5', '@x', '\tx', "'=1", '\n=1', ' =1', '\u3000=1', '＝1', '＋1', '－1', '＠x'])(
    'is no formula to a spreadsheet: %j',
    (text) => {
      expect(cellText(text)).toBe(`"'${text}"`);
    },
  );

  it('comes back as it was, whatever it holds, by a reader that is not ours', () => {
    const text = fc.string({ unit: fc.constantFrom(...'=+-@＝＠\'",;\t\r\nab ') });
    fc.assert(
      fc.property(text, (cell) => {
        const [[read]] = parse(`${cellText(cell)},x\r\n`, { record_delimiter: '\r\n' });
        expect(read).not.toMatch(/^\s*[=+\-@\t\r\n＝＠]/u);
        expect(plainCell(read)).toBe(cell);
      }),
    );
  });
});

it('what is told of a table stays on its line', () => {
  expect(onOneLine('column one\r\n\u001b[2Jtwo\u2028three\u202efour')).toBe('column one [2Jtwo three four');
});

describe('hours in words', () => {
  it('are days and times as the site file has them', () => {
    expect(hoursOf('--opening', 'Mon-Wed 8:00-18.00, sat - sun 22:00-24:00')).toEqual([
      { days: ['mon', 'tue', 'wed'], from: '08:00', to: '18:00' },
      { days: ['sat', 'sun'], from: '22:00', to: '00:00' },
    ]);
    expect(hoursOf('--opening', 'fri-mon 9:00-12:00')[0].days).toEqual(['mon', 'fri', 'sat', 'sun']);
    expect(hoursOf('--opening', 'never')).toEqual([]);
  });

  it.each(['always', 'mon', 'mon 8-18', 'mon 25:00-26:00', ''])(
    'are refused with an example: "%s"',
    (text) => {
      expect(() => hoursOf('--opening', text)).toThrow(
        `--opening must be days and hours such as "mon-fri 08:00-18:00, sat 10:00-14:00", but is "${text}".`,
      );
    },
  );
});
