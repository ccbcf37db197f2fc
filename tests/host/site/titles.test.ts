// Titles, units and dates as electricians write them: taken when they mean one thing, asked about when they may mean two.
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { formatMistake } from '../../../host/site/load';
import { COLUMNS } from '../../../host/site/table/columns';
import { csvTable } from '../../../host/site/table/csv';
import { type DateOrder, settleDates } from '../../../host/site/table/dates';
import { draftOf } from '../../../host/site/table/draft';
import { headOf, Titles, type TitlesSaid } from '../../../host/site/table/titles';

const file = 'mill.csv';

/** What import makes of a text: what it is told, or each luminaire. */
function read(text: string, said: TitlesSaid & { dates?: DateOrder } = {}) {
  const table = csvTable(Buffer.from(text), file, new Titles(said));
  const told = (mistakes: Parameters<typeof formatMistake>[0][]) => ({
    mistakes: mistakes.map((one) => formatMistake(one).slice(file.length + 1)),
  });
  if ('mistakes' in table) return told(table.mistakes);
  const undecided = settleDates(table.table.rows, said.dates, file);
  const made = draftOf(table.table.rows, file, '2026-11-30');
  const mistakes = [...undecided, ...('mistakes' in made ? made.mistakes : [])];
  if ('mistakes' in made || mistakes.length > 0) return told(mistakes);
  return { ...table.table, lamps: made.draft.circuits.flatMap(({ luminaires }) => luminaires) };
}

