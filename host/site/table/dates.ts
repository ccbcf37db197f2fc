// Dates as spreadsheets of one country or another write them. Which of two numbers is the day, the whole column tells.
import { isDate } from '../civil';
import type { Mistake } from '../load';
import type { Row } from './rows';

export const DATE_ORDERS = ['day-first', 'month-first'] as const;
export type DateOrder = (typeof DATE_ORDERS)[number];

const MONTHS = ['jan', 'feb', 'mar', 'apr', 'may', 'jun', 'jul', 'aug', 'sep', 'oct', 'nov', 'dec'];
const MONTH_NAMES = [
  ...['January', 'February', 'March', 'April', 'May', 'June', 'July'],
  ...['August', 'September', 'October', 'November', 'December'],
];

/** Two numbers of which either may be the day. */
const EITHER = /^(\d{1,2})[/-](\d{1,2})[/-](\d{4})$/;

/** The order that a title names, such as "Fitted (dd/mm/yyyy)". */
export function orderIn(title: string): DateOrder | undefined {
  if (/\bd{1,2}\W+m{1,3}\W+y{2,4}\b/i.test(title)) return 'day-first';
  return /\bm{1,2}\W+d{1,2}\W+y{2,4}\b/i.test(title) ? 'month-first' : undefined;
}

function dateOf(year: string, month: string | number, day: string): string | undefined {
  const century = year.length === 2 ? `20${year}` : year;
  const date = `${century}-${String(month).padStart(2, '0')}-${day.padStart(2, '0')}`;
  return isDate(date) ? date : undefined;
}

/** A date that can be read in one way only, as YYYY-MM-DD; undefined for another text. */
function certainDate(cell: string): string | undefined {
  const [, y, m, d] = /^(\d{4})[-/.](\d{1,2})[-/.](\d{1,2})(?:[T ][\d:.]+Z?)?$/.exec(cell) ?? [];
  if (y) return dateOf(y, m, d);
  // With dots, the day is always first.
  const [, day, month, year] = /^(\d{1,2})\.\s?(\d{1,2})\.\s?(\d{4}|\d{2})$/.exec(cell) ?? [];
  if (year) return dateOf(year, month, day);
  const [, at, name, of] = /^(\d{1,2})[\s.-]*([a-z]{3,9})[\s.,-]*(\d{4}|\d{2})$/i.exec(cell) ?? [];
  const known = MONTHS.indexOf((name ?? '').slice(0, 3).toLowerCase());
  const isName = known !== -1 && MONTH_NAMES[known].toLowerCase().startsWith(name.toLowerCase());
  return isName || name?.toLowerCase() === 'sept' ? dateOf(of, known + 1, at) : undefined;
}

/** A date as YYYY-MM-DD; a text that is none as it is. */
export function plainDate(cell: string, order: DateOrder): string {
  const [, a, b, year] = EITHER.exec(cell) ?? [];
  const either = year && (order === 'day-first' ? dateOf(year, b, a) : dateOf(year, a, b));
  return certainDate(cell) ?? either ?? cell;
}

function orderOf(cell: string): DateOrder | 'any' | undefined {
  const [, a, b] = EITHER.exec(cell) ?? [];
  if (a === undefined || Number(a) === Number(b)) return 'any';
  if (Number(a) > 12) return 'day-first';
  return Number(b) > 12 ? 'month-first' : undefined;
}

/** What a date can be in both orders, in words. */
function bothWays(cell: string): string {
  const [, a, b] = EITHER.exec(cell)!;
  const words = (day: string, month: string) => `${Number(day)} ${MONTH_NAMES[Number(month) - 1]}`;
  return `${words(a, b)} or ${words(b, a)}`;
}

/**
 * Makes the dates of a column YYYY-MM-DD, in the order that is said or that its dates tell.
 * @returns one mistake if nobody can tell; the dates are taken out of the rows then
 */
export function settleDates(rows: Row[], said: DateOrder | undefined, file: string): Mistake[] {
  const dated = rows.filter(({ cells }) => cells.batteryFitted !== undefined);
  const told = (order: DateOrder) => dated.find(({ cells }) => orderOf(cells.batteryFitted!) === order);
  const [day, month] = [told('day-first'), told('month-first')];
  const open = dated.filter(({ cells }) => orderOf(cells.batteryFitted!) === undefined);
  const order = said ?? (day && !month ? 'day-first' : month && !day ? 'month-first' : undefined);
  if (order || open.length === 0) {
    for (const { cells } of dated)
      cells.batteryFitted = plainDate(
        cells.batteryFitted!,
        order ?? (orderOf(cells.batteryFitted!) as DateOrder),
      );
    return [];
  }
  const { cells, titles, ...place } = open[0];
  const cell = cells.batteryFitted!;
  const why =
    day && month
      ? `as ${day.cells.batteryFitted} has the day first and ${month.cells.batteryFitted} the month`
      : 'and no date of the column tells which';
  const message =
    `${open.length} date${open.length === 1 ? '' : 's'} such as ${cell} can be ${bothWays(cell)}, ${why}; ` +
    'write --dates day-first or --dates month-first.';
  for (const row of dated) {
    if (orderOf(row.cells.batteryFitted!) === undefined) delete row.cells.batteryFitted;
    else
      row.cells.batteryFitted = plainDate(
        row.cells.batteryFitted!,
        orderOf(row.cells.batteryFitted!) as DateOrder,
      );
  }
  return [{ file, ...place, field: titles?.batteryFitted ?? 'fitted', message }];
}
