// Luminaires in spreadsheets. The files are made by another library than the one that reads them, or by hand.
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import * as xlsx from '@e965/xlsx';
import { strToU8, unzipSync, zipSync } from 'fflate';
import { afterAll, describe, expect, it } from 'vitest';
import { formatMistake, loadSite } from '../../../host/site/load';
import { draftOf } from '../../../host/site/table/draft';
import { readTable } from '../../../host/site/table/read';
import type { Row } from '../../../host/site/table/rows';
import { luminaireTable, luminaireWorkbook } from '../../../host/site/table/write';

const folder = mkdtempSync(join(tmpdir(), 'nightproof-workbook-'));
const file = join(folder, 'mill.xlsx');
afterAll(() => rmSync(folder, { recursive: true, force: true }));

type Cells = (string | number | boolean | Date | null)[][];
const TITLES = ['id', 'circuit', 'battery mA', 'fitted', 'shared', 'place'];
const FITTED = new Date(Date.UTC(2024, 1, 29));

function sheetOf(cells: Cells): xlsx.WorkSheet {
  return xlsx.utils.aoa_to_sheet(cells, { UTC: true });
}

function workbook(sheets: Record<string, xlsx.WorkSheet>, bookType: xlsx.BookType = 'xlsx'): Buffer {
  const book = xlsx.utils.book_new();
  for (const [name, sheet] of Object.entries(sheets)) xlsx.utils.book_append_sheet(book, sheet, name);
  return xlsx.write(book, { type: 'buffer', bookType });
}

const simple = (cells: Cells, name = 'Plan') => workbook({ [name]: sheetOf(cells) });

/** A workbook as the standard asks for at least, with this in its parts. */
function byHand(parts: { rows: string; strings?: string; styles?: string; properties?: string }): Uint8Array {
  const main = 'http://schemas.openxmlformats.org/spreadsheetml/2006/main';
  const relations = 'http://schemas.openxmlformats.org/package/2006/relationships';
  const office = 'http://schemas.openxmlformats.org/officeDocument/2006/relationships';
  const links = (...targets: [string, string][]) =>
    `<Relationships xmlns="${relations}">${targets
      .map(([type, target], i) => `<Relationship Id="r${i}" Type="${office}/${type}" Target="${target}"/>`)
      .join('')}</Relationships>`;
  const texts = {
    '[Content_Types].xml': '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>',
    '_rels/.rels': links(['officeDocument', 'xl/workbook.xml']),
    'xl/workbook.xml': `<workbook xmlns="${main}" xmlns:r="${office}">${parts.properties ?? ''}<sheets><sheet name="Plan" sheetId="1" r:id="r0"/></sheets></workbook>`,
    'xl/_rels/workbook.xml.rels': links(
      ['worksheet', 'worksheets/one.xml'],
      ['sharedStrings', 'strings.xml'],
      ['styles', 'styles.xml'],
    ),
    'xl/strings.xml': `<sst xmlns="${main}">${parts.strings ?? ''}</sst>`,
    'xl/styles.xml': `<styleSheet xmlns="${main}">${parts.styles ?? ''}</styleSheet>`,
    'xl/worksheets/one.xml': `<worksheet xmlns="${main}"><sheetData>${parts.rows}</sheetData></worksheet>`,
  };
  return zipSync(Object.fromEntries(Object.entries(texts).map(([name, text]) => [name, strToU8(text)])));
}

const text = (value: string) => `<c t="inlineStr"><is><t>${value}</t></is></c>`;
const HEAD = `<row>${['id', 'circuit', 'battery mA', 'fitted'].map(text).join('')}</row>`;

/** Rows of the table in these bytes, or the sentences about it without the name of the file. */
async function read(bytes: Uint8Array, sheets?: string[]): Promise<Row[] | string[]> {
  writeFileSync(file, bytes);
  const made = await readTable(file, { sheet: sheets });
  const drawn = 'table' in made ? draftOf(made.table.rows, file, '2026-11-30') : made;
  if ('mistakes' in drawn)
    return drawn.mistakes.map((one) => formatMistake(one).slice(file.length).replace(/^: /, ''));
  return 'table' in made ? made.table.rows.map(({ titles: _, ...row }) => row) : [];
}

