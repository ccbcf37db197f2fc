// The lines of a table, wherever they come from, as rows of luminaires under known titles.
import type { Mistake } from '../load';
import { onOneLine, plainCell } from './cells';
import { bare, COLUMNS, type Field } from './columns';
import { plainDate } from './dates';
import { type Head, quoted, type Titles, takenAs, type Unsure } from './titles';
import { unitsIn, withUnit } from './units';

/** Where something stands in a table. */
export interface Place {
  /** Line of the text in which it begins, or row as the spreadsheet numbers it; from 1. */
  line: number;
  /** Name of the sheet of a spreadsheet. */
  sheet?: string;
}

export interface Row extends Place {
  cells: Partial<Record<Field, string>>;
  /** The titles of the columns as the table has them. */
  titles?: Partial<Record<Field, string>>;
}

export interface Table {
  rows: Row[];
  /** Columns of the file that are not known and not used. */
  unused: string[];
  /** Titles that are not those of the program, and what each was taken for, in words. */
  taken: string[];
  /** What nobody can tell of whole columns, beside the mistakes of rows. */
  undecided: Mistake[];
}

export type ReadTable = { table: Table } | { mistakes: Mistake[] };

/** A line of cells, before it is known what they are about. */
export interface Line extends Place {
  cells: string[];
}

/** Lines from the top among which the titles are looked for: above them often stands a heading. */
export const HEADING_LINES = 20;

/** A place as sentences name it. */
export function placeText({ line, sheet }: Place): string {
  return sheet === undefined ? `line ${line}` : `row ${line} of sheet "${sheet}"`;
}

/** How many of these titles are known. */
export const knownTitles = (cells: string[], titles: Titles): number =>
  cells.filter((title) => titles.head(title)).length;

/** Whether these are titles of all that no site is made without. */
export function areTitles(cells: string[], titles: Titles): boolean {
  const columns = cells.map((title) => titles.head(title)?.column);
  return COLUMNS.every((one) => !titles.isNeeded(one) || columns.includes(one));
}

/** Which of the lines holds the titles: the first that has all that are needed, else the one that has most. */
export function titleLine(lines: Line[], titles: Titles): number {
  const first = lines.slice(0, HEADING_LINES);
  const whole = first.findIndex(({ cells }) => areTitles(cells, titles));
  if (whole !== -1) return whole;
  const known = first.map(({ cells }) => knownTitles(cells, titles));
  return Math.max(0, known.indexOf(Math.max(...known)));
}

const EXPECTED = "Where nobody has measured yet, give the current of the maker's data: --battery-ma 120";

function titlesMistakes(
  { cells, ...place }: Line,
  heads: (Head | undefined)[],
  titles: Titles,
  file: string,
): Mistake[] {
  const note = (message: string, field = ''): Mistake => ({ file, ...place, field, message });
  const unsure = titles.unsure(cells, heads);
  const likely = new Set(unsure.flatMap(({ columns }) => columns));
  const missing = COLUMNS.filter(
    (one) => titles.isNeeded(one) && !likely.has(one) && !heads.some((head) => head?.column === one),
  ).map(({ title }) => title);
  const hasMains = heads.some((head) => head?.column.field === 'mainsMilliamps');
  const lit = hasMains ? '' : ', and for those lit on mains also --mains-ma 250';
  const expected = missing.includes('battery mA') ? ` ${EXPECTED}${lit}.` : '';
  const how = heads.some(Boolean)
    ? `add it, or say which column it is: --column "TITLE=${missing[0]}".${expected}`
    : 'write the titles in the first row.';
  const twice = COLUMNS.map((one) => heads.flatMap((head) => (head?.column === one ? [head.title] : [])));
  return [
    ...(missing.length > 0 ? [note(`there is no column "${missing.join('", "')}"; ${how}`)] : []),
    ...twice.filter((same) => same.length > 1).map((same) => note(twiceSentence(same))),
    ...unsure.map(({ title, columns }) => {
      const names = columns.map((column) => `"${column.title}"`).join(' or ');
      return note(
        `may be ${names}; write --column ${takenAs(title, columns[0])} to take it as that, or --ignore-column ${quoted(title)}.`,
        title,
      );
    }),
    ...allAtOnce(unsure).map((message) => note(message)),
  ];
}

