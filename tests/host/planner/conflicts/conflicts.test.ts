// What cannot be planned, explained so that a person knows which circuit, which nights and what to do.
import { describe, expect, it } from 'vitest';
import { oddRing } from '../../../../host/planner/conflicts/wiring';
import { makePlan } from '../../../../host/planner/planner';
import { profileOf } from '../../../../host/profiles/profile';
import { utcOfLocal } from '../../../../host/site/civil';
import type { Site } from '../../../../host/site/model';
import { GRID, line, loop, T_JUNCTION } from '../graphs';
import { ALL, type Sketch, siteOf } from '../smallSite';

const DAY = 86400;
const from = utcOfLocal('UTC', '2026-01-05T12:00');
const MARCH = Array.from({ length: 35 }, (_, i) =>
  new Date(Date.UTC(2026, 2, 1 + i)).toISOString().slice(0, 10),
);

/** Circuits with one lamp each in the areas given, by default every night from 1 h to 6 h. */
function house(areas: number[], more: Partial<Sketch> = {}): Site {
  return siteOf({
    ...{ timeZone: 'Europe/London', doors: [], days: ALL, from: 60, hours: 5, atOnce: 4, noTestDates: [] },
    circuits: areas.map((area) => ({ areas: [area], ratedMinutes: 180 })),
    ...more,
  });
}

/** As many circuits as that, each with the only lamp of an area of its own. */
function scattered(count: number): Site {
  const site = house(new Array(count).fill(0));
  const [area] = site.areas;
  return {
    ...site,
    openingsAtOnce: count,
    staggerSec: 1,
    areas: site.circuits.map((_, i) => ({ ...area, id: `area-${i}`, name: `Area ${i}`, adjacent: [] })),
    circuits: site.circuits.map((circuit, i) => ({
      ...circuit,
      areas: [`area-${i}`],
      luminaires: circuit.luminaires.map((lamp) => ({ ...lamp, area: `area-${i}`, serves: [`area-${i}`] })),
    })),
  };
}

const planned = (site: Site, profile = 'en50172', history = {}) =>
  makePlan(site, profileOf(profile), from, 200, { history });

/** The conflicts of late tests as one text each. */
function told(site: Site, profile = 'en50172', history = {}): string[] {
  const plan = planned(site, profile, history);
  const late = plan.conflicts.filter(({ rule }) => !rule.includes('alternate luminaires'));
  expect(new Set(late.flatMap(({ circuits }) => circuits))).toEqual(
    new Set(plan.shortfalls.map((s) => s.circuit)),
  );
  return late.map(({ sentence, remedy }) => `${sentence} ${remedy}`);
}

