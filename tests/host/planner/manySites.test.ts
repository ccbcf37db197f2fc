// A thousand buildings drawn at random and forty-two fixed ones, across clock changes in seven zones, each
// checked by code that shares nothing with the planner.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import type { OpeningHours, Site } from '../../../host/site/model';
import { sizes } from '../../support/depth';
import { checkExposure } from './checkExposure';
import { checkPlan } from './checkPlan';
import { ALL, DRAWN, type Sketch, siteOf, sketch } from './smallSite';

const profile = profileOf('en50172');
const BRIEF = { test: 90, recharge: 3600 };
const DAYS = 100;

/** Instants some weeks before a clock change (from IANA tz 2025b, see tests/published/timezones.test.ts). */
const ZONES: [zone: string, starts: [string, string]][] = [
  ['Europe/London', ['2026-03-01', '2026-10-01']],
  ['Europe/Berlin', ['2026-03-01', '2026-10-01']],
  ['America/New_York', ['2026-02-10', '2026-10-05']],
  ['Australia/Sydney', ['2026-03-10', '2026-09-10']],
  ['Australia/Lord_Howe', ['2026-03-10', '2026-09-10']],
  ['Pacific/Auckland', ['2026-03-10', '2026-09-01']],
  ['Africa/Cairo', ['2026-04-01', '2026-10-05']],
];

/** Hours of people from a few numbers: days of the week, start and length in half hours. */
const hours: fc.Arbitrary<OpeningHours> = fc
  .record({
    days: fc.subarray(ALL, { minLength: 1 }),
    from: fc.nat(47),
    long: fc.integer({ min: 1, max: 30 }),
  })
  .map(({ days, from, long }) => ({ days, from: from * 30, to: ((from + long) * 30) % 1440 }));

interface People {
  areas: { occupied: OpeningHours[]; always: boolean; sleeping: boolean }[];
  /** For each circuit the areas its first lamp lights besides its own. */
  serves: number[][];
  closed: string[];
  staggerSec: number;
}

const people: fc.Arbitrary<People> = fc.record({
  areas: fc.array(
    fc.record({
      occupied: fc.array(hours, { maxLength: 2 }),
      always: fc.integer({ min: 0, max: 9 }).map((n) => n === 0),
      sleeping: fc.constant(false),
    }),
    { minLength: 5, maxLength: 5 },
  ),
  serves: fc.array(fc.array(fc.nat(4), { maxLength: 2 }), { minLength: 8, maxLength: 8 }),
  closed: fc.subarray(['2026-03-29', '2026-04-06', '2026-10-25', '2026-11-11']),
  staggerSec: fc.constantFrom(60, 300, 600),
});

function peopled(site: Site, { areas, serves, closed, staggerSec }: People): Site {
  return {
    ...site,
    ...{ closedDates: closed, staggerSec },
    areas: site.areas.map((area, i) => ({ ...area, ...areas[i] })),
    circuits: site.circuits.map((circuit, c) => {
      const luminaires = circuit.luminaires.map((lamp, i) => {
        const more = i === 0 ? serves[c].map((area) => `area-${area}`) : [];
        return { ...lamp, serves: [...new Set([lamp.area, ...more])].sort() };
      });
      const lit = luminaires.flatMap((lamp) => [lamp.area, ...lamp.serves]);
      return { ...circuit, luminaires, areas: [...new Set(lit)].sort() };
    }),
  };
}

/** Everything wrong with a site's plan, by an independent checker. */
function wrong(site: Site, from: number): string[] {
  const plan = makePlan(site, profile, from, DAYS);
  const late = new Set(
    plan.shortfalls.filter((one) => one.kind === TestKind.Brief).map((one) => one.circuit),
  );
  return [...checkPlan(site, plan, { late, fullCounts: true }), ...checkExposure(site, plan, BRIEF)];
}

