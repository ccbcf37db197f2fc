// Small buildings from a few numbers, for tests that draw them at random.
import fc from 'fast-check';
import { utcOfLocal } from '../../../host/site/civil';
import type { OpeningHours, Site, Weekday } from '../../../host/site/model';

export const ALL: Weekday[] = ['mon', 'tue', 'wed', 'thu', 'fri', 'sat', 'sun'];

/** The same buildings every time; others with SITES_SEED in the environment. */
export const DRAWN = { seed: Number(process.env.SITES_SEED ?? 20261128) };

const OPENING: OpeningHours[] = [{ days: ['tue', 'wed', 'thu', 'fri'], from: 600, to: 1080 }];

export interface Sketch {
  timeZone: string;
  circuits: { areas: number[]; ratedMinutes: number; alwaysOccupied?: boolean }[];
  doors: [number, number][];
  days: Weekday[];
  from: number;
  hours: number;
  atOnce: number;
  noTestDates: string[];
}

/** A small building from a few numbers: five areas, circuits with luminaires in some of them. */
export function siteOf(sketch: Sketch): Site {
  const areas = [0, 1, 2, 3, 4].map((i) => ({
    id: `area-${i}`,
    name: `Area ${i}`,
    floor: 'only',
    adjacent: sketch.doors
      .filter(([a, b]) => a !== b && (a === i || b === i))
      .map(([a, b]) => `area-${a === i ? b : a}`),
    ...{ occupied: OPENING, always: false, sleeping: false },
  }));
  const circuits = sketch.circuits.map((circuit, c) => ({
    id: `circuit-${c}`,
    name: `Circuit ${c}`,
    floor: 'only',
    shared: false,
    alwaysOccupied: circuit.alwaysOccupied ?? false,
    auxiliaryContact: false,
    chargeMilliamps: 0,
    emptySec: 0,
    luminaires: circuit.areas.map((area, i) => ({
      id: `L${c}-${i}`,
      place: 'somewhere',
      area: `area-${area}`,
      serves: [`area-${area}`],
      mode: 'non-maintained' as const,
      ratedSec: circuit.ratedMinutes * 60,
      batteryMilliamps: 200,
      mainsMilliamps: 0,
      chemistry: 'NiMH' as const,
      batteryFitted: '2024-01-01',
    })),
    areas: [...new Set(circuit.areas.map((area) => `area-${area}`))].sort(),
    ratedSec: circuit.ratedMinutes * 60,
  }));
  return {
    id: 'small',
    name: 'Small building',
    timeZone: sketch.timeZone,
    profile: 'en50172',
    responsible: 'Nobody in particular',
    windows: [{ days: sketch.days, from: sketch.from, to: (sketch.from + sketch.hours * 60) % 1440 }],
    opening: OPENING,
    closedDates: [],
    noTestDates: sketch.noTestDates,
    openingsAtOnce: sketch.atOnce,
    staggerSec: 600,
    engineerDays: ALL,
    floors: [{ id: 'only', name: 'Only floor' }],
    areas,
    circuits,
    simulation: { start: '2026-01-05T09:00', historyDays: 0, faults: [], repairDays: 14 },
  };
}

const zone = fc.constantFrom('Europe/London', 'America/New_York', 'Australia/Sydney', 'Australia/Lord_Howe');
const area = fc.nat({ max: 4 });
export const sketch: fc.Arbitrary<Sketch> = fc.record({
  timeZone: zone,
  circuits: fc.array(
    fc.record({
      areas: fc.array(area, { minLength: 1, maxLength: 3 }),
      ratedMinutes: fc.constantFrom(15, 60, 90, 180),
    }),
    { minLength: 1, maxLength: 8 },
  ),
  doors: fc.array(fc.tuple(area, area), { maxLength: 4 }),
  days: fc.oneof(fc.constant(ALL), fc.subarray(ALL, { minLength: 1 })),
  from: fc.integer({ min: 18 * 2, max: 26 * 2 }).map((halfHours) => (halfHours * 30) % 1440),
  hours: fc.integer({ min: 5, max: 8 }),
  atOnce: fc.integer({ min: 1, max: 4 }),
  noTestDates: fc.subarray([
    '2026-03-08',
    '2026-03-29',
    '2026-04-05',
    '2026-10-04',
    '2026-10-25',
    '2026-11-01',
  ]),
});
/** Starts that put a clock change of one of the zones inside the plan. */
export const start = fc
  .constantFrom('2026-02-20T12:00', '2026-09-10T15:00')
  .map((local) => utcOfLocal('UTC', local));
