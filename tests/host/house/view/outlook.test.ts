import { expect, it } from 'vitest';
import { createOutlook, planView } from '../../../../host/house/view/outlook';
import type { Plan } from '../../../../host/planner/plan/plan';
import { makePlan } from '../../../../host/planner/planner';
import { profileOf } from '../../../../host/profiles/profile';
import { HOUSE } from '../site';

const FROM = Date.parse('2026-03-01T00:00Z') / 1000;
const DAYTIME = { days: HOUSE.windows[0].days, from: 8 * 60, to: 18 * 60 };
const LIVELY = { ...HOUSE, areas: HOUSE.areas.map((area) => ({ ...area, occupied: [DAYTIME] })) };
const MADE = makePlan(LIVELY, profileOf('en50172'), FROM, 365);
const VIEW = planView(LIVELY, MADE);

it('shows every test on the night it begins, and the nights its recharge reaches into', () => {
  const begun = VIEW.nights.filter(({ mark }) => mark !== 'recharge');
  expect(begun.map(({ circuit, start, recharged }) => ({ circuit, start, recharged }))).toEqual(
    MADE.tests.map(({ circuit, start, recharged }) => ({ circuit, start, recharged })),
  );
  const fulls = begun.filter(({ kind }) => kind === 'full');
  expect(fulls.length).toBeGreaterThan(0);
  for (const full of fulls) {
    const own = VIEW.nights.filter((night) => night.circuit === full.circuit && night.start === full.start);
    // A recharge of 24 h that starts during the night reaches into the next one.
    expect(own.map(({ mark }) => mark)).toEqual(['full', 'recharge']);
    const days = own.map(({ date }) => Date.parse(`${date}T12:00Z`) / 86400000);
    expect(days[1] - days[0]).toBe(1);
  }
});

it('counts the night by the noon before it', () => {
  for (const { date, start, mark } of VIEW.nights) {
    if (mark === 'recharge') continue;
    const noon = Date.parse(`${date}T12:00+01:00`) / 1000;
    expect(start).toBeGreaterThan(noon - 3601);
    expect(start).toBeLessThan(noon + 86400);
  }
});

it("divides the plan's exposure among the nights", () => {
  const sum = VIEW.nights.reduce((hours, night) => hours + night.exposureHours, 0);
  expect(MADE.exposureHours).toBeGreaterThan(1);
  expect(sum).toBeCloseTo(MADE.exposureHours, 6);
  expect(VIEW.exposureHours).toBeCloseTo(MADE.exposureHours, 6);
});

it('follows the current plan, and is empty while there is none', () => {
  let plan: Plan | undefined;
  const outlook = createOutlook(LIVELY, () => plan);
  expect(outlook.view().nights).toEqual([]);
  expect(outlook.calendar()).not.toContain('VEVENT');
  plan = MADE;
  const view = outlook.view();
  expect(view).toEqual(VIEW);
  expect(outlook.view()).toBe(view);
  expect(outlook.calendar().match(/BEGIN:VEVENT/g)?.length).toBe(2 * MADE.tests.length);
});
