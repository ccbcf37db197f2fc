// The cells of a table's rows as values of the site file, each checked by its schema, and defaults where a cell is empty.
import { modeOf, ON_MAINS, OnMains } from '../../../firmware/contract/lamps';
import { dateAfter, isDate } from '../civil';
import { hint } from '../hints';
import { type Mistake, shown } from '../load';
import type { Path } from '../note';
import { aboutAt, fieldAt } from '../schema';
import { CHEMISTRY_DEFAULT, COLUMNS, type Column, type Field, MODE_HOURS, wordOf } from './columns';
import type { Place, Row } from './rows';
import { numberIn } from './units';

export type Value = string | number | boolean | string[];
export type Values = Partial<Record<Field, Value>>;

/** A battery of which nothing is known is taken to be this old, days: four years, a design life (common practice, no source). */
const UNKNOWN_BATTERY_DAYS = 1461;
const MINUTES_DEFAULT = 180;

/** A thousand with a separator, or three decimals: nobody can tell which. */
const THOUSANDS = /^[+-]?[1-9]\d*([.,]\d{3})+$/;

const YES = /^(yes|y|true|1)$/i;
const NO = /^(no|n|false|0)$/i;

/** Where the site file says a field. */
function pathOf(field: Field): Path {
  return field === 'shared' ? ['circuits', 0, field] : ['circuits', 0, 'luminaires', 0, field];
}

/** The value a cell means, before it is checked. */
function valueIn({ field, kind, measure }: Column, cell: string): Value {
  if (kind === 'number') return numberIn(cell, measure) ?? cell;
  if (kind === 'yes or no') return YES.test(cell) ? true : NO.test(cell) ? false : cell;
  if (kind === 'list') return cell.split(/[;,\s]+/).filter(Boolean);
  const options = aboutAt(pathOf(field))?.options;
  return options ? wordOf(field, cell, options) : cell;
}

/** What is wrong with a cell, in one sentence; undefined for nothing. */
function wrongIn({ field, kind }: Column, cell: string, value: Value): string | undefined {
  const about = aboutAt(pathOf(field));
  if (about?.isWhole && THOUSANDS.test(cell)) {
    const [few, many] = [cell.split(/[.,]/)[0], cell.replace(/[.,]/g, '')];
    return `${shown(cell)} can mean ${few} or ${many}; write ${many} without a separator, or ${few}.`;
  }
  const issue = fieldAt(pathOf(field))!.safeParse(value).error?.issues[0];
  if (!issue) return undefined;
  const words = kind === 'yes or no' ? issue.message.replace('true or false', 'yes or no') : issue.message;
  // A number in another unit that is out of range was meant as it stands.
  const instead = typeof value === 'number' && /[a-z]/i.test(cell) ? '' : hint(about, value);
  return `${words}, but is ${shown(cell)}${instead && `; ${instead}`}${/\?$/.test(instead) ? '' : '.'}`;
}

/** What stands above a luminaire in the site file, and becomes an id there. */
const ABOVE: Field[] = ['circuit', 'floor', 'area', 'serves'];

/** The title of a column as the row's table has it. */
const titleIn = ({ titles }: Row, { field, title }: Column) => titles?.[field] ?? title;

const columnFor = (field: Field) => COLUMNS.find((one) => one.field === field)!;

/** Currents that are expected where the table has none, mA. */
export interface ExpectedCurrents {
  batteryMa?: number;
  mainsMa?: number;
}

/** Reads rows, and keeps their mistakes and the defaults that were used. */
export class Reader {
  readonly mistakes: Mistake[] = [];
  /** Rows for which a default was used, by the words of that default. */
  private readonly defaulted = new Map<string, number>();

  /** @param expected currents of luminaires without one in the table, mA */
  constructor(
    private readonly file: string,
    private readonly today: string,
    private readonly expected: ExpectedCurrents = {},
  ) {}

  note({ line, sheet }: Place, field: string, message: string): void {
    const at = sheet === undefined ? { line } : { line, sheet };
    this.mistakes.push({ file: this.file, ...at, field, message });
  }

  or<T>(value: T | undefined, fallback: T, words: string): T {
    if (value !== undefined) return value;
    this.defaulted.set(words, (this.defaulted.get(words) ?? 0) + 1);
    return fallback;
  }

  defaults(rows: number): string[] {
    return [...this.defaulted].map(
      ([words, n]) => `${words} (${n === rows ? 'all' : n} of ${rows} luminaires)`,
    );
  }

  /** The cells of a row as values, each checked; what is wrong is noted. */
  values(row: Row): Values {
    const values: Values = {};
    for (const column of COLUMNS) {
      const { field } = column;
      const title = titleIn(row, column);
      const cell = row.cells[field];
      if (cell === undefined) {
        const isExpected = field === 'batteryMilliamps' && this.expected.batteryMa !== undefined;
        if (column.isNeeded && !isExpected) this.note(row, title, 'is empty; write it for every luminaire.');
        continue;
      }
      const value = valueIn(column, cell);
      // No current on mains is how tables say that the lamp is dark there.
      if (field === 'mainsMilliamps' && value === 0) continue;
      values[field] = value;
      if (ABOVE.includes(field)) continue;
      const wrong = wrongIn(column, cell, value);
      if (wrong) this.note(row, title, wrong);
    }
    return values;
  }

