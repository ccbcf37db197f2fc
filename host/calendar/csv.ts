// A plan as a table for any spreadsheet.
import type { CostedTest } from '../planner/cost/costed';
import type { Site } from '../site/model';
import { tableText } from '../site/table/cells';
import { testKindWord } from '../words/codes';
import { isoUtc, momentWord } from '../words/when';
import { areaNames } from './areas';

const HEADER = [
  ...['circuit', 'name', 'areas', 'kind', 'test', 'start', 'end', 'recharged'],
  ...['localStart', 'localRecharged', 'light', 'exposureHours'],
];

function lightWord(dark: boolean | null): string {
  if (dark === null) return '';
  return dark ? 'dark' : 'light';
}

/** One row per test, after a header row; instants in UTC (ISO 8601), repeated in local time for people. */
export function planTable(site: Site, tests: CostedTest[]): string {
  const names = new Map(site.circuits.map(({ id, name }) => [id, name]));
  const rows = tests.map((test) => [
    ...[test.circuit, names.get(test.circuit) ?? ''],
    ...[areaNames(site, test.circuit).join('; '), testKindWord(test.kind), test.test],
    ...[isoUtc(test.start), isoUtc(test.end), isoUtc(test.recharged)],
    ...[momentWord(test.start, site.timeZone), momentWord(test.recharged, site.timeZone)],
    ...[lightWord(test.dark), Math.round(test.exposureHours * 100) / 100],
  ]);
  return tableText([HEADER, ...rows]);
}
