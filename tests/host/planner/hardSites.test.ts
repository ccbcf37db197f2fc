// Sites that are hard to plan, against a plain method that knows nothing of the planner's.
import { expect, it } from 'vitest';
import { makePlan } from '../../../host/planner/planner';
import { profileFor } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { depth } from '../../support/depth';
import { greedyPlan } from './greedy';
import { hardSite, SEVEN, THIRTY } from './hardSites';

const FROM = utcOfLocal('UTC', '2026-01-05T12:00');
const DAYS = 365;

/** Most take too long for every change. */
const TRIED =
  depth === 'deep' ? [...SEVEN, ...THIRTY] : SEVEN.filter(({ circuits }) => circuits.length <= 20);
/**
 * Up to this many circuits a second chance may cost a twentieth, since the plain method leaves none; but not where
 * people always are.
 */
const SMALL = 16;

it.each(TRIED)('is planned at least as well as by the plain method: $name', (hard) => {
  const site = hardSite(hard);
  const plan = makePlan(site, profileFor(site), FROM, DAYS);
  const plain = greedyPlan(site, profileFor(site), FROM, DAYS);
  expect(plan.shortfalls.length).toBeLessThanOrEqual(plain.late);
  const more = site.circuits.length > SMALL || hard.always ? 1.001 : 1.05;
  expect(plan.exposureHours).toBeLessThanOrEqual(plain.exposureHours * more + 0.1);
});
