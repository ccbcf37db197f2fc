import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ClockTrust, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { clockErrorSec, clockTrust, takeTime } from '../../../firmware/core/clock';
import {
  type Due,
  dueNow,
  kindOf,
  nightOf,
  openWindowEnd,
  satisfied,
  spendSlot,
  spendSlotAt,
  takePlan,
  tellOverdue,
  testOf,
} from '../../../firmware/core/schedule';
import { Bench, DAY_MS, IN_WINDOW, lampOf, START, WINDOW } from './bench';

const BRIEF_SLOT = [1, TestKind.Brief, WINDOW.from, WINDOW.to];

const NIGHT = 86_400;
const Brief = TestKind.Brief;
const Full = TestKind.Full;
const None = TestKind.None;

const msOf = (utc: number): number => (utc - START) * 1000;
const due = (b: Bench, utc: number): Due => ({ ...dueNow(b.s, msOf(utc)) });
const kind = (b: Bench, utc: number): TestKind => due(b, utc).kind;
const errorAt = (b: Bench, utc: number): number => clockErrorSec(b.s, msOf(utc));

/** The tests that are reported overdue at this second. */
function told(b: Bench, utc: number): number[] {
  const before = b.of('overdue').length;
  tellOverdue(b.s, msOf(utc));
  b.perform();
  return b
    .of('overdue')
    .slice(before)
    .map((r) => r.arg);
}

