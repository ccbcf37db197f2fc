// Tables of luminaires in an .xlsx workbook (ISO/IEC 29500-1), read with bounds: what a file unpacks to is limited.
import { unzipSync } from 'fflate';
import type { Cell, CellValue, MergeRange, Sheet } from 'hucre/xlsx';
import type { Mistake } from '../load';
import type { Column } from './columns';
import { areTitles, knownTitles, type Line, type ReadTable, tableOf, titleLine } from './rows';
import type { Titles } from './titles';

/** Largest contents of a workbook when unpacked, bytes: some 100,000 luminaires with all columns. */
const UNPACKED_MAX = 64 * 1024 * 1024;

/** Digits a spreadsheet keeps of a number. */
const DIGITS = 15;

const SAVE_AS = 'save it as .xlsx or as CSV text';
const DAMAGED = `the spreadsheet is damaged; open it in a spreadsheet program and ${SAVE_AS}.`;

/** What a file that is no .xlsx workbook is, in one sentence. */
class Alien extends Error {}

/** Looks at the directory of a packed file before any of it is unpacked. @throws Alien */
function checkContents(bytes: Uint8Array): void {
  const names = new Set<string>();
  let size = 0;
  let isWhole = true;
  unzipSync(bytes, {
    filter: ({ name, originalSize }) => {
      names.add(name);
      size += originalSize;
      // Nothing unpacks to more than its size here, so no part may leave its size open.
      isWhole &&= originalSize > 0 || name.endsWith('/');
      return false;
    },
  });
  if (names.has('content.xml')) throw new Alien(`this is an OpenDocument file such as .ods; ${SAVE_AS}.`);
  if (names.has('xl/workbook.bin')) throw new Alien(`this is a binary workbook such as .xlsb; ${SAVE_AS}.`);
  if (!names.has('[Content_Types].xml'))
    throw new Alien('this is a packed file but no spreadsheet; name an .xlsx file or CSV text.');
  if (size > UNPACKED_MAX)
    throw new Alien(
      `the spreadsheet unpacks to more than ${UNPACKED_MAX / 1024 / 1024} MB; copy the table of luminaires into a new one.`,
    );
  if (!isWhole) throw new Alien(DAMAGED);
}

/** Visible sheets, or those that are named. @throws Alien for a name that no sheet has, or none to read */
async function sheetsOf(bytes: Uint8Array, named: string[] | undefined): Promise<Sheet[]> {
  checkContents(bytes);
  const { readXlsx } = await import('hucre/xlsx');
  const all: string[] = [];
  const { sheets } = await readXlsx(bytes, {
    sheets: ({ name, hidden, veryHidden }) => {
      all.push(name);
      return named ? named.includes(name) : !hidden && !veryHidden;
    },
  });
  const unknown = named?.find((name) => !all.includes(name));
  if (unknown !== undefined)
    throw new Alien(`there is no sheet "${unknown}"; the sheets are "${all.join('", "')}".`);
  return sheets;
}

/** Gives every row of a merged cell its value: a circuit's name often stands once beside all its luminaires. */
function fillDown(rows: CellValue[][], merges: MergeRange[]): void {
  for (const { startRow, endRow, startCol } of merges) {
    const value = rows[startRow]?.[startCol] ?? null;
    if (value === null) continue;
    for (let r = startRow + 1; r <= Math.min(endRow, rows.length - 1) && rows[r][startCol] === null; r++)
      rows[r][startCol] = value;
  }
}

/** A value as it would stand in a file of text. */
function textOf(value: CellValue): string {
  if (value === null) return '';
  if (value instanceof Date) return Number.isNaN(value.getTime()) ? '' : value.toISOString().slice(0, 10);
  if (typeof value === 'number') return String(Number(value.toPrecision(DIGITS)));
  return String(value).trim();
}

