// Tests on top of those that the rule asks for, against the plan of the same site without them.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { planMessage } from '../../../host/planner/plan/message';
import type { MadePlan } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { replan } from '../../../host/planner/replan';
import { bearableDays } from '../../../host/profiles/more';
import { profileFor } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { loadSite } from '../../../host/site/load';
import type { Site } from '../../../host/site/model';
import { isWhole, runs } from '../../support/depth';
import { exposureHours } from './checkExposure';
import { checkPlan } from './checkPlan';
import { hardSite, SEVEN } from './hardSites';
import { DRAWN, siteOf, sketch, start } from './smallSite';

const DAY = 86400;
const MORE = { functionTestDays: 7, durationTestDays: 35 };

function museum(): Site {
  const loaded = loadSite('docs/examples/museum-of-tides.yaml');
  if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
  return loaded.site;
}

const lateNights = (plan: MadePlan) => plan.shortfalls.reduce((sum, late) => sum + late.lateNights, 0);
const lateCircuits = (plan: MadePlan) => new Set(plan.shortfalls.map(({ circuit }) => circuit));

/** A plan with and without further tests. */
function both(site: Site, from: number, days: number): { plain: MadePlan; more: MadePlan } {
  const profile = profileFor(site);
  const plain = makePlan(site, profile, from, days);
  return { plain, more: makePlan({ ...site, testMore: MORE }, profile, from, days) };
}

/** Everything that further tests must leave as it is. */
function expectHarmless(site: Site, { plain, more }: { plain: MadePlan; more: MadePlan }): void {
  expect(lateNights(more)).toBeLessThanOrEqual(lateNights(plain));
  const further = more.tests.filter((test) => test.more);
  // A look-in of half an hour where half of the luminaires are not ready; in duration tests a day of people.
  const most = (kind: TestKind) => (kind === TestKind.Brief ? 0.25 : 12);
  const seen = further.filter((test) => exposureHours(site, [test]) > most(test.kind) + 1e-6);
  expect(seen).toEqual([]);
}

