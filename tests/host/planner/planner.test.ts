import { Body, Equator, Horizon, Observer } from 'astronomy-engine';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import type { CircuitPlan, MadePlan } from '../../../host/planner/plan/plan';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { utcOfLocal } from '../../../host/site/civil';
import { loadSite } from '../../../host/site/load';
import type { Site } from '../../../host/site/model';
import { runs } from '../../support/depth';
import { areNeighbours, checkPlan, civil } from './checkPlan';
import { ALL, DRAWN, type Sketch, siteOf, sketch, start } from './smallSite';

const profile = profileOf('en50172');
const DAY = 86400;

function demo(): Site {
  const loaded = loadSite('docs/examples/museum-of-tides.yaml');
  if ('mistakes' in loaded) throw new Error(loaded.mistakes[0].message);
  return loaded.site;
}

function tests(plan: CircuitPlan, kind: TestKind): number {
  return new Set(plan.slots.filter((slot) => slot.kind === kind).map((slot) => slot.test)).size;
}

function lateCircuits(plan: MadePlan): Set<string> {
  return new Set(plan.shortfalls.filter((s) => s.kind === TestKind.Brief).map((s) => s.circuit));
}

describe('the plan of the demonstration building', () => {
  const site = demo();

  it.each(['2026-01-05T09:00', '2026-03-28T20:00', '2026-07-31T23:59', '2026-10-24T01:30'])(
    'keeps every rule for 400 days from %s',
    (local) => {
      const plan = makePlan(site, profile, utcOfLocal(site.timeZone, local), 400);
      expect(plan.shortfalls).toEqual([]);
      expect(checkPlan(site, plan)).toEqual([]);
      for (const circuit of plan.circuits) {
        expect(tests(circuit, TestKind.Brief)).toBeGreaterThanOrEqual(14);
        expect(tests(circuit, TestKind.Full)).toBeGreaterThanOrEqual(1);
        expect(circuit.slots.length).toBeLessThanOrEqual(72);
      }
    },
  );

  const plan = makePlan(site, profile, utcOfLocal(site.timeZone, '2026-01-05T09:00'), 400);

  it('gives every circuit its first duration test and a second attempt within a year', () => {
    for (const circuit of plan.circuits) {
      const attempts = circuit.slots.filter((slot) => slot.kind === TestKind.Full);
      expect(attempts.length).toBeGreaterThanOrEqual(2);
      expect(attempts[0].start).toBeLessThan(plan.from + 365 * DAY);
    }
  });

  it('prefers nights before the closed Monday for full tests', () => {
    const local = civil(site.timeZone);
    const nights = plan.circuits.map((circuit) => circuit.slots.find((slot) => slot.kind === TestKind.Full)!);
    const mondays = nights.filter((slot) => new Date(local(slot.end) * 1000).getUTCDay() === 1).length;
    expect(mondays).toBeGreaterThan(nights.length / 3);
  });

  it('gives function tests a retry before the latest date', () => {
    for (const circuit of plan.circuits) {
      const briefs = circuit.slots.filter((slot) => slot.kind === TestKind.Brief);
      expect(briefs.length - tests(circuit, TestKind.Brief)).toBeGreaterThanOrEqual(10);
    }
  });

  it('lists its tests in order of time, and the same circuit by circuit', () => {
    const { tests: inTime, testsByCircuit } = makePlan(
      site,
      profile,
      utcOfLocal(site.timeZone, '2026-01-05T09:00'),
      365,
    );
    expect(inTime.map((test) => test.start)).toEqual(inTime.map((test) => test.start).sort((a, b) => a - b));
    const order = (id: string) => site.circuits.findIndex((circuit) => circuit.id === id);
    expect([...inTime].sort((a, b) => order(a.circuit) - order(b.circuit))).toEqual(testsByCircuit);
  });

  it('gives the same plan for the same site and time', () => {
    expect(makePlan(site, profile, plan.from, 400)).toEqual(plan);
  });

  it('gives controllers without a plan a nightly window inside the local one all year, long enough for a duration test', () => {
    const local = civil(site.timeZone);
    for (const own of plan.circuits) {
      const rated = site.circuits.find((c) => c.id === own.circuit)!.ratedSec;
      expect(own.fallbackSec).toBeGreaterThanOrEqual(rated + 300);
      for (let day = Math.floor(plan.from / DAY); day * DAY < plan.until; day++) {
        const from = local(day * DAY + own.fallbackFrom) % DAY;
        expect(from).toBeGreaterThanOrEqual(30 * 60);
        expect(from + own.fallbackSec).toBeLessThanOrEqual(5.5 * 3600);
      }
    }
  });
});