/** What a spreadsheet made of a cell and nobody meant, in one sentence; undefined for nothing. */
function spoilt({ kind, field }: Column, value: CellValue, cell: Cell | undefined): string | undefined {
  const isError = cell?.type === 'error';
  if (cell?.formula !== undefined && (value === null || (isError && value === '')))
    return 'has a formula without its result; open the file in a spreadsheet program and save it again.';
  if (isError) return `is ${textOf(value)}, an error of the spreadsheet; correct its formula.`;
  if (value instanceof Date && kind !== 'date' && field !== 'batteriesBefore')
    return `is the date ${textOf(value)} in the spreadsheet; format the column as text and write it again.`;
  if (typeof value === 'number' && kind === 'date')
    return `is the number ${textOf(value)} in the spreadsheet; format the cell as a date.`;
  return undefined;
}

/** A sheet as lines in which something stands, from its titles on, and what is wrong with its cells. */
interface Read {
  name: string;
  lines: Line[];
  mistakes: Omit<Mistake, 'file'>[];
}

function read({ name, rows, cells, merges = [] }: Sheet, titles: Titles): Read {
  fillDown(rows, merges);
  const all = rows
    .map((row, r): Line => ({ line: r + 1, sheet: name, cells: row.map(textOf) }))
    .filter(({ cells: texts }) => texts.some((text) => text !== ''));
  const lines = all.slice(titleLine(all, titles));
  const columns = (lines[0]?.cells ?? []).map((title) => titles.head(title));
  const mistakes = lines.slice(1).flatMap(({ line }) =>
    columns.flatMap((head, c) => {
      const message = head && spoilt(head.column, rows[line - 1][c], cells?.get(`${line - 1},${c}`));
      return message ? [{ line, sheet: name, field: head.title, message }] : [];
    }),
  );
  return { name, lines, mistakes };
}

/** The sheets with titles of luminaires: the only one, or those that are named. @throws Alien where nobody can tell */
function chosen(sheets: Read[], named: boolean, titles: Titles): Read[] {
  const fit = sheets.filter(({ lines }) => lines.length > 0 && areTitles(lines[0].cells, titles));
  if (!named && fit.length > 1) {
    const names = fit.map(({ name }) => `"${name}"`).join(' ');
    throw new Alien(
      `${fit.length} sheets have the columns of luminaires; name those to read: --sheet ${names}.`,
    );
  }
  return named ? sheets : fit;
}

/** One table of all sheets; the first mistake in titles stops it. */
function joined(sheets: Read[], file: string, titles: Titles): ReadTable {
  const tables = sheets.map(({ lines }) => tableOf(lines, file, titles));
  const mistakes = tables.flatMap((one) => ('mistakes' in one ? one.mistakes : []));
  if (mistakes.length > 0) return { mistakes };
  const spoiltCells = sheets.flatMap((one) => one.mistakes.map((mistake) => ({ file, ...mistake })));
  if (spoiltCells.length > 0) return { mistakes: spoiltCells };
  const all = tables.flatMap((one) => ('table' in one ? [one.table] : []));
  return {
    table: {
      rows: all.flatMap(({ rows }) => rows),
      unused: [...new Set(all.flatMap(({ unused }) => unused))],
      taken: [...new Set(all.flatMap(({ taken }) => taken))],
      undecided: [],
    },
  };
}

/** What a file is that the reader of workbooks refuses, in one sentence. */
function whyNot(error: unknown): string {
  if (error instanceof Alien) return error.message;
  if (/cells\), over the/.test((error as Error).message))
    return 'a sheet has a cell far away from its table; copy the table of luminaires into a new spreadsheet.';
  return DAMAGED;
}

/**
 * The table in the bytes of a workbook. Never throws, whatever they are.
 * @param named names of the sheets to read; undefined for the only one that has the columns
 */
export async function workbookTable(
  bytes: Uint8Array,
  file: string,
  titles: Titles,
  named?: string[],
): Promise<ReadTable> {
  try {
    const sheets = (await sheetsOf(bytes, named)).map((sheet) => read(sheet, titles));
    const fit = chosen(sheets, named !== undefined, titles);
    if (fit.length > 0) return joined(fit, file, titles);
    const known = sheets.map(({ lines }) => knownTitles(lines[0]?.cells ?? [], titles));
    return tableOf(sheets[known.indexOf(Math.max(...known))]?.lines ?? [], file, titles);
  } catch (error) {
    return { mistakes: [{ file, line: 0, field: '', message: whyNot(error) }] };
  }
}