describe('tests on top of those that the rule asks for', () => {
  it('keep windows, dates, caps, own and shared nights, recharges, numbers and gaps in any small building', () => {
    fc.assert(
      fc.property(sketch, start, (drawn, from) => {
        const site = siteOf(drawn);
        const plans = both(site, from, 100);
        expect(checkPlan(site, plans.more, { late: lateCircuits(plans.more), fullCounts: true })).toEqual([]);
        expectHarmless(site, plans);
      }),
      { ...DRAWN, numRuns: runs(40) },
    );
  });

  it.each(SEVEN.filter(({ circuits }) => isWhole || circuits.length <= 20))(
    'leave no test late that was not late before, and none that the rule asks for much worse off: $name',
    (hard) => {
      const site = hardSite(hard);
      const plans = both(site, utcOfLocal('UTC', '2026-01-05T12:00'), 365);
      expectHarmless(site, plans);
      const ruled = exposureHours(
        site,
        plans.more.tests.filter((test) => !test.more),
      );
      expect(ruled).toBeLessThanOrEqual(plans.plain.exposureHours * 1.05 + 0.5);
    },
  );

  const site = museum();
  const from = utcOfLocal(site.timeZone, '2026-01-05T09:00');
  const { plain, more } = both(site, from, 400);
  const testsOf = (plan: MadePlan, kind: TestKind, circuit: string) =>
    plan.tests.filter((test) => test.kind === kind && test.circuit === circuit).map(({ start }) => start);
  /** Tests that show what a function test shows. */
  const looksOf = (plan: MadePlan, circuit: string) =>
    plan.tests.filter((test) => test.circuit === circuit).map(({ start }) => start);

  it('keep every rule in the museum, at the same exposure of those that the rule asks for', () => {
    expect(more.shortfalls).toEqual([]);
    expect(checkPlan(site, more)).toEqual([]);
    const ruled = more.tests.filter((test) => !test.more);
    expect(exposureHours(site, ruled)).toBeLessThanOrEqual(plain.exposureHours + 0.01);
  });

  it('come about as often there as wished, the first duration test within two months', () => {
    for (const { id, areas } of site.circuits) {
      const looks = looksOf(more, id);
      expect(looks.length).toBeGreaterThan(400 / 9);
      expect(looks.length).toBeLessThan(400 / 5);
      const fulls = testsOf(more, TestKind.Full, id);
      if (areas.some((area) => area.startsWith('stair'))) {
        // People are there every day, so they cost some ten hours each: 35 days times the root of 1 + 10 apart with new
        // batteries, of 1 + 10 / 1.7 with those of the museum, which are three years old.
        expect(fulls.length).toBeGreaterThanOrEqual(3);
        expect(fulls.length).toBeLessThanOrEqual(6);
        continue;
      }
      expect(fulls.length).toBeGreaterThanOrEqual(8);
      expect(fulls[0]).toBeLessThan(from + 60 * DAY);
    }
  });

  const densest = { ...site, testMore: { functionTestDays: 7, durationTestDays: 28 } };

  it.each(['03-03', '06-15', '09-01', '12-05'])(
    'come as often whichever day a plan begins, at no more exposure, and no battery bears too many: %s',
    (day) => {
      const start = utcOfLocal(site.timeZone, `2026-${day}T09:00`);
      const plan = makePlan(densest, profileFor(site), start, 365);
      expect(plan.shortfalls).toEqual([]);
      // Two stairs are tested rarely.
      const longs = plan.tests.filter((test) => test.kind !== TestKind.Brief);
      expect(longs.length).toBeGreaterThan(11 * (365 / 45));
      expect(plan.tests.length).toBeGreaterThan(13 * (365 / 9));
      const besideStairs = plan.tests.filter(({ circuit }) => !circuit.startsWith('stair'));
      expect(exposureHours(site, besideStairs)).toBeLessThan(25);
      for (const { id, luminaires } of site.circuits) {
        const own = longs.filter(({ circuit }) => circuit === id);
        const bearable = Math.max(...luminaires.map(({ chemistry }) => bearableDays(chemistry)));
        own.slice(1).forEach((test, i) => {
          const days = (test.start - own[i].start) / DAY;
          if (test.more || own[i].more) expect(days).toBeGreaterThan(bearable - 0.5);
        });
      }
    },
  );

  it('look sooner at batteries that are old or hot, also where people recharge with them', () => {
    const start = utcOfLocal(site.timeZone, '2026-03-03T09:00');
    const asked = { functionTestDays: 7, durationTestDays: 90 };
    /** Duration tests of the museum, of its stairs and of the others, with such batteries everywhere. */
    const counted = (battery: { batteryFitted: string; celsius?: number }) => {
      const circuits = site.circuits.map((circuit) => ({
        ...circuit,
        luminaires: circuit.luminaires.map(({ celsius: _, ...lamp }) => ({ ...lamp, ...battery })),
      }));
      const plan = makePlan({ ...site, circuits, testMore: asked }, profileFor(site), start, 365);
      const longs = plan.tests.filter((test) => test.kind !== TestKind.Brief);
      const stairs = longs.filter(({ circuit }) => circuit.startsWith('stair')).length;
      return { stairs, others: longs.length - stairs };
    };
    const fresh = counted({ batteryFitted: '2026-01-05' });
    for (const spent of [
      counted({ batteryFitted: '2021-01-05' }),
      counted({ batteryFitted: '2024-01-05', celsius: 40 }),
    ]) {
      expect(spent.others).toBeGreaterThan(1.5 * fresh.others);
      expect(spent.stairs).toBeGreaterThan(1.5 * fresh.stairs);
    }
  });

  it('make none where people always are', () => {
    const always = { ...site, areas: site.areas.map((area) => ({ ...area, always: true })) };
    const wished = makePlan({ ...always, testMore: MORE }, profileFor(site), from, 200);
    expect(wished.tests.filter((test) => test.more)).toEqual([]);
    const asRuled = makePlan(always, profileFor(site), from, 200);
    expect(wished.tests.length).toBe(asRuled.tests.length);
    expect(wished.exposureHours).toBeLessThanOrEqual(asRuled.exposureHours + 0.01);
  });

  it('fit on a controller until the host sends the next plan', () => {
    for (const own of makePlan(densest, profileFor(site), from, 400).circuits)
      expect(planMessage(own, 1, from, from + 400 * DAY).until).toBeGreaterThan(from + 300 * DAY);
  });

  it('go on in the next plan, and announced ones stay where they are', () => {
    const wished = { ...site, testMore: MORE };
    const now = from + 300 * DAY;
    const history = Object.fromEntries(
      more.circuits.map(({ circuit, slots }) => {
        const last = (kind: TestKind) => slots.filter((s) => s.kind === kind && s.end < now).at(-1)?.start;
        const [lastBrief, lastFull] = [last(TestKind.Brief), last(TestKind.Full)];
        return [circuit, { ...(lastBrief && { lastBrief }), ...(lastFull && { lastFull }) }];
      }),
    );
    const next = replan(wished, profileFor(site), more, now, 400, { history });
    expect(next.plan.shortfalls).toEqual([]);
    const told = more.tests
      .filter(({ start }) => start > now + 2 * DAY)
      .map((t) => `${t.circuit} ${t.start}`);
    const after = new Set(next.plan.tests.map((t) => `${t.circuit} ${t.start}`));
    expect(told.filter((test) => !after.has(test))).toEqual([]);
    for (const { id } of site.circuits) {
      const looks = looksOf(next.plan, id).filter((at) => at > more.until);
      expect(looks.length).toBeGreaterThan(300 / 9);
    }
  });
});