describe('a test that has no night', () => {
  it('for lack of windows and turns: which circuits, which days, and that more days would help', () => {
    const site = house([0, 0], { days: ['sun'] });
    expect(told(site, 'germany')).toEqual([
      `No night can be found for ${planned(site, 'germany').shortfalls.length} function tests of circuits ` +
        'circuit-0 (Circuit 0) and circuit-1 (Circuit 1), the first from Mon 12 Jan 2026 to Sun 18 Jan 2026: they are all ' +
        'neighbours of each other, so each gets only one night in 3, and none of those nights has a test window. ' +
        'Open the test window on more days of the week (testWindows).',
    ]);
  });

  it('because too many circuits are neighbours for a weekly rule: how many are possible, verified', () => {
    const late = (count: number) => planned(house(new Array(count).fill(0)), 'germany').shortfalls.length;
    const [first] = told(house(new Array(24).fill(0)), 'germany');
    expect(first).toContain('so each gets only one night in 48');
    const [, most] = /Have at most (\d+) circuits light one area and those next to it/.exec(first)!;
    expect(late(Number(most))).toBe(0);
    expect(late(Number(most) + 1)).toBeGreaterThan(0);
  });

  it('because no window is long enough: the length needed, and the limited test where that would fit', () => {
    const [only, more] = told(house([0, 0], { hours: 2.5 }));
    expect(more).toBeUndefined();
    expect(only).toContain('duration tests of circuits circuit-0');
    expect(only).toContain(
      'with its margin it takes 3 h 05 min, but the longest test window in that time is 2 h 30 min',
    );
    expect(only).toMatch(
      /Make one test window at least 3 h 05 min long \(testWindows\); or, where people are there day and night and the rule accepts a limited duration test \(2\/3\), mark the circuits alwaysOccupied\.$/,
    );
    expect(told(house([0, 0], { hours: 2 }))[0]).toMatch(/at least 3 h 05 min long \(testWindows\)\.$/);
    const noon = told(house([0, 0], { from: 600 }))[0];
    expect(noon).toContain('is 3 h (a night lasts from noon to noon, so a window across noon counts as two)');
  });

  it('because the doors always open too soon: close for a day', () => {
    const open = { ...house([0, 0]), opening: [{ days: ALL, from: 600, to: 1200 }] };
    const [only] = told(open, 'france-erp');
    expect(only).toContain('batteries must be full whenever the building opens');
    expect(only).toContain('never stays closed for the 27 h 05 min that test and recharge take');
    expect(only).toContain('Close the building on one day in that time (closedDates)');
    expect(planned(open, 'france-erp').conflicts[0].rule).toContain('EC 14');
  });

  it('because dates without tests fill the interval: one date that would be enough, verified', () => {
    const site = house([0, 0], { noTestDates: MARCH });
    const texts = told(site);
    for (const text of texts) {
      expect(text).toContain('no tests are allowed on 2026-03-0');
      const date = /Allow tests on (2026-\d\d-\d\d) \(noTestDates\)\.$/.exec(text)![1];
      const freed = planned({ ...site, noTestDates: MARCH.filter((other) => other !== date) });
      expect(freed.shortfalls).toEqual([]);
    }
    expect(texts).toHaveLength(1);
  });

  it('because others take the nights: how many at once would be enough, verified', () => {
    const site = house([0, 1, 2, 3, 4, 0, 1, 2, 3, 4], { atOnce: 1, days: ['mon', 'thu'] });
    const due = { lastFull: from - 335 * DAY };
    const history = Object.fromEntries(site.circuits.map(({ id }) => [id, due]));
    const full = told(site, 'en50172', history).find((text) => text.includes(' duration test'))!;
    expect(full).toContain(
      'other circuits already use those nights, with at most 1 at once and 10 min between two starts',
    );
    const [, count] = /Allow (\d) circuits at once \(openingsAtOnce: \1\)\.$/.exec(full)!;
    const late = planned({ ...site, openingsAtOnce: Number(count) }, 'en50172', history).shortfalls;
    expect(late.filter(({ kind }) => kind === 2)).toEqual([]);
  });

  it('because tests start too far apart: how close they may start, verified, and never more days than there are', () => {
    // One start a night is too few for so many circuits a month.
    const site = { ...scattered(34), staggerSec: 18_000 };
    const late = told(site).filter((text) => text.includes('other circuits already use those nights'));
    expect(late.length).toBeGreaterThan(0);
    for (const text of late) {
      expect(text).not.toContain('more days');
      const [, staggerSec] = /Let tests start closer together \(staggerSeconds: (\d+)\)\.$/.exec(text)!;
      expect(planned({ ...site, staggerSec: Number(staggerSec) }).shortfalls).toEqual([]);
    }
  });

  it('that was due before the plan: when its first attempt is', () => {
    const history = { 'circuit-0': { lastBrief: from - 60 * DAY, lastFull: from - 10 * DAY } };
    const [only] = told(house([0, 1]), 'en50172', history);
    expect(only).toMatch(
      /^The function test of circuit circuit-0 \(Circuit 0\) was due before this plan starts; its first night/,
    );
    expect(only).toMatch(/ is [A-Z][a-z]{2} \d+ Jan 2026\. If it cannot wait, /);
  });
});

