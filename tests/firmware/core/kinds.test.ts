// The longer kinds of test besides the full one, windows without a test, and the walk-round.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { mayOpen } from '../../../firmware/core/permission';
import { newSettings, requiredSec, takeSettings } from '../../../firmware/core/settings';
import { runs } from '../../support/depth';
import { Bench, DAY_MS, IN_WINDOW, lampOf, order, PASS, SETTINGS, START, WINDOW } from './bench';

/** Rated 1 h, 1 h, 30 min, 50 min. */
const MIXED = '0,200,0,3600;1,200,300,3600;2,200,300,1800;3,200,0,3000;';
const MIXED_LIMITS = { lamps: MIXED, briefSec: 120 };

const verdicts = (b: Bench): number[][] => b.result().lamps.map(([verdict, why]) => [verdict, why]);
const litSec = (b: Bench): number[] => b.result().lamps.map((lamp) => lamp[2]);

describe('a limited test', () => {
  // IEC 62034:2012, 6.3.3.4 (title); 2/3 our reading of ANSI news of 2006.
  it('discharges two thirds of the longest rated duration and requires each lamp to last two thirds of its own', () => {
    const b = new Bench(MIXED_LIMITS).planned(TestKind.Limited);
    b.runToDischarge();
    expect(b.s.phase).toBe(Phase.Full);
    b.run(IN_WINDOW + 2_500_000);
    expect(verdicts(b)).toEqual([PASS, PASS, PASS, PASS]);
    expect(litSec(b)).toEqual([2400, 2400, 1200, 2000]);
    const r = b.result();
    expect([r.type, r.end, r.seconds]).toEqual([TestKind.Limited, Reason.Complete, 2400]);
    expect(r.curves).toHaveLength(4);
    expect(b.broken).toEqual([]);
  });

  it('rounds a third of a second up, never down', () => {
    const set = newSettings();
    for (const rated of [900, 901, 902, 10_799])
      expect(requiredSec(set, TestKind.Limited, rated) * 3).toBeGreaterThanOrEqual(rated * 2);
    expect(requiredSec(set, TestKind.Limited, 901)).toBe(601);
  });

  it('fails a lamp that dies before two thirds of its rated duration, however late', () => {
    const b = new Bench().planned(TestKind.Limited);
    b.lamps[0] = lampOf(0, 2_390_000);
    b.run(IN_WINDOW + 2_500_000);
    expect(verdicts(b)[0]).toEqual([Verdict.Fail, Reason.EndedEarly]);
    expect(verdicts(b).slice(1)).toEqual([PASS, PASS, PASS]);
  });

  it('needs the charge of a full test before it and owes a full recharge after it', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW + 3_900_000);
    expect(mayOpen(b.s, TestKind.Brief, WINDOW.to, b.now)).toBe(Reason.None);
    expect(mayOpen(b.s, TestKind.Limited, WINDOW.to, b.now)).toBe(Reason.StillRecharging);
    const after = new Bench().planned(TestKind.Limited).run(IN_WINDOW + 2_500_000);
    expect(after.s.autonomyAt - after.drives[1].at).toBe(86_400_000 + 250);
  });

  it('never counts as a full test: the schedule still wants one, but no brief one', () => {
    const b = new Bench().planned(TestKind.Limited).run(IN_WINDOW + 2_500_000);
    expect(b.s.lastLongUtc).toBe(0);
    expect(b.s.lastBriefUtc).toBeGreaterThan(0);
  });

  it('does not satisfy a slot of the same number that asks for a full test', () => {
    const night = 86_400;
    const b = new Bench().plan([
      [1, TestKind.Limited, WINDOW.from, WINDOW.to],
      [1, TestKind.Full, WINDOW.from + 2 * night, WINDOW.to + 2 * night],
    ]);
    b.run(IN_WINDOW + 3 * DAY_MS);
    expect(b.of('result').map((r) => r.type)).toEqual([TestKind.Limited, TestKind.Full]);
  });
});

