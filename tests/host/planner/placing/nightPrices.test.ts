// Nights are chosen without looking for every slot: the choice must be the one that all true prices give.
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { TestKind } from '../../../../firmware/contract/codes';
import { Exposure } from '../../../../host/planner/cost/exposure';
import { Starts } from '../../../../host/planner/cost/starts';
import { Calendar } from '../../../../host/planner/nights/calendar';
import { modulo, nightAt, noonOf, permittedNights } from '../../../../host/planner/nights/nights';
import { chooseSlot } from '../../../../host/planner/placing/chooseSlot';
import type { CircuitWork, Placing } from '../../../../host/planner/placing/circuitWork';
import { NightPrices } from '../../../../host/planner/placing/nightPrices';
import { chooseBriefs } from '../../../../host/planner/placing/placeBriefs';
import { chooseLongs, placeLongs } from '../../../../host/planner/placing/placeFulls';
import { Prices, priceOn } from '../../../../host/planner/placing/prices';
import { surelyLeavesRoom, surelyStandsIn } from '../../../../host/planner/placing/standIns';
import { startWorks } from '../../../../host/planner/placing/startWorks';
import { profileOf } from '../../../../host/profiles/profile';
import { hardSite, nightly } from '../hardSites';
import { DRAWN } from '../smallSite';

const DAY = 86400;
const FROM = Date.parse('2026-01-05T12:00Z') / 1000;
const UNTIL = FROM + 300 * DAY;
const AREAS = 4;

/** Circuits in several areas, some of which people leave late or never; each on one night in so many. */
const drawn = fc.record({
  circuits: fc.array(
    fc.record({
      areas: fc.uniqueArray(fc.nat(AREAS - 1), { minLength: 1, maxLength: 3 }),
      cycle: fc.integer({ min: 2, max: 24 }),
      lastBrief: fc.option(fc.integer({ min: 1, max: 40 }), { nil: undefined }),
    }),
    { minLength: 6, maxLength: 14 },
  ),
  closing: fc.array(fc.constantFrom(1080, 60, 150, 1439), { minLength: AREAS, maxLength: AREAS }),
  always: fc.array(fc.nat(AREAS - 1), { maxLength: 1 }),
  atOnce: fc.integer({ min: 1, max: 5 }),
  profile: fc.constantFrom('en50172', 'germany'),
});

function placingOf(site: ReturnType<typeof hardSite>, profileId: string) {
  const profile = profileOf(profileId);
  const noon = noonOf(site.timeZone, FROM);
  const nights = permittedNights(site, noon, FROM + DAY, UNTIL);
  const exposure = new Exposure(site, FROM, UNTIL + 9 * DAY);
  const placing: Placing = {
    ...{ profile, nights, noon, starts: new Starts(nights), prices: new Prices(), shortfalls: [] },
    calendar: new Calendar({ atOnce: site.openingsAtOnce, staggerSec: site.staggerSec }),
    ...{ circuits: site.circuits.length, atOnce: site.openingsAtOnce, spacing: 2, isAnew: false },
    ...{ fromNight: nightAt(FROM, noon), untilNight: nightAt(UNTIL, noon) },
    opensAt: () => Number.POSITIVE_INFINITY,
  };
  return { placing, unshared: startWorks(site, exposure, noon) };
}

/** The price of every own night, each with its slot looked for. */
function truePrices(placing: Placing, work: CircuitWork, kind: TestKind): number[] {
  const common = placing.prices.commonOf(placing, work, kind);
  return Array.from(work.own, (place) => {
    const choice = chooseSlot(placing, work, kind, place);
    return choice ? priceOn(placing, kind, place, common, choice.hours) : Number.POSITIVE_INFINITY;
  });
}

/** Indexes of own nights on which a long test would count as a function test. */
function standsIn(placing: Placing, work: CircuitWork, i: number): boolean {
  const tests = [{ kind: work.longKind, places: [work.own[i]] }];
  return chooseBriefs(placing, { ...work, tests }, truePrices(placing, work, TestKind.Brief)).places.includes(
    i,
  );
}

it('takes the nights that all true prices give, and tells long tests that leave room from those that do not', () => {
  const seen = { standing: 0, clear: 0 };
  fc.assert(
    fc.property(drawn, ({ circuits, closing, always, atOnce, profile }) => {
      const site = hardSite({
        ...{ name: 'drawn', circuits: circuits.map(({ areas }) => areas), windows: nightly(0, 360), always },
        ...{ atOnce, timeZone: 'UTC' },
        occupied: closing.map((to) => [{ days: ['mon', 'tue', 'wed', 'thu', 'fri'], from: 480, to }]),
      });
      const { placing, unshared } = placingOf(site, profile);
      unshared.forEach((one, rank) => {
        const { cycle, lastBrief } = circuits[rank];
        const residue = rank % cycle;
        const places = placing.nights.flatMap(({ night }, i) =>
          modulo(night - residue, cycle) === 0 ? [i] : [],
        );
        const own = Int32Array.from(places);
        const work: CircuitWork = {
          ...{ ...one, own, at: own.map((place) => placing.nights[place].night), hoursAt: new Map() },
          ...{ share: { cycle, residue }, rank, ranks: circuits.length },
          ...(lastBrief !== undefined && { lastBrief: placing.fromNight - lastBrief }),
        };
        const longs = new NightPrices(placing, work, work.longKind);
        const chooseLong = (now: number[]) => chooseLongs(placing, work, now, new Set());
        const chain = longs.cheapest(chooseLong);
        expect(chain).toEqual(chooseLong(truePrices(placing, work, work.longKind)));
        for (const i of chain.places) {
          const isStanding = standsIn(placing, work, i);
          if (surelyStandsIn(placing, work, i))
            expect([++seen.standing, isStanding]).toEqual([seen.standing, true]);
          if (surelyLeavesRoom(placing, work, [work.own[i]]))
            expect([++seen.clear, isStanding]).toEqual([seen.clear, false]);
        }
        placeLongs(work, chain, longs);
        const briefs = new NightPrices(placing, work, TestKind.Brief);
        const choose = (now: number[]) => chooseBriefs(placing, work, now);
        const found = briefs.cheapest(choose);
        expect(found).toEqual(choose(truePrices(placing, work, TestKind.Brief)));
        for (const i of found.places) if (!work.taken.has(work.own[i])) briefs.take(i);
      });
    }),
    { ...DRAWN, numRuns: 12 },
  );
  expect(Math.min(seen.standing, seen.clear)).toBeGreaterThan(5);
});
