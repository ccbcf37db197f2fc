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
  ['Supply off beyond the test, hours', (m) => tenth(m.beyondTestHours)],
];

/** What the terms in the table mean, one line each. */
export const DEFINITIONS = [
  'Exposure: people are in an area, and at least one luminaire there would not last its rated duration if the',
  'mains failed now. Hours of all areas are added up; both lines below it can apply in the same hour.',
  'A failure begins when a luminaire would not last its rated duration even after a full recharge. It is found',
  'when a test reports the luminaire, or when someone repairs something else in it. What is reported is repaired',
  'after repairDays of the site file. On neither side does anyone check charge indicators in between.',
  'Supply off beyond the test: hours of all circuits added up, for example after a key switch was left turned.',
];

/** The table, with a line for each side above and the definitions below it. */
export function compareTable(sides: [Compared, Compared], years: string, seed: number): string {
  const heads = ['A', 'B'];
  const cells = ROWS.map(([label, value]) => [label, ...sides.map(({ measures }) => value(measures))]);
  const width = (column: number) => Math.max(...cells.map((row) => row[column].length), 1);
  const line = ([label, ...values]: string[]) =>
    label.padEnd(width(0)) + values.map((v, i) => v.padStart(width(i + 1) + GAP)).join('');
  return [
    `The same ${years} with the same failures (seed ${seed}), tested in two ways:`,
    ...sides.map(
      ({ name, file, isByHand }, i) =>
        `  ${heads[i]}  ${name}, ${isByHand ? 'by hand' : 'by controllers'} (${file})`,
    ),
    '',
    line(['', ...heads]),
    ...cells.map(line),
    '',
    ...DEFINITIONS,
  ].join('\n');
}
