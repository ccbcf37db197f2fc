import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { takeTime } from '../../../firmware/core/clock';
import { openWindowEnd, satisfied, takePlan } from '../../../firmware/core/schedule';
import { Bench, DAY_MS, IN_WINDOW, lampOf, START, WINDOW } from './bench';

const BRIEF_SLOT = [1, TestKind.Brief, WINDOW.from, WINDOW.to];

describe('a plan', () => {
  it('is entered late by the possible error of the clock', () => {
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
    ['a length of nought', '1,1,200,0;'],
    ['a length of more than 31 days', '1,1,200,2678401;'],
    ['a start beyond what can be counted', '1,1,2292288895,100;2,1,2000000001,100;'],
    ['a test number of nought', '0,1,100,200;'],
    ['too many slots', '1,1,100,200;'.repeat(Limit.PlanSlots + 1)],
  ])('with %s is refused and changes nothing', (_name, slots) => {
    const b = new Bench().planned(TestKind.Brief);
    const before = [...b.s.slots.slice(0, 8), b.s.slotCount, b.s.planRevision];
    expect(takePlan(b.s, { v: 1, revision: 2, until: START, slots }, 1, 0)).toBe(false);
    expect([...b.s.slots.slice(0, 8), b.s.slotCount, b.s.planRevision]).toEqual(before);
  });

  it('tells of every slot how long after the one before it begins, and how long it is', () => {
    const b = new Bench();
    const slots = '1,1,5000,2678400;1,1,0,60;2,2,1000,1;';
    expect(takePlan(b.s, { v: 1, revision: 1, until: START, slots }, 1, 0)).toBe(true);
    expect(b.s.slotCount).toBe(3);
    expect([...b.s.slots.slice(0, 12)]).toEqual([1, 1, 5000, 2683400, 1, 1, 5000, 5060, 2, 2, 6000, 6001]);
  });

  it('leaves alone what was over before it arrived', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    b.plan([
      [1, TestKind.Brief, START + 1000, START + 8000],
      [2, TestKind.Brief, WINDOW.from, WINDOW.to],
    ]);
    b.run(IN_WINDOW + 300_000);
    expect(b.of('overdue')).toHaveLength(0);
    expect(b.result().test).toBe(2);
  });

  it('tells a test overdue once, when its last slot has passed without a result', () => {
    const retry = [1, TestKind.Brief, WINDOW.from + 86_400, WINDOW.to + 86_400];
    const b = new Bench().plan([BRIEF_SLOT, retry]);
    b.stop = 1;
    b.run(IN_WINDOW + 20_000_000);
    expect(b.of('overdue')).toHaveLength(0);
    b.run(IN_WINDOW + 3 * DAY_MS);
    expect(b.of('overdue').map((r) => [r.arg, r.plan])).toEqual([[1, 1]]);
    expect(b.s.overdue).toBe(1);
    b.run(IN_WINDOW + 9 * DAY_MS);
    expect(b.of('overdue')).toHaveLength(1);
  });

  it('tells many missed tests without a long queue of records', () => {
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

  it('counts a test with failed lamps as done: the defect is another matter', () => {
    const retry = [1, TestKind.Brief, WINDOW.from + 86_400, WINDOW.to + 86_400];
    const b = new Bench().plan([BRIEF_SLOT, retry]);
    b.lamps[0] = lampOf(0, 0);
    b.run(IN_WINDOW + 2 * DAY_MS);
    expect(b.of('result')).toHaveLength(1);
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

  it('keeps to limited tests where people are always there, and counts a full one as the longer of them', () => {
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

  it('says so, once, when even it cannot get its tests done', () => {
    const b = new Bench().plan([], START + 3600).run(3 * DAY_MS);
    expect(b.of('result')).toHaveLength(1);
    b.stop = 1;
    b.run(60 * DAY_MS);
    expect(b.of('overdue').map((r) => r.arg)).toEqual([0]);
  });

  it('says so too where there never was a plan nor a test', () => {
    const b = new Bench().change({ stop: 1 }).run(31 * DAY_MS);
    expect(b.of('overdue')).toHaveLength(0);
    b.run(60 * DAY_MS);
    expect(b.of('overdue').map((r) => r.arg)).toEqual([0]);
  });

  it('does not run while a plan still speaks, whatever it says', () => {
    const b = new Bench().plan([], START + 20 * 86_400).run(19 * DAY_MS);
    expect(b.of('result')).toHaveLength(0);
    b.run(23 * DAY_MS);
    expect(b.of('result')).toHaveLength(1);
  });
});

it('finds the open window of an order exactly inside the slots, later by the error of the clock', () => {
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