describe('a spreadsheet of luminaires', () => {
  it('is read with numbers, dates, truths, empty rows, and rows numbered as people see them', async () => {
    const rows = [
      ['Luminaires of the mill'],
      [],
      TITLES,
      ['A-1', 'Süd', 98, FITTED, true, 'Tür'],
      [],
      [12, 'Süd', 0.1 + 0.2 + 99.7, '1.2.2024', null, '+1 floor'],
    ];
    expect(await read(simple(rows))).toEqual([
      {
        sheet: 'Plan',
        line: 4,
        cells: {
          id: 'A-1',
          circuit: 'Süd',
          batteryMilliamps: '98',
          batteryFitted: '2024-02-29',
          shared: 'true',
          place: 'Tür',
        },
      },
      {
        sheet: 'Plan',
        line: 6,
        cells: {
          id: '12',
          circuit: 'Süd',
          batteryMilliamps: '100',
          batteryFitted: '2024-02-01',
          place: '+1 floor',
        },
      },
    ]);
  });

  it('is read as the standard lets it be written: shared, rich and inline texts, formulas, dates from 1904', async () => {
    const bytes = byHand({
      properties: '<workbookPr date1904="1"/>',
      strings: '<si><r><t>Hall </t></r><r><rPr><b/></rPr><t>&amp; stair</t></r></si>',
      styles:
        '<numFmts><numFmt numFmtId="170" formatCode="dd\\.mm\\.yyyy"/></numFmts><cellXfs><xf/><xf numFmtId="170"/></cellXfs>',
      rows: `${HEAD}<row r="7">${text('A-1')}<c t="s"><v>0</v></c><c><f>2*49</f><v>98</v></c><c s="1"><v>43889</v></c></row>`,
    });
    // Day 0 of that calendar is 1904-01-01 (ISO/IEC 29500-1, 18.17.4.1, 2016), so day 43,889 is 2024-02-29.
    expect(await read(bytes)).toEqual([
      {
        sheet: 'Plan',
        line: 7,
        cells: {
          id: 'A-1',
          circuit: 'Hall & stair',
          batteryMilliamps: '98',
          batteryFitted: '2024-02-29',
        },
      },
    ]);
  });

  it('gives the value of cells merged downwards to each of their rows', async () => {
    const sheet = sheetOf([TITLES, ['A-1', 'one', 9], ['A-2', null, 9], ['A-3', null, 9], ['A-4', 'two', 9]]);
    sheet['!merges'] = [xlsx.utils.decode_range('B2:B4')];
    const rows = (await read(workbook({ Plan: sheet }))) as Row[];
    expect(rows.map(({ cells }) => cells.circuit)).toEqual(['one', 'one', 'one', 'two']);
  });

  it('says what is wrong with its sheet and row', async () => {
    const sheet = sheetOf([
      TITLES,
      ['A 1', 'one', 0.24, null, true],
      [FITTED, 'one', 9, 46000, false],
      ['A-3', null, 9],
      ['A-4', 'one', 9, null, null, 'x'],
      ['A-4', 'one', 9],
    ]);
    expect(await read(workbook({ Plan: sheet }))).toEqual([
      'sheet "Plan", row 3: id: is the date 2024-02-29 in the spreadsheet; format the column as text and write it again.',
      'sheet "Plan", row 3: fitted: is the number 46000 in the spreadsheet; format the cell as a date.',
    ]);
    sheet.A3 = { t: 's', v: 'A-2' };
    delete sheet.D3;
    expect(await read(workbook({ Plan: sheet }))).toEqual([
      'sheet "Plan", row 2: id: must be 1 to 24 letters, digits or hyphens, e.g. "GA-04", but is "A 1"; write A-1.',
      'sheet "Plan", row 2: battery mA: must be the commissioned lamp current on battery in mA, a whole number from 1 to 2000, but is "0.24"; write 240 for 0.24 A.',
      'sheet "Plan", row 3: shared: row 2 of sheet "Plan" says yes for the same circuit; write the same for all of it.',
      'sheet "Plan", row 4: circuit: is empty; write it for every luminaire.',
      'sheet "Plan", row 6: id: luminaire "A-4" is in row 5 of sheet "Plan" too; give each one its own id.',
    ]);
    sheet.B4 = { t: 'e', v: 0x17 };
    sheet.F5 = { t: 'n', f: 'A1' };
    expect(await read(workbook({ Plan: sheet }))).toEqual([
      'sheet "Plan", row 4: circuit: is #REF!, an error of the spreadsheet; correct its formula.',
      'sheet "Plan", row 5: place: has a formula without its result; open the file in a spreadsheet program and save it again.',
    ]);
  });

  it('is looked for among all visible sheets, and several are joined when they are named', async () => {
    const sheets = {
      Notes: sheetOf([['Keys are at the gate.']]),
      Ground: sheetOf([TITLES, ['A-1', 'one', 9]]),
      First: sheetOf([['circuit', 'id', 'battery mA'], ['two', 'A-1', 9], [], ['two', 'A-2', 9]]),
    };
    const { Notes, Ground } = sheets;
    expect(await read(workbook({ Notes, Ground }))).toMatchObject([{ sheet: 'Ground', line: 2 }]);
    expect(await read(workbook(sheets))).toEqual([
      '2 sheets have the columns of luminaires; name those to read: --sheet "Ground" "First".',
    ]);
    expect(await read(workbook(sheets), ['First'])).toMatchObject([{ line: 2 }, { line: 4 }]);
    expect(await read(workbook(sheets), ['Ground', 'First'])).toEqual([
      'sheet "First", row 2: id: luminaire "A-1" is in row 2 of sheet "Ground" too; give each one its own id.',
    ]);
    expect(await read(workbook(sheets), ['Roof'])).toEqual([
      'there is no sheet "Roof"; the sheets are "Notes", "Ground", "First".',
    ]);
    expect(await read(workbook(sheets), ['Notes'])).toEqual([
      'sheet "Notes", row 1: there is no column "id", "circuit", "battery mA"; write the titles in the first row.',
    ]);
    const book = xlsx.read(workbook(sheets));
    book.Workbook!.Sheets![2].Hidden = 1;
    expect(await read(xlsx.write(book, { type: 'buffer' }))).toMatchObject([{ sheet: 'Ground', line: 2 }]);
  });
});