describe('a plan', () => {
  it('has its windows entered late by the possible error of the clock', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    const error = 2 + Math.floor((b.drives[0].at * Limit.DriftPpm) / 1e9);
    expect(START + b.drives[0].at / 1000).toBeGreaterThanOrEqual(WINDOW.from + error);
    expect(START + b.drives[0].at / 1000).toBeLessThanOrEqual(WINDOW.from + error + 2);
  });

  it.each([
    ['letters', 'x,1,2,3;'],
    ['three columns', '1,1,100;'],
    ['no closing semicolon', '1,1,100,200'],
    ['a kind that does not exist', '1,5,100,200;'],
    ['a length of zero', '1,1,200,0;'],
    ['a length of more than 31 days', '1,1,200,2678401;'],
    ['a start beyond what can be counted', '1,1,2292288895,100;2,1,2000000001,100;'],
    ['a test number of zero', '0,1,100,200;'],
    ['too many slots', '1,1,100,200;'.repeat(Limit.PlanSlots + 1)],
  ])('with %s is refused and changes nothing', (_name, slots) => {
    const b = new Bench().planned(TestKind.Brief);
    const before = [...b.s.slots.slice(0, 8), b.s.slotCount, b.s.planRevision];
    expect(takePlan(b.s, { v: 1, revision: 2, until: START, slots }, 1, 0)).toBe(false);
    expect([...b.s.slots.slice(0, 8), b.s.slotCount, b.s.planRevision]).toEqual(before);
  });

  it('gives for every slot how long after the one before it begins, and how long it is', () => {
    const b = new Bench();
    const slots = '1,1,5000,2678400;1,1,0,60;2,2,1000,1;';
    expect(takePlan(b.s, { v: 1, revision: 1, until: START, slots }, 1, 0)).toBe(true);
    expect(b.s.slotCount).toBe(3);
    expect([0, 1, 2].map((i) => [testOf(b.s, i), kindOf(b.s, i)])).toEqual([
      [1, 1],
      [1, 1],
      [2, 2],
    ]);
    expect([...b.s.slots].filter((_, i) => i < 9 && i % 3 > 0)).toEqual([
      5000, 2683400, 5000, 5060, 6000, 6001,
    ]);
  });

  it('ignores what was over before it arrived', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    b.plan([
      [1, TestKind.Brief, START + 1000, START + 8000],
      [2, TestKind.Brief, WINDOW.from, WINDOW.to],
    ]);
    b.run(IN_WINDOW + 300_000);
    expect(b.of('overdue')).toHaveLength(0);
    expect(b.result().test).toBe(2);
  });

  it('reports a test overdue once, when its last slot has passed without a result', () => {
    const retry = [1, TestKind.Brief, WINDOW.from + 86_400, WINDOW.to + 86_400];
    const b = new Bench().plan([BRIEF_SLOT, retry]);
    b.stop = 1;
    b.run(IN_WINDOW + 20_000_000);
    expect(b.of('overdue')).toHaveLength(0);
    b.run(IN_WINDOW + 3 * DAY_MS);
    expect(b.of('overdue').map((r) => [r.arg, r.type, r.plan])).toEqual([[1, Brief, 1]]);
    expect(b.s.overdue).toBe(1);
    b.run(IN_WINDOW + 9 * DAY_MS);
    expect(b.of('overdue')).toHaveLength(1);
  });

  it('reports many missed tests without a long queue of records', () => {
    const b = new Bench({}, false);
    // Found in flash, with the clock unset: nothing is known to be over yet.
    b.plan(
      Array.from({ length: 60 }, (_, i) => [i + 1, TestKind.Brief, START + i * 100, START + i * 100 + 50]),
    );
    b.run(10_000);
    takeTime(b.s, (START + 86_400) * 1000, b.now, b.now);
    b.run(60_000);
    expect(b.of('overdue').map((r) => r.arg)).toEqual(Array.from({ length: 60 }, (_, i) => i + 1));
    expect(b.broken).toEqual([]);
  });

  it('tries a void test again in the next slot', () => {
    const retry = [1, TestKind.Brief, WINDOW.from + 2 * 86_400, WINDOW.to + 2 * 86_400];
    const b = new Bench().plan([BRIEF_SLOT, retry]).runToDischarge();
    b.mains = 0;
    b.run(b.now + 60_000);
    b.mains = 1;
    b.run(IN_WINDOW + 2 * DAY_MS + 300_000);
    expect(b.of('result').map((r) => r.end)).toEqual([Reason.Outage, Reason.Complete]);
  });

  it('counts a test with failed lamps as done: the defect is a separate matter', () => {
    const retry = [1, TestKind.Brief, WINDOW.from + 86_400, WINDOW.to + 86_400];
    const b = new Bench().plan([BRIEF_SLOT, retry]);
    b.lamps[0] = lampOf(0, 0);
    b.run(IN_WINDOW + 2 * DAY_MS);
    expect(b.of('result')).toHaveLength(1);
  });

  it('may hold two slots that begin in the same second', () => {
    const b = new Bench().plan([
      [1, Brief, WINDOW.from, WINDOW.to],
      [2, Brief, WINDOW.from, WINDOW.to],
    ]);
    expect(b.s.slotCount).toBe(2);
  });

  it("does not let a slot shorter than the clock's error hold up the next", () => {
    const b = new Bench().plan([
      [1, Brief, WINDOW.from, WINDOW.from + 1],
      [2, Brief, WINDOW.from, WINDOW.to],
    ]);
    const entered = WINDOW.from + errorAt(b, WINDOW.from);
    expect(kind(b, entered - 1)).toBe(None);
    expect(due(b, entered)).toMatchObject({ test: 2, slot: 1, plan: 1, endUtc: WINDOW.to });
  });

  it('asks nothing of a circuit that is not commissioned', () => {
    const b = new Bench(null).planned(Brief);
    expect(kind(b, WINDOW.from + 60)).toBe(None);
  });

  it('counts a test as done only by its own number and kind', () => {
    const rows = [1, 2].map((test) => [test, Brief, WINDOW.from, WINDOW.to]);
    const b = new Bench().plan(rows);
    satisfied(b.s, 1, 1, Full, WINDOW.from);
    expect(due(b, WINDOW.from + 60).test).toBe(1);
    satisfied(b.s, 1, 1, Brief, WINDOW.from);
    expect(due(b, WINDOW.from + 60).test).toBe(2);
  });

  it('is not affected by a test of an earlier plan with the same number', () => {
    const b = new Bench().plan([[1, Brief, WINDOW.from, WINDOW.to]], START + 300 * NIGHT, 2);
    satisfied(b.s, 1, 1, Brief, WINDOW.from);
    expect(due(b, WINDOW.from + 60)).toMatchObject({ kind: Brief, plan: 2 });
  });
});