describe('what the wiring does not allow', () => {
  it('is reported if more than half of an area is on one circuit, with the hours people are there', () => {
    const site = siteOf({
      ...{ timeZone: 'Europe/London', doors: [], days: ALL, from: 60, hours: 5, atOnce: 4, noTestDates: [] },
      circuits: [
        { areas: [0, 0, 1], ratedMinutes: 60 },
        { areas: [0, 1], ratedMinutes: 60 },
      ],
    });
    site.areas[0] = { ...site.areas[0], always: true, sleeping: true };
    const [half, ...others] = planned(site).conflicts;
    expect(others).toEqual([]);
    expect(half).toMatchObject({ circuits: ['circuit-0'], areas: ['area-0'] });
    expect(half.sentence).toContain(
      'Circuit circuit-0 (Circuit 0) feeds 2 of 3 luminaires of Area 0. They are not ready during a test',
    );
    expect(half.sentence).toMatch(
      /In this plan people are there for \d+\.\d h of that\. People sleep in Area 0\.$/,
    );
    expect(half.remedy).toContain('Wire every second luminaire of Area 0 to another circuit');
  });

  it('asks for areas before it advises to rewire, where areas are only circuits by name', () => {
    const site = house([0, 1]);
    site.areas.forEach((area, i) => {
      site.areas[i] = { ...area, name: i === 0 ? site.circuits[0].name : `${site.circuits[1].name}, First` };
    });
    const [half, ...others] = planned(site).conflicts;
    expect(others).toEqual([]);
    expect(half.remedy).toMatch(/^First say in the site file in which room each luminaire is /);
    site.areas[1] = { ...site.areas[1], name: 'Stair' };
    expect(planned(site).conflicts[0].remedy).toMatch(/^Wire every second luminaire/);
  });

  // Facts of graph theory: an odd ring needs three groups, an even one, a line, a tree and a grid two.
  it('is reported for an odd ring, naming its circuits', () => {
    const ring = house([0, 1, 2, 3, 4], { doors: loop(5) });
    const odd = planned(ring).conflicts.filter(({ rule }) => rule.startsWith('neighbours take turns'));
    expect(odd).toHaveLength(1);
    expect(odd[0].circuits).toHaveLength(5);
    expect(odd[0].sentence).toContain(
      'form a ring of 5, each the neighbour of the next, so two groups taking turns are not enough',
    );
    const even = house([0, 1, 2, 3], { doors: loop(4) });
    expect(planned(even).conflicts.filter(({ rule }) => rule.startsWith('neighbours take turns'))).toEqual(
      [],
    );
  });

  it.each<[string, [number, number][], number | undefined]>([
    ['a line of 7', line(7), undefined],
    ['a T junction', T_JUNCTION, undefined],
    ['a grid', GRID, undefined],
    ['a ring of 6', loop(6), undefined],
    ['a ring of 7', loop(7), 7],
    ['a ring of 7 with a short cut', [...loop(7), [0, 4]], 5],
    [
      'three that meet, with a tail',
      [
        [5, 4],
        [4, 3],
        [3, 0],
        [0, 1],
        [1, 2],
        [2, 0],
      ],
      3,
    ],
  ])('has its shortest odd ring found: %s', (_, doors, length) => {
    const ids = [...new Set(doors.flat())].map(String);
    const near = new Map(
      ids.map((id) => [
        id,
        new Set(
          doors.flatMap(([a, b]) => (String(a) === id ? [String(b)] : String(b) === id ? [String(a)] : [])),
        ),
      ]),
    );
    const ring = oddRing(ids, near);
    expect(ring?.length).toBe(length);
    ring?.forEach((id, i) => {
      expect(near.get(id)!.has(ring[(i + 1) % ring.length])).toBe(true);
    });
  });

  it("is reported for more neighbours than a controller's settings accept", () => {
    const [last] = planned(house(new Array(201).fill(0))).conflicts.slice(-1);
    expect(last.sentence).toContain('each would get one night in 402; a controller counts to at most 400');
    expect(last.remedy).toMatch(/^Have at most \d\d circuits light one area and those next to it\.$/);
  });

  it('is told once for all circuits it holds for: those with most people first, and all of them in the data', () => {
    const site = scattered(450);
    const { conflicts } = planned(site);
    expect(conflicts).toHaveLength(1);
    const [{ circuits, areas, sentence, remedy }] = conflicts;
    expect([circuits, areas].map((ids) => new Set(ids).size)).toEqual([450, 450]);
    expect(sentence).toMatch(
      /^450 circuits feed more than half of the luminaires of an area: circuit-\d+ \(the only luminaire of Area \d+\), circuit-\d+ \(.*\), circuit-\d+ \(.*\) and 447 more\. They are not ready/,
    );
    expect(remedy).toContain('of such an area to another circuit');
  });

  it('is told apart where people sleep, are there, or are not', () => {
    const site = scattered(9);
    site.areas = site.areas.map((area, i) => ({ ...area, always: i < 5, sleeping: i < 2 }));
    const { conflicts } = planned(site);
    expect(conflicts.map(({ circuits }) => circuits.length)).toEqual([2, 3, 4]);
    const [asleep, awake, empty] = conflicts.map(({ sentence }) => sentence);
    expect(asleep).toContain(' People sleep in Area 0 and Area 1.');
    expect(conflicts[0].remedy).toContain('patrol with a torch');
    expect(awake).toMatch(/people are there for up to \d+\.\d h of that \(circuit-[234]\)\.$/);
    expect(empty).toContain('no one is there');
  });

  it('is not told again where tests are late for it', () => {
    const tight = planned(house([0, 0, 0, 0], { days: ['sun'] }), 'germany');
    expect(tight.conflicts.map(({ about }) => about)).toEqual(['late']);
    const roomy = planned(house([0, 0, 0]));
    expect(roomy.conflicts.map(({ about }) => about)).toEqual(['note']);
  });

  it('is told once for many rings, with the one that needs most turns as the example', () => {
    const site = house(Array.from({ length: 14 }, (_, i) => Math.min(3, i % 5)));
    const groups = planned(site).conflicts.filter(({ rule }) => rule.startsWith('neighbours take turns'));
    expect(groups).toHaveLength(1);
    const [{ sentence, circuits }] = groups;
    expect(sentence).toMatch(
      /^In 4 groups of neighbours two taking turns are not enough; e\.g\. circuits circuit-3 /,
    );
    expect(sentence).toMatch(
      /Up to 5 turns are needed, and each circuit there gets only one night in \d+\.$/,
    );
    expect(circuits).toHaveLength(12);
  });
});