/** A workbook as a program saves it that protects it with a password: [MS-OFFCRYPTO] 2.3.4.4, 2021. */
function locked(): Buffer {
  const container = xlsx.CFB.utils.cfb_new();
  xlsx.CFB.utils.cfb_add(container, '/EncryptedPackage', Buffer.alloc(5000, 7));
  xlsx.CFB.utils.cfb_add(container, '/EncryptionInfo', Buffer.alloc(200, 7));
  return xlsx.CFB.write(container, { type: 'buffer' }) as Buffer;
}

/** The same bytes but for one bit, in the middle of the packed sheet. */
function flipped(bytes: Buffer): Buffer {
  const changed = Buffer.from(bytes);
  const name = 'xl/worksheets/sheet1.xml';
  changed[changed.indexOf(name) + name.length + 60] ^= 1;
  return changed;
}

const FAR = byHand({ rows: `${HEAD}<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>` });

describe('a file that is no spreadsheet of luminaires is told in one sentence', () => {
  const cells = [TITLES, ['A-1', 'one', 9]];
  const whole = simple(cells);
  const bomb = byHand({ rows: `${HEAD}<!--${' '.repeat(65 * 1024 * 1024)}-->` });
  it.each<[string, Uint8Array, string]>([
    ['a password', locked(), 'the spreadsheet has a password; save it without one.'],
    [
      '.xls',
      workbook({ P: sheetOf(cells) }, 'biff8'),
      'this is an old file such as .xls; save it as .xlsx or as CSV text.',
    ],
    [
      '.ods',
      workbook({ P: sheetOf(cells) }, 'ods'),
      'this is an OpenDocument file such as .ods; save it as .xlsx or as CSV text.',
    ],
    [
      '.xlsb',
      workbook({ P: sheetOf(cells) }, 'xlsb'),
      'this is a binary workbook such as .xlsb; save it as .xlsx or as CSV text.',
    ],
    [
      'half a file',
      whole.subarray(0, whole.length / 2),
      'the spreadsheet is damaged; open it in a spreadsheet program and save it as .xlsx or as CSV text.',
    ],
    [
      'one bit in another place',
      flipped(whole),
      'the spreadsheet is damaged; open it in a spreadsheet program and save it as .xlsx or as CSV text.',
    ],
    [
      'another packed file',
      zipSync({ 'photo.xml': strToU8('<x/>') }),
      'this is a packed file but no spreadsheet; name an .xlsx file or CSV text.',
    ],
    [
      'text under that name',
      Buffer.from('id,circuit,battery mA\nA-1,one,9'),
      'this is no spreadsheet, whatever its name says; open it in a spreadsheet program and save it as .xlsx or as CSV text.',
    ],
    [
      '36 MB',
      Buffer.alloc(36 * 1024 * 1024, 'PK\x03\x04'),
      'the file is larger than 16 MB; write the path of a table of luminaires, .xlsx or CSV text.',
    ],
    [
      '65 MB packed into little',
      bomb,
      'the spreadsheet unpacks to more than 64 MB; copy the table of luminaires into a new one.',
    ],
    [
      'a cell far away',
      FAR,
      'a sheet has a cell far away from its table; copy the table of luminaires into a new spreadsheet.',
    ],
    ['nothing', simple([]), 'the table is empty; write one row per luminaire.'],
    [
      'only titles',
      simple([TITLES]),
      'the table has no luminaire; write one row per luminaire under the titles.',
    ],
    [
      'a formula nobody worked out',
      byHand({ rows: `${HEAD}<row>${text('A-1')}${text('one')}<c><f>2*49</f></c></row>` }),
      'sheet "Plan", row 2: battery mA: has a formula without its result; open the file in a spreadsheet program and save it again.',
    ],
    [
      'another title',
      simple([
        ['id', 'circut', 'battery mA'],
        ['A-1', 'one', 9],
      ]),
      'sheet "Plan", row 1: circut: may be "circuit"; write --column "circut=circuit" to take it as that, or --ignore-column "circut".',
    ],
  ])('%s', async (_, bytes, sentence) => {
    expect(await read(bytes)).toEqual([sentence]);
  });

  it('also where it says of itself that it is small', async () => {
    const lying = new Uint8Array(bomb);
    const view = new DataView(lying.buffer);
    // Size of each part in the directory at the end of the file (APPNOTE.TXT 6.3.10, 4.3.12).
    for (let at = 0; at < lying.length - 46; at++)
      if (view.getUint32(at, true) === 0x02014b50 && view.getUint32(at + 24, true) > 1e6)
        view.setUint32(at + 24, 4000, true);
    expect(await read(lying)).toEqual([
      'the spreadsheet is damaged; open it in a spreadsheet program and save it as .xlsx or as CSV text.',
    ]);
  });

  it('text has no sheets', async () => {
    const plain = join(folder, 'mill.csv');
    writeFileSync(plain, 'id,circuit,battery mA\nA-1,one,9');
    expect(await readTable(plain, { sheet: ['Plan'] })).toMatchObject({
      mistakes: [{ message: 'this is text and has no sheets; leave out --sheet.' }],
    });
  });
});