  /** Notes a current on mains that is not what the mode says. */
  private checkMains(row: Row, mode: string, isLit: boolean | undefined, isThere: boolean): void {
    const column = columnFor('mainsMilliamps');
    const title = titleIn(row, column);
    const hasColumn = row.titles?.[column.field] !== undefined;
    const isAsked = !hasColumn || this.expected.batteryMa !== undefined;
    const expected = isAsked ? " Where nobody has measured yet, give the maker's: --mains-ma 250." : '';
    if (isLit === true && !isThere)
      this.note(
        row,
        title,
        hasColumn
          ? `is empty or 0; a ${mode} luminaire is lit on mains, so write its current.${expected}`
          : `there is no such column; a ${mode} luminaire is lit on mains, so add one with its current there.${expected}`,
      );
    if (isLit === false && isThere)
      this.note(row, title, `the emergency lamp of a ${mode} luminaire is dark on mains; leave it empty.`);
  }

  /** Hours behind a mode, as in NM3, where no column says them; where one says others, that is noted. */
  private minutesOf(row: Row, { mode, ratedMinutes }: Values): Value | undefined {
    const hours = MODE_HOURS.exec(row.cells.mode ?? '')?.[2];
    if (hours === undefined || mode === undefined) return ratedMinutes;
    const minutes = Number(hours) * 60;
    if (ratedMinutes !== undefined && ratedMinutes !== minutes)
      this.note(
        row,
        titleIn(row, columnFor('mode')),
        `${shown(row.cells.mode)} says ${hours} h and the rated duration ${ratedMinutes} min; write the same in both.`,
      );
    return minutes;
  }

  /** The currents that are expected where a row has none, and that they are. */
  private expectedOf({ mode, batteryMilliamps, mainsMilliamps }: Values): Values {
    const { batteryMa, mainsMa } = this.expected;
    const isLit = mode !== undefined && litOnMains(String(mode)) === true;
    const own: Values = {
      ...(batteryMilliamps === undefined && { batteryMilliamps: batteryMa }),
      ...(mainsMilliamps === undefined && isLit && mainsMa !== undefined && { mainsMilliamps: mainsMa }),
    };
    const said = Object.entries(own).map(
      ([f, ma]) => `${f === 'batteryMilliamps' ? 'on battery' : 'on mains'} ${ma} mA`,
    );
    if (said.length === 0) return {};
    const words = `current ${said.join(' and ')}, expected: nobody has measured it`;
    return { ...own, currents: this.or<Value>(undefined, 'expected', words) };
  }

  /** One row as a luminaire with its defaults; `area` and `serves` are ids by then. */
  lamp(row: Row, said: Values): Values {
    const values = { ...said, ...this.expectedOf(said) };
    const { mainsMilliamps } = values;
    const guess = mainsMilliamps === undefined ? 'non-maintained' : 'maintained';
    const mode = this.or(
      values.mode,
      guess,
      'mode maintained where there is a current on mains, else non-maintained',
    );
    const isLit = values.mode === undefined ? mainsMilliamps !== undefined : litOnMains(String(mode));
    this.checkMains(row, String(mode), isLit, mainsMilliamps !== undefined);
    const old = dateAfter(this.today, -UNKNOWN_BATTERY_DAYS);
    const fitted = String(values.batteryFitted ?? '');
    if (isDate(fitted) && fitted > this.today)
      this.note(
        row,
        titleIn(row, columnFor('batteryFitted')),
        `${fitted} is after today, ${this.today}; write the date on which the battery was fitted.`,
      );
    return {
      ...values,
      mode,
      place: this.or(values.place, String(values.id), 'place as the id'),
      ratedMinutes: this.or(
        this.minutesOf(row, values),
        MINUTES_DEFAULT,
        `rated duration ${MINUTES_DEFAULT} minutes`,
      ),
      chemistry: this.or(values.chemistry, CHEMISTRY_DEFAULT, `chemistry ${CHEMISTRY_DEFAULT}`),
      batteryFitted: this.or(values.batteryFitted, old, `battery fitted ${old}, as its age is not known`),
    };
  }
}

/** Whether a luminaire of this mode is lit on mains; undefined for no mode. */
function litOnMains(word: string): boolean | undefined {
  const schema = fieldAt(['circuits', 0, 'luminaires', 0, 'mode'])!;
  const mode = schema.safeParse(word);
  return mode.success
    ? ON_MAINS[modeOf(mode.data as Parameters<typeof modeOf>[0])] !== OnMains.Dark
    : undefined;
}