describe('a commissioning test', () => {
  // AS 2293.1 (drawing of 2.2): at least 16 h of charge, 1.33 times the rated duration.
  const COMMISSION = { firstChargeSec: 57_600, commissionSec: 4800 };

  it('begins after the first charge, although a full recharge would take longer', () => {
    const b = new Bench(COMMISSION).plan([[1, TestKind.Commissioning, START + 50_000, START + 80_000]]);
    b.run(57_590_000);
    expect([b.drives.length, b.s.waiting]).toEqual([0, Reason.StillRecharging]);
    b.run(57_700_000);
    expect(b.drives[0].at).toBeGreaterThanOrEqual(57_600_000);
    b.run(63_000_000);
    expect([b.result().end, b.result().seconds]).toEqual([Reason.Complete, 4800]);
    expect(litSec(b)).toEqual([4800, 4800, 4800, 4800]);
    expect(b.s.autonomyAt - b.drives[1].at).toBe(86_400_000 + 250);
    expect(b.broken).toEqual([]);
  });

  it('restarts its charge time after any break of the supply', () => {
    const b = new Bench(COMMISSION).plan([[1, TestKind.Commissioning, START + 50_000, START + 120_000]]);
    b.at(50_000_000, { mains: 0 }).at(50_005_000, { mains: 1 });
    b.run(50_005_000 + 57_590_000);
    expect(b.drives).toEqual([]);
    b.run(50_005_000 + 57_700_000);
    expect(b.drives).toHaveLength(1);
  });

  it('requires the same share of its own rated duration from each lamp', () => {
    const b = new Bench({ ...COMMISSION, lamps: MIXED }).planned(TestKind.Commissioning);
    b.lamps[2] = lampOf(2, 2_395_000);
    b.run(IN_WINDOW + 5_000_000);
    expect(litSec(b).slice(0, 2)).toEqual([4800, 4800]);
    expect(verdicts(b)[2]).toEqual([Verdict.Fail, Reason.EndedEarly]);
    expect(litSec(b)[3]).toBe(4000);
  });

  it('is refused where the settings have none, by plan and by order', () => {
    const b = new Bench().planned(TestKind.Commissioning).run(IN_WINDOW + 60_000);
    expect([b.drives.length, b.s.waiting]).toEqual([0, Reason.NotCommissioned]);
    expect(order(b, OrderKind.Test, TestKind.Commissioning)).toBe(Reason.NotCommissioned);
  });

  it('may be started by order', () => {
    const b = new Bench(COMMISSION).plan([[9, TestKind.None, WINDOW.from, WINDOW.to]]).run(IN_WINDOW);
    expect(order(b, OrderKind.Test, TestKind.Commissioning)).toBe(Reason.None);
    b.run(b.now + 5_000_000);
    expect([b.result().type, b.result().end]).toEqual([TestKind.Commissioning, Reason.Complete]);
  });

  it.each([
    ['an hour of first charge at least', { firstChargeSec: 3599 }],
    ['a first charge that is a text', { firstChargeSec: '57600' }],
    ['a test shorter than rated', { commissionSec: 3599 }],
    ['a test beyond the compiled-in cap', { commissionSec: Limit.OpenCapSec - Limit.OpenGraceSec + 1 }],
  ])('is not accepted with %s', (_name, change) => {
    const m = { ...SETTINGS, ...change } as typeof SETTINGS;
    expect(takeSettings(newSettings(), m)).toBe(false);
  });

  it('is not wanted, and the first charge is a recharge, where the message leaves it out or says zero', () => {
    for (const silent of [{}, { firstChargeSec: 0, commissionSec: 0 }]) {
      const set = newSettings();
      expect(takeSettings(set, { ...SETTINGS, rechargeSec: 50_000, ...silent })).toBe(true);
      expect([set.firstChargeSec, set.commissionSec]).toEqual([50_000, 0]);
    }
  });
});

