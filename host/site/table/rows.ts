// The lines of a table, wherever they come from, as rows of luminaires under known titles.
import type { Mistake } from '../load';
import { nearest } from '../nearest';
import { plainCell } from './cells';
import { COLUMNS, type Column, columnOf, type Field } from './columns';

/** Where something stands in a table. */
export interface Place {
  /** Line of the text in which it begins, or row as the spreadsheet numbers it; from 1. */
  line: number;
  /** Name of the sheet of a spreadsheet. */
  sheet?: string;
}

export interface Row extends Place {
  cells: Partial<Record<Field, string>>;
}

export interface Table {
  rows: Row[];
  /** Columns of the file that are not known and not used. */
  unused: string[];
}

export type ReadTable = { table: Table } | { mistakes: Mistake[] };

/** A line of cells, before it is known what they are about. */
export interface Line extends Place {
  cells: string[];
}

/** A place as sentences name it. */
export function placeText({ line, sheet }: Place): string {
  return sheet === undefined ? `line ${line}` : `row ${line} of sheet "${sheet}"`;
}

/** How many of these titles are known. */
export const knownTitles = (titles: string[]): number => titles.filter((title) => columnOf(title)).length;

/** Whether these are titles of all that no site is made without. */
export function areTitles(titles: string[]): boolean {
  const columns = titles.map(columnOf);
  return COLUMNS.every((one) => !one.isNeeded || columns.includes(one));
}

function titlesMistakes({ cells: titles, ...place }: Line, file: string): Mistake[] {
  const columns = titles.map(columnOf);
  const note = (message: string): Mistake => ({ file, ...place, field: '', message });
  const missing = COLUMNS.filter((one) => one.isNeeded && !columns.includes(one)).map((one) => one.title);
  const twice = COLUMNS.filter((one) => columns.filter((other) => other === one).length > 1);
  if (missing.length > 0) {
    const titled = titles.filter((title) => title !== '' && !columnOf(title));
    const near = titled.map((title) => nearest(title, missing)).find(Boolean);
    const hint = near ? `did you mean "${near}" by one of the others?` : 'write the titles in the first row';
    return [note(`there is no column "${missing.join('", "')}"; ${hint}${near ? '' : '.'}`)];
  }
  return twice.map(({ title }) => note(`there are two columns "${title}"; remove or rename one.`));
}

const TOO_LONG = 'has more cells than titles; put a text that holds the separator between quotes.';

/** Columns that are not known, and those without a title in which something stands. */
function unusedOf(titles: string[], lines: Line[]): string[] {
  return titles.flatMap((title, i) => {
    if (title !== '') return columnOf(title) ? [] : [title];
    return lines.some(({ cells }) => (cells[i] ?? '') !== '') ? [`column ${i + 1}, which has no title`] : [];
  });
}

/** The rows of lines without the empty ones, of which the first are the titles. */
export function tableOf([head, ...rest]: Line[], file: string): ReadTable {
  const place = { file, line: 0, field: '' };
  if (!head) return { mistakes: [{ ...place, message: 'the table is empty; write one row per luminaire.' }] };
  const mistakes = titlesMistakes(head, file);
  if (mistakes.length > 0) return { mistakes };
  const columns: (Column | undefined)[] = head.cells.map(columnOf);
  const tooLong = rest
    .filter(({ cells }) => cells.slice(columns.length).some((cell) => cell !== ''))
    .map(({ cells: _, ...at }) => ({ file, ...at, field: '', message: TOO_LONG }));
  if (tooLong.length > 0) return { mistakes: tooLong };
  const rows = rest.map(({ cells, ...at }) => ({
    ...at,
    cells: Object.fromEntries(
      cells.flatMap((cell, i) => (columns[i] && cell !== '' ? [[columns[i].field, plainCell(cell)]] : [])),
    ),
  }));
  const message = 'the table has no luminaire; write one row per luminaire under the titles.';
  if (rows.length === 0) return { mistakes: [{ ...place, message }] };
  return { table: { rows, unused: unusedOf(head.cells, rest) } };
}