describe('the plan of any small building', () => {
  it('keeps windows, dates, caps, own nights, recharge spans of neighbours, numbers and gaps', () => {
    fc.assert(
      fc.property(sketch, start, (drawn, from) => {
        const site = siteOf(drawn);
        const plan = makePlan(site, profile, from, 100);
        expect(checkPlan(site, plan, { late: lateCircuits(plan), fullCounts: true })).toEqual([]);
      }),
      { ...DRAWN, numRuns: runs(60) },
    );
  });

  it('has nothing to excuse if every night may be used and the wiring leaves a night per fortnight', () => {
    fc.assert(
      fc.property(sketch, start, (drawn, from) => {
        const site = siteOf({ ...drawn, days: ALL, noTestDates: [], atOnce: 4, from: 30, hours: 6 });
        const plan = makePlan(site, profile, from, 100);
        fc.pre(plan.circuits[0].cycle <= 14);
        expect(plan.shortfalls).toEqual([]);
        for (const circuit of plan.circuits) expect(tests(circuit, TestKind.Full)).toBe(1);
      }),
      { ...DRAWN, numRuns: runs(40) },
    );
  });

  it('lets circuits that are not neighbours share their nights', () => {
    const circuits = [0, 1, 2, 3].map((i) => ({ areas: [i], ratedMinutes: 180 }));
    const apart: Sketch = {
      timeZone: 'Europe/London',
      circuits,
      doors: [],
      days: ALL,
      from: 30,
      hours: 5,
      atOnce: 4,
      noTestDates: [],
    };
    const site = siteOf(apart);
    expect(areNeighbours(site, 'circuit-0', 'circuit-1')).toBe(false);
    const plan = makePlan(site, profile, utcOfLocal('UTC', '2026-01-05T12:00'), 60);
    expect(new Set(plan.circuits.map((circuit) => circuit.cycle))).toEqual(new Set([1]));
    const nights = plan.circuits.flatMap(({ slots }) => slots.map((slot) => Math.floor(slot.start / DAY)));
    expect(new Set(nights).size).toBeLessThan(nights.length);
  });

  it('says which circuit will be late if the only window is too rare', () => {
    // On a Sunday four of them fit in the window one after another; there are four Sundays in 31 days.
    const circuits = Array.from({ length: 24 }, () => ({ areas: [0], ratedMinutes: 60 }));
    const rare: Sketch = {
      timeZone: 'Europe/London',
      circuits,
      doors: [],
      days: ['sun'],
      from: 60,
      hours: 5,
      atOnce: 4,
      noTestDates: [],
    };
    const plan = makePlan(siteOf(rare), profile, utcOfLocal('UTC', '2026-01-05T12:00'), 120);
    expect(lateCircuits(plan).size).toBeGreaterThanOrEqual(8);
  });

  it('counts a duration test as a function test if a circuit has one night a month', () => {
    const circuits = Array.from({ length: 10 }, () => ({ areas: [0], ratedMinutes: 60 }));
    const crowded: Sketch = {
      timeZone: 'Europe/London',
      circuits,
      doors: [],
      days: ALL,
      from: 60,
      hours: 5,
      atOnce: 4,
      noTestDates: [],
    };
    const site = siteOf(crowded);
    const plan = makePlan(site, profile, utcOfLocal('UTC', '2026-01-05T12:00'), 200);
    expect(plan.circuits[0].cycle).toBeGreaterThanOrEqual(20);
    for (const circuit of plan.circuits) expect(tests(circuit, TestKind.Full)).toBe(1);
    expect(checkPlan(site, plan, { fullCounts: true })).toEqual([]);
  });
});

describe('the checker of plans in these tests', () => {
  const site = demo();
  const good = makePlan(site, profile, utcOfLocal(site.timeZone, '2026-01-05T09:00'), 400);
  const at = (plan: MadePlan, circuit: string) => plan.circuits.find((own) => own.circuit === circuit)!;

  /** What the checker says of the plan after one change to a copy of it. */
  function judged(change: (plan: MadePlan) => void): string {
    const plan = structuredClone(good);
    change(plan);
    return checkPlan(site, plan).join('; ');
  }

  it.each<[string, (plan: MadePlan) => void]>([
    ['not its own time', (plan) => (at(plan, 'ground-a').residue += 1)],
    ['outside the windows', (plan) => (at(plan, 'ground-a').slots[3].start -= 7200)],
    [
      'the test does not fit',
      (plan) => (at(plan, 'ground-a').slots[0].end = at(plan, 'ground-a').slots[0].start + 89),
    ],
    ['comes later than 31 days', (plan) => at(plan, 'ground-a').slots.splice(6, 6)],
    ['number', (plan) => (at(plan, 'ground-a').slots[5].test += 9)],
    [
      'two starts close together',
      (plan) => (at(plan, 'ground-b').slots[1].start = at(plan, 'lower-b').slots[1].start),
    ],
    [
      'ground-a meets ground-b',
      (plan) => {
        at(plan, 'ground-b').slots = structuredClone(at(plan, 'ground-a').slots);
      },
    ],
  ])('objects: %s', (words, change) => {
    expect(judged(change)).toContain(words);
  });

  it('objects to more openings at once than the site allows', () => {
    expect(checkPlan({ ...site, openingsAtOnce: 1 }, good).join()).toContain('may be open');
  });
});

