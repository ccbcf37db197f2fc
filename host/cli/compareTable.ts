// Results of two ways of testing, side by side as text.
import type { Measures } from '../../simulator/compare/measures';

export interface Compared {
  file: string;
  name: string;
  isByHand: boolean;
  measures: Measures;
}

type Row = [label: string, value: (m: Measures) => string];

const GAP = 2;

function count(n: number): string {
  return n.toLocaleString('en');
}

function tenth(n: number | undefined): string {
  if (n === undefined) return '-';
  return n.toLocaleString('en', { minimumFractionDigits: 1, maximumFractionDigits: 1 });
}

const ROWS: Row[] = [
  ['Exposure, hours in occupied areas', (m) => tenth(m.exposureHours)],
  ['  while a luminaire was broken', (m) => tenth(m.brokenHours)],
  ['  while a sound one was not charged', (m) => tenth(m.dischargedHours)],
  ['Failures that arose', (m) => count(m.failures)],
  ['  found', (m) => count(m.found)],
  ['  days until found, median', (m) => tenth(m.medianDaysToFind)],
  ['  days until found, worst', (m) => tenth(m.worstDaysToFind)],
  ['  not found at the end', (m) => count(m.notFound)],
  ['Sound luminaires reported', (m) => count(m.soundReported)],
  ['Relay openings (circuits tested)', (m) => count(m.openings)],
  ['  for longer than a function test', (m) => count(m.longOpenings)],
  ['Nights used', (m) => count(m.nightsUsed)],
  ['Working days used', (m) => count(m.workingDaysUsed)],
  ['Luminaires with a flat battery', (m) => count(m.flatLuminaires)],
  ['Battery life that discharges used, %', (m) => tenth(m.wearMeanPercent)],
  ['  of the luminaire with most', (m) => tenth(m.wearMostPercent)],
  ['Supply off beyond the test, hours', (m) => tenth(m.beyondTestHours)],
];

/** What the terms in the table mean, one line each. */
export const DEFINITIONS = [
  'Exposure: people are in an area, and at least one luminaire there would not last its rated duration if the',
  'mains failed now. Hours of all areas are added up; both lines below it can apply in the same hour.',
  'A failure begins when a luminaire would not last its rated duration even after a full recharge. It is found',
  'when a test reports the luminaire, or when someone repairs something else in it. What is reported is repaired',
  'after repairDays of the site file, by day. On neither side does anyone check charge indicators in between.',
  'Supply off beyond the test: hours of all circuits added up, for example after a key switch was left turned.',
];

/** Columns of a comparison. */
export const HEADS = ['A', 'B', 'C', 'D'] as const;

/** The measures of one side with several seeds: the mean of each, and the least and most. */
function overSeeds(runs: Measures[], choose: (values: number[]) => number): Measures {
  const keys = Object.keys(runs[0]) as (keyof Measures)[];
  const entries = keys.map((key) => [key, choose(runs.map((run) => run[key] ?? 0))]);
  return Object.fromEntries(entries) as unknown as Measures;
}

function sideLines(sides: Compared[]): string[] {
  return sides.map(
    ({ name, file, isByHand }, i) =>
      `  ${HEADS[i]}  ${name}, ${isByHand ? 'by hand' : 'by controllers'} (${file})`,
  );
}

function gridLines(cells: string[][]): string[] {
  const width = (column: number) => Math.max(...cells.map((row) => row[column].length), 1);
  return cells.map(([label, ...values]) =>
    (label.padEnd(width(0)) + values.map((v, i) => v.padStart(width(i + 1) + GAP)).join('')).trimEnd(),
  );
}

/** Rows under their columns' letters, with what they are of above and the definitions below. */
function page(head: string[], sides: Compared[], rows: string[][]): string {
  const letters = ['', ...HEADS.slice(0, sides.length)];
  return [...head, ...sideLines(sides), '', ...gridLines([letters, ...rows]), '', ...DEFINITIONS].join('\n');
}

/** The table, with a line for each side above and the definitions below it. */
export function compareTable(sides: Compared[], years: string, seed: number): string {
  const cells = ROWS.map(([label, value]) => [label, ...sides.map(({ measures }) => value(measures))]);
  const head = `The same ${years} with the same failures (seed ${seed}), tested in ${WAYS[sides.length]} ways:`;
  return page([head], sides, cells);
}

const WAYS: Record<number, string> = { 2: 'two', 3: 'three', 4: 'four' };

const mean = (values: number[]) => values.reduce((sum, value) => sum + value, 0) / values.length;

/** The means of many runs with different failures, and in what range they lie. */
export function seedsTable(
  sides: (Compared & { runs: Measures[] })[],
  years: string,
  seeds: number[],
): string {
  const cells = ROWS.map(([label, value]) => [
    label,
    ...sides.map(({ runs }) => {
      const [least, most] = [Math.min, Math.max].map((edge) =>
        value(overSeeds(runs, (values) => edge(...values))),
      );
      return `${value(overSeeds(runs, mean))} (${least} to ${most})`;
    }),
  ]);
  const head = [
    `The same ${years}, ${seeds.length} times with other failures (seeds ${seeds[0]} to ${seeds[seeds.length - 1]}), ` +
      'each time the same in all columns.',
    'Mean, and in brackets the least and the most:',
  ];
  return page(head, sides, cells);
}