/** Titles of which each may mean one column, and no two the same, in one option to copy. */
function allAtOnce(unsure: Unsure[]): string[] {
  const columns = unsure.map((one) => one.columns[0]);
  const isPlain = unsure.every((one) => one.columns.length === 1) && new Set(columns).size === columns.length;
  if (unsure.length < 2 || !isPlain) return [];
  const all = unsure.map(({ title }, i) => takenAs(title, columns[i]));
  return [`to take all of these as that: --column ${all.join(' ')}.`];
}

function twiceSentence([first, second]: string[]): string {
  if (bare(first) === bare(second)) return `there are two columns "${first}"; remove or rename one.`;
  return `"${first}" and "${second}" mean the same column; leave one out: --ignore-column ${quoted(second)}.`;
}

const TOO_LONG = 'has more cells than titles; put a text that holds the separator between quotes.';

/** Columns that are not known, and those without a title in which something stands. */
function unusedOf(titles: string[], heads: (Head | undefined)[], lines: Line[]): string[] {
  return titles.flatMap((title, i) => {
    if (title !== '') return heads[i] ? [] : [onOneLine(title)];
    return lines.some(({ cells }) => (cells[i] ?? '') !== '') ? [`column ${i + 1}, which has no title`] : [];
  });
}

function takenOf(heads: Head[]): string[] {
  return heads
    .filter(({ title, column }) => bare(title) !== bare(column.title))
    .map(({ title, column, unit = '' }) => {
      const isOther = (unitsIn(unit, column.measure) ?? 1) !== 1;
      return `"${title}" as ${column.title}${isOther ? `, in ${unit === 'a' ? 'A' : unit}` : ''}`;
    });
}

function rowOf({ cells, ...at }: Line, heads: (Head | undefined)[], titles: Row['titles']): Row {
  const known = cells.flatMap((text, i): [Field, string][] => {
    const head = heads[i];
    if (!head || text === '') return [];
    const cell = withUnit(plainCell(text), head.column.measure, head.unit);
    return [[head.column.field, head.dates ? plainDate(cell, head.dates) : cell]];
  });
  return { ...at, cells: Object.fromEntries(known), titles };
}

/** The rows of lines without the empty ones, of which the first are the titles. */
export function tableOf([head, ...rest]: Line[], file: string, titles: Titles): ReadTable {
  const place = { file, line: 0, field: '' };
  if (!head) return { mistakes: [{ ...place, message: 'the table is empty; write one row per luminaire.' }] };
  const heads = titles.heads(head.cells, (i) => rest.map(({ cells }) => cells[i] ?? ''));
  const mistakes = titlesMistakes(head, heads, titles, file);
  if (mistakes.length > 0) return { mistakes };
  const tooLong = rest
    .filter(({ cells }) => cells.slice(heads.length).some((cell) => cell !== ''))
    .map(({ cells: _, ...at }) => ({ file, ...at, field: '', message: TOO_LONG }));
  if (tooLong.length > 0) return { mistakes: tooLong };
  const known = heads.filter((one) => one !== undefined);
  const own = Object.fromEntries(known.map(({ title, column }) => [column.field, title]));
  const rows = rest.map((line) => rowOf(line, heads, own));
  const message = 'the table has no luminaire; write one row per luminaire under the titles.';
  if (rows.length === 0) return { mistakes: [{ ...place, message }] };
  const unused = unusedOf(head.cells, heads, rest);
  return { table: { rows, unused, taken: takenOf(known), undecided: [] } };
}
