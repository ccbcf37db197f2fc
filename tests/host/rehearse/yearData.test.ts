// From the notes of a run to what is drawn of it.
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { lineText } from '../../../firmware/contract/curve';
import { startUtcMs } from '../../../host/rehearse/estate';
import { yearFromMs, yearOf } from '../../../host/rehearse/yearData';
import { utcOfLocal } from '../../../host/site/civil';
import type { CircuitStory } from '../../../simulator/compare/measures';
import type { Off, TestNote } from '../../../simulator/people/chronicle';
import { HOUSE } from '../house/site';

const HOUR = 3_600_000;
const DAY = 24 * HOUR;
const site = { ...HOUSE, timeZone: 'Europe/London' };
/** Simulated ms of a local time. */
const at = (local: string) => utcOfLocal('Europe/London', local) * 1000 - startUtcMs(site);
/** Days since 1970 of a date. */
const dayNumber = (date: string) => Date.parse(date) / DAY;

function year(tests: Partial<TestNote>[], offs: Partial<Off>[] = [], days = 400) {
  const lamp = (id: string) => ({
    ...{ id, mode: 0 as const, ratedSec: 3600, batteryMilliamps: 200, mainsMilliamps: 0 },
    ...{ chemistry: 'NiMH' as const, margin: 1.5 },
  });
  const story: CircuitStory = {
    ...{
      circuit: 'a',
      lamps: [lamp('A-1'), lamp('A-2')],
      failures: [],
      soundReported: 0,
      ailments: [[], []],
    },
    tests: tests.map((test) => ({
      ...{ at: 0, kind: TestKind.Brief, end: Reason.Complete, failed: [], voided: [] },
      ...test,
    })),
    offs: offs.map((off) => ({ ...{ from: 0, to: 0, kind: TestKind.None, meantMs: 0 }, ...off })),
  };
  return yearOf(site, 'Name', [story], days);
}

describe('the year that is drawn', () => {
  it('is the last one of the run, in local days', () => {
    const { name, from, to, circuits } = year([{ at: 10 * DAY }, { at: 100 * DAY }]);
    expect(yearFromMs(400)).toBe(35 * DAY);
    expect(yearFromMs(20)).toBe(0);
    expect([name, to - from]).toEqual(['Name', 366]);
    expect(circuits[0].tests.map(({ day }) => Math.floor(day))).toEqual([
      Math.floor((startUtcMs(site) + 100 * DAY) / DAY),
    ]);
  });

  it('has each test on its local date, in summer and on nights with a clock change', () => {
    const locals = ['2026-03-29T00:30', '2026-07-01T00:30', '2026-10-25T23:50'];
    const { tests } = year(locals.map((local) => ({ at: at(local) }))).circuits[0];
    expect(tests.map(({ day }) => Math.floor(day))).toEqual(
      locals.map((local) => dayNumber(local.slice(0, 10))),
    );
    expect(tests[1].day % 1).toBeCloseTo(0.5 / 24, 6);
    expect(tests[2].day % 1).toBeLessThan(1);
  });

  it('shows the outcome of each test, and who failed', () => {
    const told = year([
      { at: 100 * DAY },
      { at: 130 * DAY, failed: [1], voided: [0] },
      { at: 160 * DAY, kind: TestKind.Full, voided: [0] },
      { at: 190 * DAY, kind: TestKind.Limited },
    ]).circuits[0].tests;
    expect(told.map(({ kind, outcome, failed }) => [kind, outcome, failed])).toEqual([
      ['brief', 'passed', []],
      ['brief', 'failed', ['A-2']],
      ['full', 'void', []],
      ['limited', 'passed', []],
    ]);
  });

  it('shows the charge after a duration test, and a supply loss longer than a test intended', () => {
    const [brief, full, forgotten] = [100, 200, 300].map((day) => day * DAY);
    const { bars } = year(
      [],
      [
        { from: brief, to: brief + 90_000, kind: TestKind.Brief, meantMs: 90_000 },
        { from: full, to: full + HOUR, kind: TestKind.Full, meantMs: HOUR },
        { from: forgotten, to: forgotten + 3 * DAY, kind: TestKind.Brief, meantMs: HOUR },
      ],
    ).circuits[0];
    expect(bars.map(({ kind, from, to }) => [kind, Math.round((to - from) * 24)])).toEqual([
      ['recharge', 24],
      ['off', 71],
      ['recharge', 24],
    ]);
  });

  it('draws the curves of long tests in mA and minutes, and leaves out a lamp without one', () => {
    // Three points: 100 % at the start, 50 % at place 6, dark at place 7, on a grid of 600 s.
    const text = lineText([100, 6 * 128 + 50, 7 * 128], 0, 3, 2);
    const full = { at: 100 * DAY, kind: TestKind.Full, failed: [0], curves: [text, ''], gridSec: 600 };
    const { discharges } = year([{ at: 50 * DAY }, full]);
    expect(discharges).toHaveLength(1);
    expect(discharges[0]).toMatchObject({ circuit: 'a', kind: 'full', ratedMinutes: 60 });
    expect(discharges[0].lamps).toEqual([
      {
        ...{ name: 'A-1', hasFailed: true },
        points: [
          [0, 200],
          [60, 100],
          [70, 0],
        ],
      },
    ]);
  });
});
