// What a year's plan costs for estates of growing size: seconds, memory, and how close to linear the growth
// is.
import { makePlan } from '../../host/planner/planner';
import type { MoreTests } from '../../host/profiles/more';
import { profileOf } from '../../host/profiles/profile';
import { utcOfLocal } from '../../host/site/civil';
import type { Area, Circuit, Luminaire, OpeningHours, Site } from '../../host/site/model';
import { fork, nextUnit } from '../../simulator/random';

const EVERY_DAY = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'] as const;
const CIRCUITS_PER_AREA = 5;
const LUMINAIRES = 8;
/** Areas of one house: a stair and the areas next to it. */
const HOUSE = 4;
const HOURS: OpeningHours[][] = [
  [{ days: [...EVERY_DAY.slice(0, 5)], from: 480, to: 1080 }],
  [{ days: [...EVERY_DAY.slice(0, 6)], from: 540, to: 1200 }],
  [{ days: [...EVERY_DAY.slice(1)], from: 600, to: 1080 }],
  [{ days: [...EVERY_DAY], from: 420, to: 1380 }],
];

/** Every second house has a door from its first area to its second; one area in twenty is always occupied. */
function areasOf(count: number, random: ReturnType<typeof fork>): Area[] {
  return Array.from({ length: count }, (_, i) => {
    const house = Math.floor(i / HOUSE);
    const door = house % 2 === 0 && i % HOUSE < 2 ? i - (i % HOUSE) + (1 - (i % HOUSE)) : -1;
    return {
      ...{ id: `a${i}`, name: `Area ${i}`, floor: 'f' },
      adjacent: door >= 0 && door < count ? [`a${door}`] : [],
      occupied: HOURS[Math.floor(nextUnit(random) * HOURS.length)],
      always: nextUnit(random) < 0.05,
      sleeping: false,
    };
  });
}

function circuitOf(index: number, areas: number, random: ReturnType<typeof fork>): Circuit {
  const area = index % areas;
  // A few lamps also light the next area, so that hardly any two circuits cost the same.
  const serves = (i: number) =>
    i === 0 && (area + 1) % HOUSE > 1 && nextUnit(random) < 0.5 && area + 1 < areas
      ? [`a${area}`, `a${area + 1}`]
      : [`a${area}`];
  const luminaires = Array.from(
    { length: 1 + Math.floor(nextUnit(random) * LUMINAIRES) },
    (_, i): Luminaire => ({
      ...{
        id: `L${index}-${i}`,
        place: 'somewhere',
        area: `a${area}`,
        serves: serves(i),
        mode: 'non-maintained',
      },
      ...{
        ratedSec: 10800,
        batteryMilliamps: 200,
        mainsMilliamps: 0,
        chemistry: 'NiMH',
        batteryFitted: '2025-06-01',
      },
    }),
  );
  return {
    ...{ id: `c${index}`, name: `Circuit ${index}`, floor: 'f', shared: false, alwaysOccupied: false },
    ...{ auxiliaryContact: true, chargeMilliamps: 0, emptySec: 0, luminaires, ratedSec: 10800 },
    areas: [...new Set(luminaires.flatMap((lamp) => lamp.serves))].sort(),
  };
}

/** An invented estate with five circuits an area; the same number always gives the same estate. */
export function planningEstate(circuits: number): Site {
  const random = fork(1, 'planning estate');
  const count = Math.ceil(circuits / CIRCUITS_PER_AREA);
  const areas = areasOf(count, random);
  return {
    ...{
      id: 'estate',
      name: 'Invented estate',
      timeZone: 'Europe/London',
      profile: 'en50172',
      responsible: 'Nobody',
    },
    windows: [{ days: [...EVERY_DAY], from: 0, to: 360 }],
    opening: HOURS[2],
    ...{ closedDates: ['2026-12-25'], noTestDates: ['2026-03-21'], engineerDays: [...EVERY_DAY.slice(0, 5)] },
    // An estate of this size has several supplies, so its circuits need not wait for each other's inrush.
    openingsAtOnce: Math.max(4, Math.ceil(circuits / 8)),
    staggerSec: Math.max(5, Math.min(600, Math.floor(60_000 / circuits))),
    floors: [{ id: 'f', name: 'Floor' }],
    areas,
    circuits: Array.from({ length: circuits }, (_, i) => circuitOf(i, count, random)),
    simulation: { start: '2026-01-05T09:00', historyDays: 0, faults: [], repairDays: 14 },
  };
}

export interface PlanningCost {
  circuits: number;
  ms: number;
  /** Growth of the used heap, with the plan still held, bytes. */
  bytes: number;
  /** Exposure of the plan, of its yardsticks and the lower bound, hours. */
  hours: { plan: number; naive: number | null; fixed: number | null; bound: number };
  /** What the yardsticks take beyond the plan. */
  yardsticksMs: number;
  shortfalls: number;
}

/**
 * Plans a year for an estate of that size, and measures the plan, as the command `plan` does.
 * @param testMore tests on top of those that the rule asks for
 */
export function measurePlanning(circuits: number, testMore?: MoreTests): PlanningCost {
  const site = { ...planningEstate(circuits), ...(testMore && { testMore }) };
  const profile = profileOf(site.profile);
  const from = utcOfLocal(site.timeZone, '2026-01-05T09:00');
  const before = process.memoryUsage().rss;
  const began = performance.now();
  const plan = makePlan(site, profile, from, 365);
  const measured = { plan: plan.exposureHours, bound: plan.lowerBoundHours };
  const ms = performance.now() - began;
  const bytes = process.memoryUsage().rss - before;
  const planned = performance.now();
  const hours = { ...measured, naive: plan.naiveExposureHours, fixed: plan.bestFixedNightHours };
  const yardsticksMs = performance.now() - planned;
  return { circuits, ms, bytes, hours, yardsticksMs, shortfalls: plan.shortfalls.length };
}
