// Units that a title or a cell of a table names, and what one of them is in the site file's own unit.
import type { Column } from './columns';

export type Measure = NonNullable<Column['measure']>;

/** By measure: minutes, milliamps and degrees in each unit. */
const UNITS: Record<Measure, Record<string, number>> = {
  time: { h: 60, hr: 60, hrs: 60, hour: 60, hours: 60, min: 1, mins: 1, minute: 1, minutes: 1 },
  current: { a: 1000, amp: 1000, amps: 1000, ma: 1, milliamp: 1, milliamps: 1 },
  temperature: { c: 1, '°c': 1, celsius: 1 },
};

/** How many of the site file's units one of this unit is; undefined for a word that is no unit of that. */
export function unitsIn(word: string, measure: Measure | undefined): number | undefined {
  const units = measure && UNITS[measure];
  return units && Object.hasOwn(units, word.toLowerCase()) ? units[word.toLowerCase()] : undefined;
}

/** Words that are a unit of anything. */
export const isUnit = (word: string): boolean =>
  Object.values(UNITS).some((units) => Object.hasOwn(units, word));

/** The longest rated duration in hours; as minutes, a site file takes no number as small as these. */
const HOURS_MAX = 3;

/** A number with the unit of its column where that is another than the site file's; other cells as they are. */
export function withUnit(cell: string, measure: Measure | undefined, unit: string | undefined): string {
  if (!/^\d+([.,]\d+)?$/.test(cell)) return cell;
  if (unit !== undefined) return unitsIn(unit, measure) === 1 ? cell : `${cell} ${unit}`;
  return measure === 'time' && Number(cell.replace(',', '.')) <= HOURS_MAX ? `${cell} h` : cell;
}

/** The number of a cell, in the site file's unit where it names another; undefined where it is none. */
export function numberIn(cell: string, measure: Measure | undefined): number | undefined {
  const [, digits, word] = /^([+-]?\d+(?:[.,]\d+)?)(?:\s*([a-z°]+)\.?)?$/i.exec(cell) ?? [];
  if (digits === undefined) return undefined;
  const factor = word === undefined ? 1 : unitsIn(word, measure);
  // Twelve digits, so that 0.29 A are 290 mA and not a little less.
  return factor && Number((Number(digits.replace(',', '.')) * factor).toPrecision(12));
}