describe.each(ZONES.slice(0, sizes.zones))('in %s', (timeZone, starts) => {
  const noon = (date: string) => utcOfLocal('UTC', `${date}T12:00`);

  it('no plan of a random building breaks a rule', () => {
    fc.assert(
      fc.property(sketch, people, fc.constantFrom(...starts), (drawn, there, date) => {
        expect(wrong(peopled(siteOf({ ...drawn, timeZone }), there), noon(date))).toEqual([]);
      }),
      { ...DRAWN, numRuns: sizes.buildingsPerZone },
    );
  });

  const OFFICE: OpeningHours[] = [{ days: ALL.slice(0, 5), from: 480, to: 1080 }];
  const BAR: OpeningHours[] = [{ days: ALL.slice(3), from: 1080, to: 120 }];
  const fixed: Partial<Sketch>[] = [
    { from: 30, hours: 5 },
    { from: 1320, hours: 7, days: ['sat', 'sun', 'mon'] },
    { from: 1380, hours: 6, atOnce: 1 },
  ];
  it.each(starts.flatMap((date) => fixed.map((window) => [date, window] as const)))(
    'no plan of a fixed building from %s with windows %j does',
    (date, window) => {
      const drawn: Sketch = {
        ...{ timeZone, days: ALL, from: 30, hours: 5, atOnce: 2, noTestDates: [`${date.slice(0, 8)}20`] },
        circuits: [[0, 0, 1], [0, 1], [2], [3, 4], [4]].map((areas) => ({ areas, ratedMinutes: 180 })),
        doors: [
          [0, 1],
          [2, 3],
        ],
        ...window,
      };
      const there: People = {
        areas: [OFFICE, BAR, OFFICE, [], BAR].map((occupied, i) => ({
          occupied,
          always: i === 3,
          sleeping: i === 3,
        })),
        ...{ serves: [[1], [], [3], [], []], closed: [], staggerSec: 600 },
      };
      expect(wrong(peopled(siteOf(drawn), there), noon(date))).toEqual([]);
    },
  );
});

it.each([
  [
    'Pacific/Auckland',
    '2026-03-10',
    { days: ['mon', 'fri'], circuits: [[0], [0], [0]], serves: [[], [], [3]] },
  ],
  [
    'America/New_York',
    '2026-02-10',
    {
      ...{ days: ['thu', 'sun'], noTestDates: ['2026-03-08', '2026-04-05'] },
      ...{ circuits: [[2], [2], [2, 0], [2, 0]], serves: [[], [], [], [1]] },
    },
  ],
] as const)(
  'the bound allows for a full test that stands for the last brief one, in %s from %s',
  (timeZone, date, drawn) => {
    const site = siteOf({
      ...{ timeZone, from: 1080, hours: 5, atOnce: 1, doors: [], noTestDates: [], ...drawn },
      days: [...drawn.days],
      circuits: drawn.circuits.map((areas) => ({ areas: [...areas], ratedMinutes: 180 })),
    } as Sketch);
    const busy = Array.from({ length: 5 }, (_, i) => ({ occupied: [], always: i !== 2, sleeping: false }));
    const there = { areas: busy, serves: drawn.serves.map((more) => [...more]), closed: [], staggerSec: 60 };
    expect(wrong(peopled(site, there), utcOfLocal('UTC', `${date}T12:00`))).toEqual([]);
  },
);

describe('the checker of exposure', () => {
  const drawn: Sketch = {
    ...{ timeZone: 'Europe/London', days: ALL, from: 30, hours: 5, atOnce: 2, noTestDates: [] },
    ...{
      circuits: [
        { areas: [0], ratedMinutes: 60 },
        { areas: [0], ratedMinutes: 60 },
      ],
      doors: [],
    },
  };
  const site = siteOf(drawn);
  site.areas[0] = { ...site.areas[0], always: true };
  const plan = makePlan(site, profile, utcOfLocal('UTC', '2026-03-01T12:00'), DAYS);

  it('finds a claim that is too low, a test of the wrong length and one that is no first attempt', () => {
    expect(checkExposure(site, plan, BRIEF)).toEqual([]);
    const copy = { ...plan };
    const { tests, exposureHours } = plan;
    expect(checkExposure(site, { ...copy, exposureHours: exposureHours * 0.8 }, BRIEF).join()).toContain(
      'the exposure is',
    );
    const [first, ...rest] = tests;
    expect(
      checkExposure(site, { ...copy, tests: [{ ...first, end: first.end - 1 }, ...rest] }, BRIEF).join(),
    ).toContain('wrong length');
    expect(checkExposure(site, { ...copy, tests: rest }, BRIEF).join()).toContain('not the first chances');
  });
});