describe('a plan that follows an earlier one', () => {
  const site = demo();
  const from = utcOfLocal(site.timeZone, '2026-06-01T12:00');
  const id = site.circuits[0].id;

  it('counts on from the last tests and continues their numbers', () => {
    const history = { [id]: { lastBrief: from - 10 * DAY, lastFull: from - 100 * DAY, nextTest: 41 } };
    const own = makePlan(site, profile, from, 200, { history }).circuits[0];
    expect(own.slots[0].test).toBe(41);
    expect(own.slots[0].kind).toBe(TestKind.Brief);
    expect(own.slots[0].start).toBeLessThanOrEqual(from + 19 * DAY);
    expect(own.slots[0].start).toBeGreaterThan(from + 9 * DAY);
    expect(tests(own, TestKind.Full)).toBe(0);
  });

  it('plans limited tests instead of duration tests where people are always there, counted separately', () => {
    const occupied = { ...site, circuits: site.circuits.map((c) => ({ ...c, alwaysOccupied: c.id === id })) };
    const plan = makePlan(occupied, profile, from, 400);
    const [own, ...others] = plan.circuits;
    expect(tests(own, TestKind.Full)).toBe(0);
    expect(tests(own, TestKind.Limited)).toBeGreaterThanOrEqual(1);
    for (const other of others) expect(tests(other, TestKind.Limited)).toBe(0);
    expect(checkPlan(occupied, plan)).toEqual([]);
    const planned = (known: object) => {
      const history = { [id]: { lastBrief: from - DAY, ...known } };
      return makePlan(occupied, profile, from, 200, { history }).circuits[0];
    };
    expect(tests(planned({ lastLimited: from - 10 * DAY }), TestKind.Limited)).toBe(0);
    expect(tests(planned({ lastFull: from - 10 * DAY }), TestKind.Limited)).toBe(0);
    const history = { [id]: { lastBrief: from - DAY, lastLimited: from - 10 * DAY } };
    expect(tests(makePlan(site, profile, from, 200, { history }).circuits[0], TestKind.Full)).toBe(1);
  });

  it('takes the soonest night for overdue tests, and says so', () => {
    const history = { [id]: { lastBrief: from - 60 * DAY, lastFull: from - 500 * DAY, nextTest: 7 } };
    const plan = makePlan(site, profile, from, 200, { history });
    const own = plan.circuits[0];
    const first = (kind: TestKind) => own.slots.find((slot) => slot.kind === kind)!.start;
    expect(first(TestKind.Brief)).toBeLessThan(from + 2 * own.cycle * DAY);
    expect(first(TestKind.Full)).toBeLessThan(from + 30 * DAY);
    expect(plan.shortfalls.map((s) => [s.circuit, s.kind])).toEqual([
      [id, TestKind.Brief],
      [id, TestKind.Full],
    ]);
  });
});

// `astronomy-engine` shares nothing with the planner's sun.
describe('the duration test of a building with a known location', () => {
  const HOUR = 3600;
  /** Hours of the six after a UTC second in which the sun is down. */
  function darkHours(latitude: number, utcSec: number): number {
    const sky = new Observer(latitude, 0, 0);
    const looks = Array.from({ length: 72 }, (_, i) => new Date((utcSec + (i + 0.5) * (HOUR / 12)) * 1000));
    const isDown = (when: Date) => {
      const { ra, dec } = Equator(Body.Sun, when, sky, true, true);
      return Horizon(when, sky, ra, dec).altitude < -0.833;
    };
    return looks.filter(isDown).length / 12;
  }

  const small = siteOf({
    timeZone: 'UTC',
    circuits: [{ areas: [0], ratedMinutes: 180 }],
    doors: [],
    days: ['sun', 'mon'],
    ...{ from: 60, hours: 5, atOnce: 1, noTestDates: [] },
  });
  const site: Site = { ...small, windows: [...small.windows, { days: ['sat'], from: 6 * 60, to: 11 * 60 }] };
  const history = { 'circuit-0': { lastFull: Date.parse('2025-11-20T02:00Z') / 1000 } };
  const fullEnd = (where: Partial<Site>) => {
    const from = Date.parse('2026-09-01T12:00Z') / 1000;
    const made = makePlan({ ...site, ...where }, profile, from, 200, { history });
    expect([made.shortfalls, made.exposureHours]).toEqual([[], 0]);
    return made.tests.find(({ kind }) => kind === TestKind.Full)!.end;
  };

  it('is a few days sooner if daylight then follows it, at no cost of exposure', () => {
    const [known, unknown] = [fullEnd({ location: { latitude: 54.6, longitude: 0 } }), fullEnd({})];
    expect([darkHours(54.6, known), darkHours(54.6, unknown)]).toEqual([0, expect.closeTo(3.5, 0)]);
    expect(unknown - known).toBeGreaterThan(DAY);
    expect(unknown - known).toBeLessThan(4 * DAY);
  });

  it('stays where it is if the sun shines on neither or on both', () => {
    for (const latitude of [-70, 89])
      expect(fullEnd({ location: { latitude, longitude: 0 } }), `${latitude}`).toBe(fullEnd({}));
  });
});