describe('the titles of a list as an electrician keeps it', () => {
  it.each<[string, string]>([
    ...['No.', 'Luminaire No', 'Ref', 'ID', 'id'].map((title): [string, string] => [title, 'id']),
    ...['Location', 'Place'].map((title): [string, string] => [title, 'place']),
    ...['Circuit no', 'Circuit', 'CIRCUIT-ID'].map((title): [string, string] => [title, 'circuit']),
    ...['Type (M/NM)', 'Type', 'M/NM', 'Mode'].map((title): [string, string] => [title, 'mode']),
    ['Duration h', 'minutes in h'],
    ['Duration (h)', 'minutes in h'],
    ['Duration / hrs', 'minutes in hrs'],
    ['Duration', 'minutes'],
    ['Rated duration [min]', 'minutes in min'],
    ['Lamp current', 'battery mA'],
    ['Lamp current (mA)', 'battery mA in ma'],
    ['Battery current', 'battery mA'],
    ['Current A', 'battery mA in a'],
    ['Current on mains (mA)', 'mains mA in ma'],
    ...['Battery type', 'Chemistry', 'Battery'].map((title): [string, string] => [title, 'chemistry']),
    ...['Battery fitted', 'Fitted', 'Battery fitted (dd/mm/yyyy)'].map((title): [string, string] => [
      title,
      'fitted',
    ]),
    ...['Area', 'Room', 'Zone'].map((title): [string, string] => [title, 'area']),
    ['Shared (Y/N)', 'shared'],
    ['mA per count', 'mA per count'],
  ])('%s is %s', (title, meant) => {
    const head = headOf(title);
    expect(
      head && `${head.column.title}${head.unit && head.unit !== head.column.title ? ` in ${head.unit}` : ''}`,
    ).toBe(meant);
  });

  it.each([
    'Make/Model',
    'Remarks',
    'Notes',
    'Circuit A',
    'Duration A',
    'Current (A, mA)',
    'Date',
    '',
    'Lumens',
  ])('"%s" is none for certain', (title) => {
    expect(headOf(title)).toBeUndefined();
  });

  it('every column that is written is read, and no title is of two columns', () => {
    for (const column of COLUMNS)
      for (const title of [column.title, column.field, ...column.also, ...(column.perhaps ?? [])])
        expect(headOf(title)?.column.field, title).toBe(column.field);
  });

  it('make the building of the list, and say how each was taken', () => {
    const made = read(
      [
        'Millpond House emergency lights,,,',
        '',
        'No.,Location,Circuit,Type (M/NM),Make/Model,Duration h,Lamp current,Battery type,Battery fitted,Remarks,Mains current (A)',
        '1,Door,DB1-L3,M,x,3,260,NiCd,12.03.2024,,0.31',
        '2,Hall,DB1-L3,NM,y,1.5 h,260,Ni-MH,12 Mar 2024,high,',
        '3,Hall,DB1-L3,NM,y,180 min,0.26 A,nickel cadmium,2024-03-12,high,',
      ].join('\n'),
    );
    expect(made).toMatchObject({
      unused: ['Make/Model', 'Remarks'],
      lamps: [
        {
          id: '1',
          place: 'Door',
          mode: 'maintained',
          ratedMinutes: 180,
          batteryMilliamps: 260,
          chemistry: 'NiCd',
          mainsMilliamps: 310,
        },
        { id: '2', mode: 'non-maintained', ratedMinutes: 90, batteryMilliamps: 260, chemistry: 'NiMH' },
        { id: '3', ratedMinutes: 180, batteryMilliamps: 260, chemistry: 'NiCd' },
      ],
      taken: [
        '"No." as id',
        '"Location" as place',
        '"Type (M/NM)" as mode',
        '"Duration h" as minutes, in h',
        '"Lamp current" as battery mA',
        '"Battery type" as chemistry',
        '"Battery fitted" as fitted',
        '"Mains current (A)" as mains mA, in A',
      ],
    });
    expect('lamps' in made && made.lamps.map(({ batteryFitted }) => batteryFitted)).toEqual(
      Array(3).fill('2024-03-12'),
    );
  });

  it('stop the import where one may mean a column for which there is no other', () => {
    const text = 'id,circuit,battery mA,Kind of type,Battery make\nA-1,one,9,x,y\n';
    expect(read(text)).toEqual({
      mistakes: [
        '1: Kind of type: may be "mode"; write --column "Kind of type=mode" to take it as that, or --ignore-column "Kind of type".',
        '1: Battery make: may be "chemistry" or "fitted"; write --column "Battery make=chemistry" to take it as that, or --ignore-column "Battery make".',
      ],
    });
    const said = { column: ['kind of  TYPE=mode'], ignoreColumn: ['Battery make'] };
    expect(read(text.replace('one,9,x', 'one,9,NM'), said)).toMatchObject({
      lamps: [{ mode: 'non-maintained' }],
    });
    const full = 'id,circuit,battery mA,chemistry,fitted,Battery make\nA-1,one,9,NiCd,2024-01-02,y\n';
    expect(read(full)).toMatchObject({ unused: ['Battery make'] });
    const shown = read('id,circuit,battery mA,"Type\n of $fitting"\nA-1,one,9,x\n');
    expect(shown).toEqual({
      mistakes: [expect.stringContaining("--column 'Type  of $fitting=mode' to take it as that")],
    });
  });

  it('are offered with the unit they name, and all of them at once to copy', () => {
    const text = 'id,battery mA,Description,Board/way,Rated hrs\nA-1,9,Hall,one,3\n';
    expect(read(text)).toEqual({
      mistakes: [
        expect.stringContaining('may be "place"; write --column "Description=place"'),
        expect.stringContaining('may be "circuit"; write --column "Board/way=circuit"'),
        expect.stringContaining('may be "minutes"; write --column "Rated hrs=duration hrs"'),
        '1: to take all of these as that: --column "Description=place" "Board/way=circuit" "Rated hrs=duration hrs".',
      ],
    });
    const said = { column: ['Description=place', 'Board/way=circuit', 'Rated hrs=duration hrs'] };
    expect(read(text, said)).toMatchObject({ lamps: [{ place: 'Hall', ratedMinutes: 180 }] });
    expect(read('id,circuit,battery mA,Amps on mains,Mode\nA-1,one,9,0.2,M\n')).toEqual({
      mistakes: [expect.stringContaining('--column "Amps on mains=mains current amps"')],
    });
    // Two titles that may mean the same column cannot both be taken.
    expect(read('id,battery mA,DB,Way,Rated hrs\nA-1,9,1,2,3\n')).toEqual({
      mistakes: [
        expect.stringContaining('DB: may be'),
        expect.stringContaining('Way: may be'),
        expect.stringContaining('Rated hrs: may be'),
      ],
    });
  });

  it('that may mean two things are what most of their cells are', () => {
    const rows = (values: string[]) => values.map((value, i) => `A-${i},one,9,${value}`).join('\n');
    expect(read(`id,circuit,battery mA,Type\n${rows(['NM', 'NM', ''])}`)).toMatchObject({
      lamps: [{ mode: 'non-maintained' }, {}, {}],
    });
    expect(read(`id,circuit,battery mA,Type\n${rows(['NM', 'NM', 'NMM'])}`)).toEqual({
      mistakes: [expect.stringMatching(/^4: Type: must be one of: .* but is "NMM"/)],
    });
    expect(read(`id,circuit,battery mA,Type\n${rows(['Bulkhead', 'Exit sign'])}`)).toEqual({
      mistakes: [expect.stringMatching(/^1: Type: may be "mode";/)],
    });
    expect(read(`id,circuit,battery mA,Type,Mode\nA-1,one,9,Bulkhead,NM`)).toMatchObject({
      unused: ['Type'],
    });
  });

  it('are told where two mean the same, and one said by a person is the one', () => {
    const text = 'No.,Ref,circuit,battery mA\n1,A-1,one,9';
    expect(read(text)).toEqual({
      mistakes: ['1: "No." and "Ref" mean the same column; leave one out: --ignore-column "Ref".'],
    });
    expect(read(text, { column: ['Ref=id'] })).toMatchObject({ lamps: [{ id: 'A-1' }], unused: ['No.'] });
  });

  it('are told where nobody finds a column that is needed, or one that was said', () => {
    expect(read('No.,Circuit,Remarks\n1,one,x')).toEqual({
      mistakes: [
        '1: there is no column "battery mA"; add it, or say which column it is: --column "TITLE=battery mA". Where nobody has measured yet, give the current of the maker\'s data: --battery-ma 120, and for those lit on mains also --mains-ma 250.',
      ],
    });
    expect(() => new Titles({ column: ['Kind=moed'] })).toThrow(
      '--column must be a title and the column it is, such as "Type of fitting=mode", but is "Kind=moed"; did you mean "mode"?',
    );
    const titles = new Titles({ column: ['Kind=mode'], ignoreColumn: ['Notes'] });
    csvTable(Buffer.from('id,circuit,battery mA\nA-1,one,9'), file, titles);
    expect(titles.unseen()).toEqual([
      '--column "Kind": no column has that title; the titles are "id", "circuit", "battery mA".',
      '--ignore-column "Notes": no column has that title; the titles are "id", "circuit", "battery mA".',
    ]);
  });
});