describe('the fallback schedule', () => {
  it('takes over when the plan has run out, first the full test and then brief ones', () => {
    const b = new Bench().plan([], START + 3600);
    b.run(40 * DAY_MS);
    const types = b.of('result').map((r) => [r.plan, r.type, r.end]);
    expect(types).toEqual([
      [0, TestKind.Full, Reason.Complete],
      [0, TestKind.Brief, Reason.Complete],
    ]);
    expect(b.broken).toEqual([]);
  });

  it('goes on with brief tests where its window cannot hold the long one, whether or not there ever was one', () => {
    const rated = new Bench().s.set.ratedSec;
    const b = new Bench({ fallbackSec: rated, fullDays: 1200 }).plan([], START + 3600);
    b.run(100 * DAY_MS);
    expect(b.of('result').map(({ type, end }) => [type, end])).toEqual(
      Array.from({ length: 4 }, () => [TestKind.Brief, Reason.Complete]),
    );
  });

  it('runs only limited tests where the building is never empty, and counts a full one as the longer of them', () => {
    const b = new Bench({ limited: 1, fullDays: 60 }).plan([], START + 3600);
    b.run(100 * DAY_MS);
    const types = b.of('result').map((r) => r.type);
    expect(types).toEqual([TestKind.Limited, TestKind.Brief, TestKind.Limited, TestKind.Brief]);
    satisfied(b.s, 0, 0, TestKind.Full, 2_000_000_000);
    expect(b.s.lastLongUtc).toBe(2_000_000_000);
  });

  it('tests for a whole year without a host, never more than a cycle late', () => {
    const b = new Bench({ cycle: 4, residue: 1 });
    b.run(370 * DAY_MS);
    const at = b.of('result').map((r) => r.started);
    for (let i = 1; i < at.length; i++) expect(at[i] - at[i - 1]).toBeLessThanOrEqual((30 + 5) * 86_400);
    expect(b.of('result').filter((r) => r.type === TestKind.Full).length).toBe(1);
    expect(b.of('result').length).toBeGreaterThanOrEqual(11);
    for (const utc of at) expect((Math.floor((utc - 43_200) / 86_400) - 1) % 4).toBe(0);
    expect(b.of('overdue')).toHaveLength(0);
  });

  it('reports, once, when even it cannot get its tests done', () => {
    const b = new Bench().plan([], START + 3600).run(3 * DAY_MS);
    expect(b.of('result')).toHaveLength(1);
    b.stop = 1;
    b.run(60 * DAY_MS);
    expect(b.of('overdue').map((r) => [r.arg, r.type])).toEqual([[0, Brief]]);
  });

  it('reports it too where there was never a plan or a test', () => {
    const b = new Bench().change({ stop: 1 }).run(31 * DAY_MS);
    expect(b.of('overdue')).toHaveLength(0);
    b.run(60 * DAY_MS);
    expect(b.of('overdue').map((r) => r.arg)).toEqual([0]);
  });

  it('does not run while a plan is still valid, whatever the plan says', () => {
    const b = new Bench().plan([], START + 20 * 86_400).run(19 * DAY_MS);
    expect(b.of('result')).toHaveLength(0);
    b.run(23 * DAY_MS);
    expect(b.of('result')).toHaveLength(1);
  });

  it("has its window entered late by the clock's error and left in the second of its end", () => {
    const b = fallback();
    const entered = WINDOW.from + errorAt(b, WINDOW.from);
    expect([kind(b, entered - 1), kind(b, entered)]).toEqual([None, Full]);
    expect([kind(b, WINDOW.to - 1), kind(b, WINDOW.to)]).toEqual([Full, None]);
    expect(due(b, entered)).toMatchObject({ plan: 0, slot: -1, endUtc: WINDOW.to });
  });

  it('keeps to its window when that begins before midnight', () => {
    const b = fallback({ fallbackFrom: 82_800, fallbackSec: 7200 });
    const from = START + 82_800;
    expect([kind(b, from), kind(b, from + 60), kind(b, from + 7199), kind(b, from + 7200)]).toEqual([
      None,
      Full,
      Full,
      None,
    ]);
  });

  it('wants the long test in the second in which the last is as old as its interval', () => {
    const b = fallback({ fullDays: 300 });
    const utc = WINDOW.from + 60;
    b.s.lastBriefUtc = utc;
    b.s.lastLongUtc = utc - 300 * NIGHT;
    expect(kind(b, utc)).toBe(Full);
    b.s.lastLongUtc++;
    expect(kind(b, utc)).toBe(None);
  });

  it('wants the brief test in the second in which the last is as old as its interval, and nothing otherwise', () => {
    const b = fallback();
    const utc = WINDOW.from + 60;
    b.s.lastLongUtc = utc;
    b.s.lastBriefUtc = utc - 30 * NIGHT;
    expect(due(b, utc)).toMatchObject({ kind: Brief, test: nightOf(b.s, utc) });
    b.s.lastBriefUtc++;
    expect(due(b, utc)).toMatchObject({ kind: None, plan: 0, test: 0 });
  });

  it('wants a test when the last one is in the future because of a wrong clock, but not in its very second', () => {
    const b = fallback();
    const utc = WINDOW.from + 60;
    b.s.lastBriefUtc = b.s.lastLongUtc = utc;
    expect(kind(b, utc)).toBe(None);
    b.s.lastBriefUtc++;
    expect(kind(b, utc)).toBe(Brief);
    b.s.lastLongUtc++;
    expect(kind(b, utc)).toBe(Full);
  });

  it('is overdue by the end of the plan when the last test is in the future', () => {
    const age = (30 + 2) * NIGHT;
    const now = START + 3600 + age + 1;
    for (const [last, overdue] of [
      [now, 0],
      [now + 1, 1],
    ]) {
      const b = new Bench().plan([], START + 3600);
      b.s.lastBriefUtc = last;
      dueNow(b.s, msOf(now));
      expect(b.s.overdue).toBe(overdue);
    }
  });

  it('asks for the second in which its window opens, and after that only for an hour later', () => {
    const b = fallback();
    b.s.lastLongUtc = b.s.lastBriefUtc = START;
    const entered = WINDOW.from + errorAt(b, WINDOW.from);
    for (const [utc, wake] of [
      [entered - 1, entered],
      [entered, entered + 3600],
    ]) {
      b.s.wakeAt = Number.POSITIVE_INFINITY;
      dueNow(b.s, msOf(utc));
      expect(b.s.wakeAt).toBe(msOf(wake));
    }
  });

  it('is overdue two cycles past the interval, counted from the end of the plan or the last test', () => {
    const age = (30 + 2) * NIGHT;
    for (const [until, last] of [
      [START + 3600, START - 100 * NIGHT],
      [START - 100 * NIGHT, START + 3600],
    ]) {
      const b = new Bench().plan([], until);
      b.s.lastBriefUtc = last;
      dueNow(b.s, msOf(START + 3600 + age));
      expect([b.s.overdue, b.s.outCount]).toEqual([0, 0]);
      dueNow(b.s, msOf(START + 3600 + age + 1));
      expect([b.s.overdue, b.s.outCount, b.s.fallbackTold]).toEqual([1, 1, 1]);
    }
  });

  it('cannot know without a clock which test is overdue, but records every week that none is made', () => {
    const b = new Bench({}, false);
    expect(dueNow(b.s, 60 * DAY_MS).kind).toBe(None);
    expect([b.s.overdue, b.s.outCount]).toEqual([0, 0]);
    b.run(DAY_MS - 1000);
    expect(b.kinds()).toEqual(['start']);
    expect(b.s.waiting).toBe(Reason.ClockUntrusted);
    b.run(16 * DAY_MS);
    expect(b.of('overdue').map((r) => [r.utc, r.reason, r.arg, r.type])).toEqual(
      [0, 1, 2].map(() => [0, Reason.ClockUntrusted, 0, None]),
    );
    expect(clockTrust(b.s, b.now)).toBe(ClockTrust.NeverSet);
    expect(b.s.reason).toBe(Reason.None);
    takeTime(b.s, START * 1000 + b.now, b.now, b.now);
    b.run(b.now + 1000);
    expect(b.s.waiting).toBe(Reason.None);
  });
});

