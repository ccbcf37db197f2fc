// The table is read back by csv-parse, which shares nothing with our writer.
import { parse } from 'csv-parse/sync';
import { expect, it } from 'vitest';
import { planTable } from '../../../host/calendar/csv';
import { type CostedTest, costedTests } from '../../../host/planner/cost/costed';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { HOUSE } from '../house/site';

const FROM = Date.parse('2026-03-01T00:00Z') / 1000;
const SITE = {
  ...{ ...HOUSE, location: { latitude: 52, longitude: 13 } },
  circuits: HOUSE.circuits.map((circuit) => ({ ...circuit, name: `"${circuit.id}", north;\nsouth` })),
};
const TESTS = costedTests(SITE, makePlan(SITE, profileOf('en50172'), FROM, 365).tests, FROM);

const rowsOf = (tests: CostedTest[]): Record<string, string>[] =>
  parse(planTable(SITE, tests), { columns: true, record_delimiter: '\r\n' });

it('gives another parser a header row and one row per test', () => {
  const rows = rowsOf(TESTS);
  expect(rows.length).toBe(TESTS.length);
  expect(
    rows.map((row) => [row.circuit, Number(row.test), ...['start', 'end', 'recharged'].map((at) => row[at])]),
  ).toEqual(
    TESTS.map((test) => [
      ...[test.circuit, test.test],
      ...[test.start, test.end, test.recharged].map((at) =>
        new Date(at * 1000).toISOString().replace('.000', ''),
      ),
    ]),
  );
  expect(rows[0].name).toBe(`"${TESTS[0].circuit}", north;\nsouth`);
  expect(new Set(rows.map((row) => row.kind))).toEqual(new Set(['brief', 'full']));
});

it('says light or dark, or neither if unknown', () => {
  const [test] = TESTS;
  const dark = [true, false, null].map((value) => ({ ...test, dark: value }));
  expect(rowsOf(dark).map((row) => row.light)).toEqual(['dark', 'light', '']);
});
