// Sites that are hard to plan, against a plain method that knows nothing of the planner's.
import { describe, expect, it } from 'vitest';
import { makePlan } from '../../../host/planner/planner';
import { profileFor } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { depth } from '../../support/depth';
import { greedyPlan } from './greedy';
import { type Hard, hardSite, SEVEN } from './hardSites';

const FROM = utcOfLocal('UTC', '2026-01-05T12:00');
const DAYS = 365;

/** The large ones take too long for every change. */
const TRIED = SEVEN.filter(({ circuits }) => depth === 'deep' || circuits.length <= 20);

function compare(hard: Hard): void {
  const site = hardSite(hard);
  const plan = makePlan(site, profileFor(site), FROM, DAYS);
  const plain = greedyPlan(site, profileFor(site), FROM, DAYS);
  expect(plan.shortfalls.length).toBeLessThanOrEqual(plain.late);
  expect(plan.exposureHours).toBeLessThanOrEqual(plain.exposureHours * 1.001 + 0.1);
}

describe('a site that is hard to plan', () => {
  it.each(TRIED)('is planned at least as well as by the plain method: $name', compare);
});
