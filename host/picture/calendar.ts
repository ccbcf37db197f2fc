// A month of an estate: one row per circuit, one cell per night; large estates fold several circuits into one
// row.
import { kindName } from '../words/codes';

import type { Bar, CircuitYear, EstateYear, TestMark } from './data';
import { dateText, isWeekend, type Month, monthsOf, timeText } from './days';
import { type Block, WIDTH } from './flow';
import { barMark, failureMark, shareMark, testMark } from './marks';
import { element, escaped, fitted, label } from './svg';

/** Most rows that stay readable; beyond that, circuits are folded. */
const ROWS_MAX = 26;
const ROW = 14;
const HEAD = 34;
const LEFT = 82;
const CELL = (WIDTH - LEFT) / 31;
/** Smallest height of a bar that can still be seen, px. */
const SHARE_MIN = 3.5;
/** Letters of a name that fit to the left of the cells. */
const NAME_MAX = 13;

export interface Row {
  name: string;
  circuits: CircuitYear[];
}

/** The rows of a calendar: one circuit each, or as few together as fit. */
export function rowsOf(circuits: CircuitYear[]): Row[] {
  const size = Math.ceil(circuits.length / ROWS_MAX);
  return Array.from({ length: Math.ceil(circuits.length / size) }, (_, i) => {
    const group = circuits.slice(i * size, (i + 1) * size);
    const more = group.length > 1 ? ` +${group.length - 1}` : '';
    return { name: group[0].name + more, circuits: group };
  });
}

function isIn(month: Month, day: number): boolean {
  return day >= month.first && day < month.first + month.length;
}

function xOf(month: Month, day: number): number {
  return LEFT + (day - month.first) * CELL;
}

/** Tooltip of a mark. */
function toldOf(circuit: string, test: TestMark): string {
  const what = test.outcome === 'failed' ? `failed: ${test.failed.join(', ')}` : test.outcome;
  return `${circuit}, ${dateText(test.day)} ${timeText(test.day)}, ${kindName(test.kind)}, ${what}`;
}

function marksOf(circuit: CircuitYear, month: Month, y: number): string {
  const tests = circuit.tests.filter((test) => isIn(month, test.day));
  return tests
    .map((test) => {
      const mark = testMark(test.kind, test.outcome, xOf(month, Math.floor(test.day)) + CELL / 2, y);
      return element('g', {}, element('title', {}, escaped(toldOf(circuit.name, test))), mark);
    })
    .join('');
}

function barsOf(bars: Bar[], month: Month, y: number): string {
  return bars
    .map(({ from, to, kind }) => {
      const [a, b] = [Math.max(from, month.first), Math.min(to, month.first + month.length)];
      return a < b ? barMark(kind, xOf(month, a), y, (b - a) * CELL) : '';
    })
    .join('');
}

/** Several circuits in one row: the height of a bar is the share of them tested that night. */
function foldedMarks({ name, circuits }: Row, month: Month, y: number): string {
  const tests = circuits.flatMap((circuit) => circuit.tests.filter((test) => isIn(month, test.day)));
  return [...new Set(tests.map((test) => Math.floor(test.day)))]
    .map((day) => {
      const here = tests.filter((test) => Math.floor(test.day) === day);
      const failed = here.filter(({ outcome }) => outcome === 'failed');
      const height = Math.max(SHARE_MIN, Math.min(1, here.length / circuits.length) * (ROW - 2));
      const isLong = here.some(({ kind }) => kind !== 'brief');
      const x = xOf(month, day);
      const told = `${name}, ${dateText(day)}: ${here.length} of ${circuits.length} tested, ${failed.length} failed`;
      return element(
        'g',
        {},
        element('title', {}, escaped(told)),
        shareMark(isLong, x + 1, y + ROW / 2 - 1, CELL - 2, height),
        failed.length > 0 ? failureMark(x + CELL / 2, y) : '',
      );
    })
    .join('');
}

function rowOf(row: Row, month: Month, place: number): string {
  const y = HEAD + place * ROW + ROW / 2;
  const [only] = row.circuits;
  const name = element(
    'text',
    { x: 0, y: y + 4 },
    element('title', {}, escaped(row.name)),
    escaped(fitted(row.name, NAME_MAX)),
  );
  const line = element('path', { d: `M${LEFT} ${y + ROW / 2}H${WIDTH}`, class: 'rule' });
  const bars = barsOf(
    row.circuits
      .flatMap((circuit) => circuit.bars)
      .filter(({ kind }) => row.circuits.length === 1 || kind === 'off'),
    month,
    y,
  );
  return (
    name + line + bars + (row.circuits.length === 1 ? marksOf(only, month, y) : foldedMarks(row, month, y))
  );
}

/** Weekends set apart from weekdays, days outside the year struck out, and every seventh day labelled. */
function gridOf(month: Month, { from, to }: EstateYear, rows: number): string {
  const days = Array.from({ length: month.length }, (_, i) => month.first + i);
  return days
    .map((day, i) => {
      const x = LEFT + i * CELL;
      const isOutside = day < Math.floor(from) || day >= to;
      const fill = isOutside ? '#d8d6cf' : isWeekend(day) ? '#f1efe9' : undefined;
      const cell = fill ? element('rect', { x, y: HEAD, width: CELL, height: rows * ROW, fill }) : '';
      const number =
        i % 7 === 0 ? label(x + CELL / 2, HEAD - 4, String(i + 1), { class: 'small middle' }) : '';
      return cell + number;
    })
    .join('');
}

/** A block for each month of the year. */
export function calendarBlocks(year: EstateYear): Block[] {
  const rows = rowsOf(year.circuits);
  return monthsOf(year.from, year.to).map((month) => ({
    height: HEAD + rows.length * ROW,
    content:
      label(0, 15, month.name, { class: 'strong' }) +
      gridOf(month, year, rows.length) +
      rows.map((row, place) => rowOf(row, month, place)).join(''),
  }));
}
