// Own hours of a shared night (I7): a function test may be made in them if its recharge ends in them too, and
// nothing else may.
import { describe, expect, it } from 'vitest';
import { OrderKind, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { SettingsMessage } from '../../../firmware/contract/messages';
import { clockErrorSec } from '../../../firmware/core/clock';
import { mayOpen } from '../../../firmware/core/permission';
import { dueNow, openWindowEnd } from '../../../firmware/core/schedule';
import { takeAnswer, takeOrder } from '../../../firmware/core/step';
import { Bench, DAY_MS, START, WINDOW } from './bench';

const Brief = TestKind.Brief;
const Full = TestKind.Full;
const None = TestKind.None;
const DAY = 86_400;
/** The shared night that contains the standard window; the nights beside it are others'. */
const NIGHT = Math.floor((WINDOW.from - 43_200) / DAY);
const CYCLE = { cycle: 8, residue: (NIGHT + 4) % 8, sharedCycle: 8, sharedResidue: NIGHT % 8 };
/** Own hours from 02:00 to 04:00. */
const HOURS = { from: WINDOW.from + 3600, to: WINDOW.from + 10_800 };
const SHARED: Partial<SettingsMessage> = { ...CYCLE, hoursFrom: 7200, hoursSec: 7200 };
/** What a function test and its recharge take of them, s. */
const NEED = 120 + Limit.OpenGraceSec + 3600;

const msOf = (utc: number): number => (utc - START) * 1000;
const errorAt = (b: Bench, utc: number): number => clockErrorSec(b.s, msOf(utc));

/** A charged circuit, nothing due, at this second of its clock. */
function at(utc: number, settings: Partial<SettingsMessage> = {}): Bench {
  return new Bench({ ...SHARED, ...settings }).plan([]).run(msOf(utc));
}

function ask(utc: number, kind = Brief, settings: Partial<SettingsMessage> = {}): Reason {
  const b = at(utc, settings);
  return mayOpen(b.s, kind, WINDOW.to, b.now);
}

describe('own hours of a shared night', () => {
  const error = errorAt(at(HOURS.from), HOURS.from);

  it('permit a function test from their first second to the last that leaves room for its recharge', () => {
    const first = HOURS.from + error;
    const last = HOURS.to - NEED - error;
    expect([first - 1, first, last, last + 1].map((utc) => ask(utc))).toEqual([
      Reason.OutsideOwnHours,
      Reason.None,
      Reason.None,
      Reason.OutsideOwnHours,
    ]);
  });

  it('leave more room for a slower clock, a longer test and a longer recharge', () => {
    const last = HOURS.to - NEED - error;
    expect(ask(last - 1, Brief, { briefSec: 121 })).toBe(Reason.None);
    expect(ask(last, Brief, { briefSec: 121 })).toBe(Reason.OutsideOwnHours);
    expect(ask(last, Brief, { briefRechargeSec: 3601 })).toBe(Reason.OutsideOwnHours);
    const b = at(last);
    b.s.syncAt -= 10_000_000;
    expect(mayOpen(b.s, Brief, WINDOW.to, b.now)).toBe(Reason.OutsideOwnHours);
    // The same clock may be ahead: own hours begin later.
    const early = at(HOURS.from + error);
    early.s.syncAt -= 10_000_000;
    expect(mayOpen(early.s, Brief, WINDOW.to, early.now)).toBe(Reason.OutsideOwnHours);
  });

  it('permit nothing but a function test', () => {
    const kinds = [Full, TestKind.Limited, TestKind.Commissioning].map((kind) =>
      ask(HOURS.from + 60, kind, { hoursSec: 28_800, commissionSec: 4800 }),
    );
    expect(kinds).toEqual(new Array(3).fill(Reason.NotOwnNight));
  });

  it('still need a window that holds the test', () => {
    const b = at(HOURS.from + 60);
    expect(mayOpen(b.s, Brief, 0, b.now)).toBe(Reason.OutsideWindow);
    expect(mayOpen(b.s, Brief, HOURS.from + 239, b.now)).toBe(Reason.WindowTooShort);
  });

  it('do not exist on any other night, nor without shared nights in the settings', () => {
    const inside = HOURS.from + 60;
    for (const later of [1, 2, 3, 5, 7])
      expect(ask(inside, Brief, { sharedResidue: (NIGHT + later) % 8 })).toBe(Reason.NotOwnNight);
    expect(ask(inside, Brief, { sharedCycle: 0 })).toBe(Reason.NotOwnNight);
    expect(ask(inside, Brief, { sharedCycle: 400, sharedResidue: NIGHT % 400 })).toBe(Reason.None);
    expect(ask(inside, Brief, { sharedCycle: 400, sharedResidue: (NIGHT + 8) % 400 })).toBe(
      Reason.NotOwnNight,
    );
  });

  it('do not limit a night that is its own as well', () => {
    const own = { residue: NIGHT % 8 };
    for (const utc of [WINDOW.from + 60, HOURS.from + 60, HOURS.to])
      for (const kind of [Brief, Full]) expect(ask(utc, kind, own)).toBe(Reason.None);
  });

  it('may begin before midnight and end after it', () => {
    const settings = { hoursFrom: 82_800, hoursSec: 10_800 };
    const from = START + 82_800;
    const evening = (utc: number) => {
      const b = at(WINDOW.from, settings);
      b.s.autonomyAt = 0;
      return mayOpen(b.s, Brief, WINDOW.to, msOf(utc));
    };
    expect([from - 1, from + 60, START + DAY + 60, from + 10_800 - NEED].map(evening)).toEqual([
      Reason.OutsideOwnHours,
      Reason.None,
      Reason.None,
      Reason.OutsideOwnHours,
    ]);
  });
});

describe('a plan with slots on shared nights', () => {
  it('makes a function test in own hours although the slot begins earlier', () => {
    const b = new Bench(SHARED).planned(Brief).run(msOf(WINDOW.to));
    expect(b.result().end).toBe(Reason.Complete);
    expect(b.result().started).toBeGreaterThanOrEqual(HOURS.from);
    expect(b.result().started + 120 + 3600).toBeLessThanOrEqual(HOURS.to);
  });

  it.each([
    ['a slot before own hours', [1, Brief, WINDOW.from, HOURS.from]],
    ['a slot after own hours', [1, Brief, HOURS.to, WINDOW.to]],
    ['a slot that leaves no room for the recharge', [1, Brief, HOURS.to - 3700, HOURS.to]],
    ['a duration test', [1, Full, HOURS.from, WINDOW.to]],
  ])('makes no test of %s, and reports it overdue', (_name, row) => {
    const b = new Bench(SHARED).plan([row]).run(msOf(WINDOW.to + 60));
    expect(b.of('result')).toEqual([]);
    expect(b.of('overdue').map((r) => r.arg)).toEqual([1]);
  });
});

describe('the fallback schedule with shared nights', () => {
  /** Tests due in a night after the plan: kind, first and last second, and the window's end. */
  function dueIn(night: number, settings: Partial<SettingsMessage> = {}, longAgo = 0) {
    const b = new Bench({ ...SHARED, ...settings }).plan([], START);
    b.s.lastLongUtc = longAgo ? 1 : START;
    const noon = night * DAY + 43_200;
    const seen: { kind: TestKind; from: number; to: number; end: number }[] = [];
    for (let utc = noon; utc < noon + DAY; utc += 1) {
      const { kind, endUtc } = dueNow(b.s, msOf(utc));
      const last = seen[seen.length - 1];
      if (kind === None) continue;
      if (last?.to === utc - 1 && last.kind === kind) last.to = utc;
      else seen.push({ kind, from: utc, to: utc, end: endUtc });
    }
    return { seen, b };
  }

  it('makes function tests in own hours less the recharge, and not in the fallback window', () => {
    const { seen, b } = dueIn(NIGHT + 8);
    const later = 8 * DAY;
    const from = HOURS.from + later + errorAt(b, HOURS.from + later);
    const end = HOURS.to + later - 3600;
    expect(seen).toEqual([{ kind: Brief, from, to: end - 1, end }]);
  });

  it('makes a function test even where a duration test is due, which must wait for an own night', () => {
    expect(dueIn(NIGHT + 8, {}, 1).seen.map(({ kind }) => kind)).toEqual([Brief]);
    expect(dueIn(NIGHT + 12, {}, 1).seen.map(({ kind }) => kind)).toEqual([Full]);
    expect(dueIn(NIGHT + 9, {}, 1).seen).toEqual([]);
  });

  it('keeps to the fallback window in a night that is its own as well', () => {
    const { seen } = dueIn(NIGHT + 8, { residue: NIGHT % 8 });
    expect(seen.map(({ end }) => end)).toEqual([WINDOW.to + 8 * DAY]);
  });

  it('tests on shared nights and own nights for a year, always on its own time', () => {
    const b = new Bench({ ...SHARED, briefDays: 7 }).run(365 * DAY_MS);
    const results = b.of('result');
    expect(results.length).toBeGreaterThan(40);
    for (const { started, type } of results) {
      const night = Math.floor((started - 43_200) / DAY);
      if ((night - NIGHT - 4) % 8 === 0) continue;
      expect([(night - NIGHT) % 8, type]).toEqual([0, Brief]);
      const hours = night * DAY + 43_200 + (HOURS.from - 43_200 - NIGHT * DAY);
      expect(started).toBeGreaterThan(hours);
      expect(started + 120 + 3600).toBeLessThan(hours + 7200);
    }
    expect(b.of('overdue')).toEqual([]);
    expect(b.broken).toEqual([]);
  });

  it('is overdue two of the more frequent nights past the interval', () => {
    for (const [settings, nights] of [
      [{ cycle: 8, sharedCycle: 3, sharedResidue: 0 }, 30 + 6],
      [{ cycle: 8, sharedCycle: 20 }, 30 + 16],
      [{ cycle: 8, sharedCycle: 0 }, 30 + 16],
    ] as const) {
      const b = new Bench({ ...SHARED, ...settings }).plan([], START + 3600);
      dueNow(b.s, msOf(START + 3600 + nights * DAY));
      expect(b.s.overdue).toBe(0);
      dueNow(b.s, msOf(START + 3600 + nights * DAY + 1));
      expect(b.s.overdue).toBe(1);
    }
  });

  it('offers a window for orders in own hours', () => {
    const b = new Bench(SHARED).plan([], START);
    const end = HOURS.to - 3600;
    const from = HOURS.from + errorAt(b, HOURS.from);
    expect([from - 1, from, end - 1, end].map((utc) => openWindowEnd(b.s, msOf(utc)))).toEqual([
      0,
      end,
      end,
      0,
    ]);
  });
});

describe('an order in a shared night', () => {
  const ATTENDED = [5, None, WINDOW.from, WINDOW.to];
  const order = (b: Bench, what: OrderKind, arg: number): Reason => takeOrder(b.s, what, arg, b.now);

  it('starts a function test in own hours only, and no other', () => {
    const start = (utc: number, kind: TestKind) =>
      order(new Bench(SHARED).plan([ATTENDED]).run(msOf(utc)), OrderKind.Test, kind);
    expect(start(HOURS.from - 60, Brief)).toBe(Reason.OutsideOwnHours);
    expect(start(HOURS.from + 60, Full)).toBe(Reason.NotOwnNight);
    expect(start(HOURS.from + 60, Brief)).toBe(Reason.None);
    expect(start(HOURS.to - NEED, Brief)).toBe(Reason.OutsideOwnHours);
  });

  /** A walk-round of a test in own hours of this length. */
  function extended(hoursSec: number, seconds: number, settings: Partial<SettingsMessage> = {}): Reason {
    const b = new Bench({ ...SHARED, hoursFrom: 3600, hoursSec, ...settings })
      .planned(Brief)
      .runToDischarge();
    return order(b, OrderKind.Extend, seconds);
  }

  it('does not extend a test beyond own hours less the full recharge that it then owes', () => {
    expect(extended(7200, 60)).toBe(Reason.OutsideOwnHours);
    const recharge = { rechargeSec: 5400 };
    const b = new Bench({ ...SHARED, hoursFrom: 3600, ...recharge }).planned(Brief).runToDischarge();
    const from = Math.floor(b.s.t0 / 1000) + START - WINDOW.from;
    const least = from + 180 + Limit.OpenGraceSec + 5400 + errorAt(b, WINDOW.from);
    expect(extended(least, 60, recharge)).toBe(Reason.None);
    expect(extended(least - 1, 60, recharge)).toBe(Reason.OutsideOwnHours);
    expect(extended(7200, 60, { residue: NIGHT % 8 })).toBe(Reason.None);
  });
});

describe('a clock that jumps during a test in own hours', () => {
  /** How the test ended after the host has twice said that the clock is off. */
  function endAfter(jumpSec: number, settings: Partial<SettingsMessage> = {}): Reason {
    const b = new Bench({ ...SHARED, briefSec: 600, ...settings }).planned(Brief).run(msOf(HOURS.from));
    b.runTo(() => b.s.t0 > 0, b.now + 60_000);
    const answer = () => takeAnswer(b.s, START * 1000 + b.now + jumpSec * 1000, b.now, b.now);
    answer();
    b.run(b.now + Limit.ClockConfirmMs);
    answer();
    b.run(b.now + 1_200_000);
    return b.result().end;
  }

  it('ends it where by the new time it and its recharge are not inside them', () => {
    const room = 7200 - 600 - Limit.OpenGraceSec - 3600;
    expect(endAfter(room - 60)).toBe(Reason.Complete);
    expect(endAfter(room + 60)).toBe(Reason.OutsideOwnHours);
    expect(endAfter(-120)).toBe(Reason.OutsideOwnHours);
    expect(endAfter(-120, { residue: NIGHT % 8 })).toBe(Reason.Complete);
  });
});
