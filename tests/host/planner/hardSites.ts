// Sites that are hard to plan: caps, long windows, late people, many neighbours. All invented.
import type { OpeningHours, Site, TestWindow, Weekday } from '../../../host/site/model';
import { ALL } from './smallSite';

const WEEK: Weekday[] = ALL.slice(0, 5);
export const OFFICE: OpeningHours[] = [{ days: WEEK, from: 480, to: 1080 }];
export const SIX_DAYS: OpeningHours[] = [{ days: ALL.slice(0, 6), from: 480, to: 1080 }];
export const EVERY_DAY: OpeningHours[] = [{ days: ALL, from: 480, to: 1200 }];
/** Until two in the morning. */
export const CLUB: OpeningHours[] = [{ days: ALL, from: 1080, to: 120 }];

export interface Hard {
  name: string;
  /** For each circuit the areas its luminaires are in; areas are numbered from 0. */
  circuits: number[][];
  /** By area; the last stands for all further ones. */
  occupied: OpeningHours[][];
  doors?: [number, number][];
  /** Areas where people always are. */
  always?: number[];
  windows: TestWindow[];
  atOnce: number;
  staggerSec?: number;
  timeZone?: string;
  profile?: string;
  ratedMinutes?: number;
  closedDates?: string[];
  noTestDates?: string[];
  opening?: OpeningHours[];
  days?: number;
}

/** Windows of every night. */
export const nightly = (from: number, to: number, days: Weekday[] = ALL): TestWindow[] => [
  { days: [...days], from, to },
];

export const own = (count: number): number[][] => Array.from({ length: count }, (_, i) => [i]);

export function hardSite(hard: Hard): Site {
  const count = 1 + Math.max(...hard.circuits.flat());
  const doors = hard.doors ?? [];
  const ratedSec = (hard.ratedMinutes ?? 180) * 60;
  const areas = Array.from({ length: count }, (_, i) => ({
    ...{ id: `a${i}`, name: `Area ${i}`, floor: 'only' },
    adjacent: doors.filter((pair) => pair.includes(i)).map(([a, b]) => `a${a === i ? b : a}`),
    occupied: hard.occupied[Math.min(i, hard.occupied.length - 1)],
    always: hard.always?.includes(i) ?? false,
    sleeping: false,
  }));
  const circuits = hard.circuits.map((lit, c) => ({
    ...{ id: `c${c}`, name: `Circuit ${c}`, floor: 'only', shared: false },
    alwaysOccupied: false,
    ...{ auxiliaryContact: false, chargeMilliamps: 0, emptySec: 0, ratedSec },
    luminaires: lit.map((area, i) => ({
      ...{ id: `L${c}-${i}`, place: 'somewhere', area: `a${area}`, serves: [`a${area}`] },
      ...{ mode: 'non-maintained' as const, ratedSec, batteryMilliamps: 200, mainsMilliamps: 0 },
      ...{ chemistry: 'NiMH' as const, batteryFitted: '2024-01-01' },
    })),
    areas: [...new Set(lit.map((area) => `a${area}`))].sort(),
  }));
  return {
    ...{ id: 'hard', name: hard.name, timeZone: hard.timeZone ?? 'Europe/London' },
    ...{ profile: hard.profile ?? 'en50172', responsible: 'Nobody in particular' },
    windows: hard.windows,
    opening: hard.opening ?? hard.occupied[0],
    ...{ closedDates: hard.closedDates ?? [], noTestDates: hard.noTestDates ?? [] },
    openingsAtOnce: hard.atOnce,
    staggerSec: hard.staggerSec ?? 600,
    engineerDays: ALL,
    floors: [{ id: 'only', name: 'Only floor' }],
    ...{ areas, circuits },
    simulation: { start: '2026-01-05T09:00', historyDays: 0, faults: [], repairDays: 14 },
  };
}

/** As many circuits as that in one area. */
const allIn = (count: number): number[][] => Array.from({ length: count }, () => [0]);

/** Seven sites on which an earlier planner did worse than the plain method. */
export const SEVEN: Hard[] = [
  {
    name: '60 circuits, one opening at once',
    ...{ circuits: own(60), occupied: [SIX_DAYS], windows: nightly(0, 420), atOnce: 1 },
  },
  {
    name: '20 circuits, one at once, window 11 h',
    ...{ circuits: own(20), occupied: [SIX_DAYS], windows: nightly(1200, 420), atOnce: 1 },
  },
  {
    name: '120 circuits, cap 4, shut on Sundays',
    ...{ circuits: own(120), occupied: [SIX_DAYS], windows: nightly(0, 420), atOnce: 4 },
  },
  {
    name: 'people until 02:00, window from 22:00',
    ...{ circuits: own(4), windows: nightly(1320, 480), atOnce: 4 },
    occupied: [[{ days: ALL.slice(4), from: 1080, to: 120 }]],
  },
  {
    name: '16 mutual neighbours',
    ...{ circuits: allIn(16), occupied: [OFFICE], windows: nightly(0, 420), atOnce: 4 },
  },
  {
    name: '60 circuits lighting one area',
    ...{ circuits: allIn(60), occupied: [OFFICE], windows: nightly(0, 420), atOnce: 4 },
  },
  {
    name: '4 neighbours under the German profile',
    ...{ circuits: allIn(4), windows: nightly(0, 300), atOnce: 4, profile: 'germany' },
    occupied: [OFFICE],
  },
];
