import { expect, it } from 'vitest';
import { costedTests } from '../../../../host/planner/cost/costed';
import { makePlan } from '../../../../host/planner/planner';
import { profileOf } from '../../../../host/profiles/profile';
import { HOUSE } from '../../house/site';

const FROM = Date.parse('2026-03-01T00:00Z') / 1000;
const OPEN = { days: HOUSE.windows[0].days, from: 8 * 60, to: 18 * 60 };
const LIVELY = { ...HOUSE, areas: HOUSE.areas.map((area) => ({ ...area, occupied: [OPEN] })) };

it('divides the exposure of a plan among its tests', () => {
  const made = makePlan(LIVELY, profileOf('en50172'), FROM, 365);
  const tests = costedTests(LIVELY, made.tests, FROM);
  const sum = tests.reduce((hours, test) => hours + test.exposureHours, 0);
  expect(made.exposureHours).toBeGreaterThan(1);
  expect(sum).toBeCloseTo(made.exposureHours, 6);
});

it('tells a test at noon from one at midnight, and makes no claim without a location', () => {
  const [test] = makePlan(HOUSE, profileOf('en50172'), FROM, 60).tests;
  const at = (text: string) => ({ ...test, start: Date.parse(text) / 1000 });
  const tests = [at('2026-03-20T12:00Z'), at('2026-03-20T23:30Z')];
  const place = { latitude: 52.5, longitude: 0 };
  const lights = (site: typeof HOUSE) => costedTests(site, tests, FROM).map(({ dark }) => dark);
  expect(lights({ ...HOUSE, location: place })).toEqual([false, true]);
  expect(lights(HOUSE)).toEqual([null, null]);
});