describe('a window without a test', () => {
  const ATTENDED = [5, TestKind.None, WINDOW.from, WINDOW.to];

  it('starts nothing itself and is never overdue', () => {
    const b = new Bench().plan([ATTENDED]).run(IN_WINDOW + 3 * DAY_MS);
    expect(b.kinds()).toEqual(['start']);
    expect(b.s.overdue).toBe(0);
  });

  it('permits a test by order inside it, and only there', () => {
    const b = new Bench().plan([ATTENDED]).run((WINDOW.from - START) * 1000);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.OutsideWindow);
    b.run(IN_WINDOW);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.None);
    b.run(b.now + 300_000);
    expect([b.result().test, b.result().end]).toEqual([0, Reason.Complete]);
    b.run((WINDOW.to - START) * 1000 + DAY_MS / 2);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.OutsideWindow);
  });

  it("does not permit one on a neighbour's night", () => {
    const night = Math.floor((WINDOW.from - 43_200) / 86_400);
    const b = new Bench({ cycle: 2, residue: (night + 1) % 2 }).plan([ATTENDED]).run(IN_WINDOW);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.NotOwnNight);
  });

  it('does not keep the tests planned after it from starting', () => {
    const later = [1, TestKind.Brief, WINDOW.from + 3600, WINDOW.to];
    const b = new Bench().plan([ATTENDED, later]).run(IN_WINDOW + 4_000_000);
    expect([b.result().test, b.result().end]).toEqual([1, Reason.Complete]);
  });
});

describe('a walk-round', () => {
  it('extends a running brief test, up to a quarter of the shortest rated duration', () => {
    // CIE 193:2010: at most a quarter of rated duration; here of 30 min.
    const b = new Bench(MIXED_LIMITS).planned(TestKind.Brief).runToDischarge();
    expect(order(b, OrderKind.Extend, 331)).toBe(Reason.OutOfBounds);
    expect(order(b, OrderKind.Extend, 200)).toBe(Reason.None);
    expect(order(b, OrderKind.Extend, 130)).toBe(Reason.None);
    expect(order(b, OrderKind.Extend, 1)).toBe(Reason.OutOfBounds);
    b.run(b.now + 600_000);
    expect([b.result().seconds, b.result().end]).toEqual([450, Reason.Complete]);
    expect(verdicts(b)).toEqual([PASS, PASS, PASS, PASS]);
    expect(b.broken).toEqual([]);
  });

  it('owes a full recharge afterwards: the batteries gave more than a brief test takes', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    order(b, OrderKind.Extend, 60);
    b.run(b.now + 600_000);
    expect(b.s.autonomyAt - b.drives[1].at).toBe(86_400_000 + 250);
  });

  it('is refused for any other test and when none is discharging', () => {
    const b = new Bench().planned(TestKind.Full).run(IN_WINDOW - 90_000);
    expect(order(b, OrderKind.Extend, 60)).toBe(Reason.NothingToDo);
    b.runToDischarge();
    expect(order(b, OrderKind.Extend, 60)).toBe(Reason.NothingToDo);
    expect(b.s.limitMs).toBe(3_600_000);
  });

  it('is refused for invalid lengths', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    for (const bad of [0, -60, Number.NaN, Number.POSITIVE_INFINITY])
      expect(order(b, OrderKind.Extend, bad)).toBe(Reason.OutOfBounds);
    expect(b.s.limitMs).toBe(120_000);
  });

  it('never lasts past the end of the window, by the slowest clock', () => {
    fc.assert(
      fc.property(fc.integer({ min: 230, max: 1200 }), fc.integer({ min: 1, max: 900 }), (room, seconds) => {
        const b = new Bench().plan([[1, TestKind.Brief, WINDOW.from, WINDOW.from + room]]).runToDischarge();
        const accepted = order(b, OrderKind.Extend, seconds) === Reason.None;
        b.run(b.now + 1_200_000);
        const error = 2 + Math.floor((b.drives[1].at * Limit.DriftPpm) / 1e9);
        const latest = START + b.drives[1].at / 1000 + Limit.OpenGraceSec + error;
        expect(latest).toBeLessThanOrEqual(WINDOW.from + room + 1);
        expect(b.result().seconds).toBe(accepted ? 120 + seconds : 120);
      }),
      { numRuns: runs(60) },
    );
  });
});
