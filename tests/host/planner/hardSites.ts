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

/** Each circuit lights its own area and the next, and the last one the first area again. */
const ring = (count: number): number[][] => Array.from({ length: count }, (_, i) => [i, (i + 1) % count]);
/** Areas in a row, each with a door to the next. */
const row = (count: number): [number, number][] =>
  Array.from({ length: count - 1 }, (_, i): [number, number] => [i, i + 1]);
/** Areas around the first, each with a door to it. */
const star = (count: number): [number, number][] =>
  Array.from({ length: count - 1 }, (_, i): [number, number] => [0, i + 1]);
const grid = (side: number): [number, number][] =>
  Array.from({ length: side * side }, (_, i) => i).flatMap((i): [number, number][] => [
    ...((i + 1) % side > 0 ? [[i, i + 1] as [number, number]] : []),
    ...(i + side < side * side ? [[i, i + side] as [number, number]] : []),
  ]);
/** Two circuits in every area, wired alternately. */
const alternate = (areas: number): number[][] =>
  Array.from({ length: 2 * areas }, (_, i) => [Math.floor(i / 2)]);
const wards = (count: number): number[] => Array.from({ length: count }, (_, i) => i);

/** Thirty more: rings, wards, clubs, half-hour zones, caps, few nights, other rules. */
export const THIRTY: Hard[] = [
  { name: 'ring of 5', circuits: ring(5), occupied: [OFFICE], windows: nightly(0, 360), atOnce: 4 },
  {
    name: 'ring of 7, open every day',
    circuits: ring(7),
    occupied: [EVERY_DAY],
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: 'ring of 9, one at once',
    circuits: ring(9),
    occupied: [SIX_DAYS],
    windows: nightly(0, 420),
    atOnce: 1,
  },
  {
    name: 'ring of 12 in Kolkata',
    circuits: ring(12),
    occupied: [OFFICE],
    windows: nightly(30, 390),
    atOnce: 2,
    timeZone: 'Asia/Kolkata',
  },
  {
    name: 'ring of 6 on Lord Howe Island',
    circuits: ring(6),
    occupied: [SIX_DAYS],
    windows: nightly(60, 420),
    atOnce: 4,
    timeZone: 'Australia/Lord_Howe',
  },
  {
    name: 'ring of 5 in Kathmandu',
    circuits: ring(5),
    occupied: [SIX_DAYS],
    windows: nightly(15, 375),
    atOnce: 4,
    timeZone: 'Asia/Kathmandu',
  },
  {
    name: 'row of 10',
    circuits: own(10),
    doors: row(10),
    occupied: [OFFICE],
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: 'row of 20 in Adelaide',
    circuits: own(20),
    doors: row(20),
    occupied: [SIX_DAYS],
    windows: nightly(0, 420),
    atOnce: 2,
    timeZone: 'Australia/Adelaide',
  },
  {
    name: 'star of 9',
    circuits: own(9),
    doors: star(9),
    occupied: [OFFICE],
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: 'star of 15, open every day',
    circuits: own(15),
    doors: star(15),
    occupied: [EVERY_DAY],
    windows: nightly(0, 420),
    atOnce: 4,
  },
  {
    name: 'grid of 9',
    circuits: own(9),
    doors: grid(3),
    occupied: [OFFICE],
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: 'grid of 16, shut on Sundays',
    circuits: own(16),
    doors: grid(4),
    occupied: [SIX_DAYS],
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: 'four wards',
    circuits: alternate(4),
    occupied: [OFFICE],
    always: wards(4),
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: 'eight wards in a row',
    circuits: alternate(8),
    doors: row(8),
    occupied: [OFFICE],
    always: wards(8),
    windows: nightly(0, 360),
    atOnce: 2,
  },
  {
    name: 'two wards and two offices',
    circuits: alternate(4),
    doors: row(4),
    occupied: [OFFICE],
    always: [0, 1],
    windows: nightly(0, 300),
    atOnce: 4,
  },
  {
    name: 'club, window after closing',
    circuits: own(4),
    occupied: [CLUB],
    windows: nightly(180, 600),
    atOnce: 4,
  },
  {
    name: 'club with neighbours',
    circuits: own(6),
    doors: row(6),
    occupied: [CLUB],
    windows: nightly(150, 720),
    atOnce: 4,
  },
  {
    name: 'club and office',
    circuits: alternate(2),
    occupied: [CLUB, OFFICE],
    windows: nightly(150, 480),
    atOnce: 2,
  },
  {
    name: '8 mutual neighbours',
    circuits: allIn(8),
    occupied: [SIX_DAYS],
    windows: nightly(0, 360),
    atOnce: 4,
  },
  {
    name: '12 mutual neighbours, window 4 h',
    circuits: allIn(12),
    occupied: [OFFICE],
    windows: nightly(60, 300),
    atOnce: 4,
  },
  {
    name: '24 mutual neighbours',
    circuits: allIn(24),
    occupied: [OFFICE],
    windows: nightly(0, 420),
    atOnce: 4,
  },
  {
    name: '3 neighbours under the German profile',
    circuits: allIn(3),
    occupied: [OFFICE],
    windows: nightly(0, 360),
    atOnce: 4,
    profile: 'germany',
  },
  {
    name: '8 neighbours under the German profile',
    circuits: allIn(8),
    occupied: [OFFICE],
    windows: nightly(0, 360),
    atOnce: 4,
    profile: 'germany',
  },
  {
    name: 'row of 6 under the German profile',
    circuits: own(6),
    doors: row(6),
    occupied: [OFFICE],
    windows: nightly(0, 300),
    atOnce: 4,
    profile: 'germany',
  },
  {
    name: 'weekends only',
    circuits: own(12),
    doors: row(12),
    occupied: [OFFICE],
    windows: nightly(0, 420, ALL.slice(5)),
    atOnce: 4,
  },
  {
    name: 'window 3.5 h',
    circuits: own(8),
    doors: row(8),
    occupied: [SIX_DAYS],
    windows: nightly(60, 270),
    atOnce: 4,
  },
  {
    name: 'half an hour between starts',
    circuits: own(16),
    occupied: [SIX_DAYS],
    windows: nightly(0, 420),
    atOnce: 4,
    staggerSec: 1800,
  },
  {
    name: 'nothing in December',
    circuits: own(8),
    doors: row(8),
    occupied: [SIX_DAYS],
    windows: nightly(0, 360),
    atOnce: 4,
    noTestDates: Array.from({ length: 21 }, (_, i) => `2026-12-${String(i + 1).padStart(2, '0')}`),
  },
  {
    name: 'open every day, shut at Christmas',
    circuits: allIn(4),
    occupied: [EVERY_DAY],
    windows: nightly(0, 360),
    atOnce: 4,
    closedDates: ['2026-12-24', '2026-12-25', '2026-12-26', '2026-12-27'],
  },
  {
    name: 'rated one hour',
    circuits: ring(8),
    occupied: [SIX_DAYS],
    windows: nightly(0, 300),
    atOnce: 2,
    ratedMinutes: 60,
  },
];