it("finds the open window for an order exactly inside the slots, later by the clock's error", () => {
  fc.assert(
    fc.property(fc.integer({ min: -20, max: 18_020 }), (offset) => {
      const b = new Bench().planned(TestKind.Brief);
      const now = (WINDOW.from - START + offset) * 1000;
      const error = 2 + Math.floor((now * Limit.DriftPpm) / 1e9);
      const inside = offset >= error && offset < WINDOW.to - WINDOW.from;
      expect(openWindowEnd(b.s, now)).toBe(inside ? WINDOW.to : 0);
    }),
  );
});

describe('a slot that is used up', () => {
  it('leaves the fallback schedule its own attempt, even if the test has the number of that night', () => {
    const night = nightOf(new Bench().s, WINDOW.from);
    const b = new Bench().plan([[night, Brief, WINDOW.from, WINDOW.from + 600]], WINDOW.from + 600);
    b.s.slot = due(b, WINDOW.from + 60).slot;
    b.s.test = night;
    spendSlot(b.s);
    expect(kind(b, WINDOW.from + 61)).toBe(None);
    expect(due(b, WINDOW.from + 600)).toMatchObject({ kind: Full, plan: 0, test: night, slot: -1 });
  });

  it('does not give back the fallback schedule its one attempt a night when the test was ordered', () => {
    const b = new Bench().plan([], START + 3600);
    b.s.fallbackNight = nightOf(b.s, WINDOW.from);
    b.s.slot = -1;
    b.s.test = 0;
    spendSlot(b.s);
    expect(kind(b, WINDOW.from + 60)).toBe(None);
  });

  it('cannot be one whose test was done, which would then be reported overdue', () => {
    const b = new Bench().planned(Brief);
    b.s.slot = 0;
    satisfied(b.s, 1, 1, Brief, WINDOW.from);
    spendSlot(b.s);
    expect(told(b, WINDOW.to + 1)).toEqual([]);
  });
});