describe('a cell with a unit', () => {
  it.each([
    [
      'minutes',
      '3',
      '2: minutes: must be the rated duration in minutes, a whole number from 15 to 180, but is "3"; write 180 for 3 h.',
    ],
    [
      'Duration h',
      '180',
      '2: Duration h: must be the rated duration in minutes, a whole number from 15 to 180, but is "180 h".',
    ],
    [
      'Duration',
      '3 A',
      '2: Duration: must be the rated duration in minutes, a whole number from 15 to 180, but is "3 A".',
    ],
  ])('that fits no luminaire is told: %s, %s', (title, cell, sentence) => {
    expect(read(`id,circuit,battery mA,${title}\nA-1,one,9,${cell}`)).toEqual({ mistakes: [sentence] });
  });

  it('may be hours behind the mode, if no column says others', () => {
    expect(read('id,circuit,battery mA,Type\nA-1,one,9,NM1')).toMatchObject({
      lamps: [{ mode: 'non-maintained', ratedMinutes: 60 }],
    });
    expect(read('id,circuit,battery mA,Type,Duration\nA-1,one,9,NM1,3')).toEqual({
      mistakes: ['2: Type: "NM1" says 1 h and the rated duration 180 min; write the same in both.'],
    });
  });

  it('asks for a column with the current on mains where there is none', () => {
    expect(read('id,circuit,battery mA,Type\nA-1,one,9,M')).toEqual({
      mistakes: [
        '2: mains mA: there is no such column; a maintained luminaire is lit on mains, so add one with its current there. ' +
          "Where nobody has measured yet, give the maker's: --mains-ma 250.",
      ],
    });
  });
});

describe('dates', () => {
  const dated = (title: string, dates: string[], order?: DateOrder) => {
    const made = read(
      `id,circuit,battery mA,${title}\n${dates.map((date, i) => `A-${i},one,9,${date}`).join('\n')}`,
      {
        ...(order && { dates: order }),
      },
    );
    return 'lamps' in made ? made.lamps.map(({ batteryFitted }) => batteryFitted) : made.mistakes;
  };

  it.each<[string, string[], string[]]>([
    ['fitted', ['12/03/2024', '13/3/2024'], ['2024-03-12', '2024-03-13']],
    ['fitted', ['12/03/2024', '3-13-2024'], ['2024-12-03', '2024-03-13']],
    ['fitted', ['12.03.2024', '12.3.24', '12-Mar-24', '12 March 2024'], Array(4).fill('2024-03-12')],
    [
      'fitted',
      ['2024/3/12', '2024-03-12 00:00:00', '05/05/2024'],
      ['2024-03-12', '2024-03-12', '2024-05-05'],
    ],
    ['fitted (dd/mm/yyyy)', ['12/03/2024'], ['2024-03-12']],
    ['fitted MM/DD/YYYY', ['12/03/2024'], ['2024-12-03']],
  ])('under %s are read if one tells which number is the day: %j', (title, dates, meant) => {
    expect(dated(title, dates)).toEqual(meant);
  });

  it('that nobody can tell are asked about once, and only about them', () => {
    expect(dated('fitted', ['12/03/2024', '2024-03-12', '03/09/2022'])).toEqual([
      '2: fitted: 2 dates such as 12/03/2024 can be 12 March or 3 December, and no date of the column tells which; write --dates day-first or --dates month-first.',
    ]);
    expect(dated('fitted', ['13/03/2024', '03/13/2024', '03/09/2022'])).toEqual([
      '4: fitted: 1 date such as 03/09/2022 can be 3 September or 9 March, as 13/03/2024 has the day first and 03/13/2024 the month; write --dates day-first or --dates month-first.',
    ]);
    expect(dated('fitted', ['12/03/2024', '2024-03-12'], 'month-first')).toEqual([
      '2024-12-03',
      '2024-03-12',
    ]);
    expect(dated('fitted', ['12/03/2024', '31/02/2024'])).toEqual([
      '3: fitted: must be the date the battery was fitted as YYYY-MM-DD, a real date, but is "31/02/2024".',
    ]);
  });
});

it('the example in the documents is a table without mistakes', () => {
  const made = read(readFileSync('docs/examples/luminaires.csv', 'utf8'));
  expect(made).toMatchObject({ unused: [] });
  expect('lamps' in made && made.lamps).toHaveLength(10);
});

it.each(['Fitting no', 'Fitting No.', 'Fitting number'])('takes "%s" for the id', (title) => {
  expect(headOf(title)?.column.field).toBe('id');
});