describe('the luminaires of a site as a spreadsheet', () => {
  const museum = loadSite('docs/examples/museum-of-tides.yaml');
  if ('mistakes' in museum) throw new Error('the museum has mistakes');

  it('hold what the text holds, for another program too', async () => {
    const odd = structuredClone(museum.site);
    for (const [i, place] of ['-1 level', '=1+1', "'=1", '007'].entries())
      odd.circuits[0].luminaires[i].place = place;
    const bytes = await luminaireWorkbook(odd);
    const { Sheets, SheetNames } = xlsx.read(bytes);
    expect(SheetNames).toEqual(['Luminaires']);
    const seen = xlsx.utils.sheet_to_json<Record<string, unknown>>(Sheets.Luminaires);
    expect(seen.slice(0, 4).map(({ place }) => place)).toEqual(['-1 level', '=1+1', "''=1", '007']);
    expect(seen.every((row) => typeof row['battery mA'] === 'number')).toBe(true);
    expect(Object.keys(unzipSync(bytes))).toContain('xl/worksheets/sheet1.xml');

    const rows = (await read(bytes)) as Row[];
    const again = join(folder, 'museum.csv');
    writeFileSync(again, luminaireTable(odd));
    const told = await readTable(again);
    expect(rows.map(({ cells }) => cells)).toEqual(
      'table' in told && told.table.rows.map(({ cells }) => cells),
    );
    expect(readFileSync(again, 'utf8')).toContain("'-1 level");
  });
});