describe('a missed test', () => {
  it('is reported in the second after the end of its last slot, not before', () => {
    const b = new Bench().plan([
      [1, Brief, WINDOW.from, WINDOW.to],
      [1, Brief, WINDOW.from + NIGHT, WINDOW.to + NIGHT],
    ]);
    spendSlotAt(b.s, 1, 1, WINDOW.from);
    expect(told(b, WINDOW.to + NIGHT)).toEqual([]);
    expect(told(b, WINDOW.to + NIGHT + 1)).toEqual([1]);
  });

  it('is reported even if another test still has a slot', () => {
    const b = new Bench().plan([
      [1, Brief, WINDOW.from, WINDOW.to],
      [2, Brief, WINDOW.from + NIGHT, WINDOW.to + NIGHT],
    ]);
    expect(told(b, WINDOW.to + 1)).toEqual([1]);
    expect(told(b, WINDOW.to + 2)).toEqual([]);
    expect(b.s.overdue).toBe(1);
  });

  it('waits for the clock: without one nothing is known to have passed', () => {
    const b = new Bench({}, false).planned(Brief);
    spendSlotAt(b.s, 1, 1, WINDOW.from);
    tellOverdue(b.s, 10_000);
    b.perform();
    expect(b.of('overdue')).toHaveLength(0);
    takeTime(b.s, START * 1000 + 10_000, 10_000, 10_000);
    expect(told(b, START + 11)).toEqual([1]);
  });

  it('asks for the next turn of the loop, since there may be others', () => {
    const b = new Bench().planned(Brief);
    const now = msOf(WINDOW.to + 1);
    b.s.wakeAt = now + 3_600_000;
    tellOverdue(b.s, now);
    expect(b.s.wakeAt).toBe(now + Limit.LoopMs);
  });
});

/** A circuit whose plan ran out long ago, an hour east: its noon is at 11:00 UTC. */
function fallback(settings: Partial<SettingsMessage> = {}): Bench {
  return new Bench({ noon: 39_600, ...settings }).plan([], START + 3600);
}

describe('the window for a test by order', () => {
  it('is that of the fallback schedule once the plan has run out, whether or not that has had its attempt', () => {
    const b = fallback();
    b.s.fallbackNight = nightOf(b.s, WINDOW.from);
    const entered = WINDOW.from + errorAt(b, WINDOW.from);
    const ends = [entered - 1, entered, WINDOW.to - 1, WINDOW.to].map((utc) => openWindowEnd(b.s, msOf(utc)));
    expect(ends).toEqual([0, WINDOW.to, WINDOW.to, 0]);
  });

  it('is only that of the plan while the plan is valid', () => {
    expect(openWindowEnd(new Bench().plan([]).s, IN_WINDOW)).toBe(0);
  });

  it('is that of any slot, from the second in which the clock is sure of it to its end', () => {
    const second = [WINDOW.from + NIGHT + 1800, WINDOW.to + NIGHT];
    const b = new Bench().plan([
      [1, Brief, WINDOW.from, WINDOW.to],
      [2, Full, second[0], second[1]],
    ]);
    const entered = second[0] + errorAt(b, second[0]);
    const ends = [WINDOW.to - 1, WINDOW.to, entered - 1, entered, second[1] - 1, second[1]].map((utc) =>
      openWindowEnd(b.s, msOf(utc)),
    );
    expect(ends).toEqual([WINDOW.to, 0, 0, second[1], second[1], 0]);
  });
});
