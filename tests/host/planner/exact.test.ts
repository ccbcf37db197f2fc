// The plan's exposure against the least possible, on a fixed set of small buildings.
import fc from 'fast-check';
import loadHighs from 'highs';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { nightAt, noonOf } from '../../../host/planner/nights/nights';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import type { OpeningHours, Site } from '../../../host/site/model';
import { sizes } from '../../support/depth';
import { type Due, leastExposure } from './exact';
import { ALL, siteOf } from './smallSite';

const profile = profileOf('en50172');
const FROM = utcOfLocal('UTC', '2026-03-01T12:00');
const DAYS = 80;
const hours: fc.Arbitrary<OpeningHours[]> = fc.array(
  fc
    .record({
      days: fc.subarray(ALL, { minLength: 2 }),
      from: fc.integer({ min: 12, max: 47 }),
      long: fc.integer({ min: 6, max: 24 }),
    })
    .map(({ days, from, long }) => ({ days, from: from * 30, to: ((from + long) * 30) % 1440 })),
  { minLength: 1, maxLength: 2 },
);

/** Three circuits in three or four areas, people at any hours, windows at night. */
const building: fc.Arbitrary<Site> = fc
  .record({
    circuits: fc.array(fc.array(fc.nat(3), { minLength: 1, maxLength: 3 }), { minLength: 3, maxLength: 3 }),
    doors: fc.array(fc.tuple(fc.nat(3), fc.nat(3)), { maxLength: 2 }),
    occupied: fc.array(hours, { minLength: 5, maxLength: 5 }),
    days: fc.constantFrom(ALL, ALL, ALL.slice(0, 5)),
    atOnce: fc.constantFrom(1, 2, 4),
  })
  .map(({ circuits, doors, occupied, days, atOnce }) => {
    const site = siteOf({
      ...{ timeZone: 'Europe/Berlin', doors, days, from: 60, hours: 5, atOnce, noTestDates: ['2026-03-20'] },
      circuits: circuits.map((areas) => ({ areas, ratedMinutes: 180 })),
    });
    return { ...site, areas: site.areas.map((area, i) => ({ ...area, occupied: occupied[i] })) };
  });

/** The last tests before the plan: the duration test is due within it. */
const LAST = { brief: FROM - 12 * 86400, full: FROM - 320 * 86400 };

describe('the exposure of a plan', () => {
  it('comes within a twentieth of the least possible on small buildings, and of all of them together', async () => {
    const highs = await loadHighs();
    const { brief, full } = profile;
    const night = (utc: number) => nightAt(utc, noonOf('Europe/Berlin', FROM));
    const most = full.latestDays.value;
    const dues: Due[] = [
      { kind: TestKind.Brief, last: night(LAST.brief), least: 1, most: brief.latestDays.value },
      { kind: TestKind.Full, last: night(LAST.full), least: most - full.earlierDays.value, most },
    ];
    const found: { mine: number; least: number }[] = [];
    for (const site of fc.sample(building, { numRuns: sizes.solvedBuildings, seed: 5 })) {
      const history = Object.fromEntries(
        site.circuits.map(({ id }) => [id, { lastBrief: LAST.brief, lastFull: LAST.full }]),
      );
      const plan = makePlan(site, profile, FROM, DAYS, { history });
      const least = leastExposure(highs, site, profile, FROM, DAYS, dues);
      if (least === undefined) continue;
      expect(plan.shortfalls).toEqual([]);
      expect(plan.lowerBoundHours).toBeLessThanOrEqual(least * 1.001 + 0.001);
      found.push({ mine: plan.exposureHours, least });
    }
    expect(found.length).toBeGreaterThanOrEqual(sizes.solvedBuildings * 0.9);
    expect(found.filter(({ mine, least }) => mine > least * 1.05 + 0.02)).toEqual([]);
    const sum = (hours: number[]) => hours.reduce((all, one) => all + one, 0);
    expect(sum(found.map(({ mine }) => mine))).toBeLessThan(
      sum(found.map(({ least }) => least)) * 1.05 + 0.02,
    );
  });
});
