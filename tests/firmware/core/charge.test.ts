// The charge current after a test: EN 50172:2004 7.2 (charging arrangements, V2), Ontario Fire Code
// 2.7.3.3(4) (recovery period after the yearly test, V1), UNI CEI 11222 (charging truly present, V2). Shares
// and times of the checks are common practice, no source.
import { describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { curvePercent } from '../../../firmware/contract/curve';
import { Limit } from '../../../firmware/contract/limits';
import type { ChargeRecord } from '../../../firmware/contract/messages';
import { Bench, HOUR_MS, IN_WINDOW } from './bench';

const FITTED = { fitted: 16, chargeMilliamps: 400 };
const LOOK_MS = 86_400_000 / 36;

const charges = (b: Bench): ChargeRecord[] => b.of('charge') as unknown as ChargeRecord[];

/** Runs to the proven restore after a test of this kind; the sensor then reads `milliamps`. */
function restored(kind: TestKind, milliamps: number, settings: object = FITTED): Bench {
  const b = new Bench(settings).planned(kind).runToDischarge();
  b.s.in.charge = milliamps;
  return b.runTo(() => b.s.phase === Phase.Recharging, IN_WINDOW + 2 * HOUR_MS);
}

/** A day in steps from check to check; the current at each is `milliamps(look)`. */
function recharge(b: Bench, milliamps: (look: number) => number, looks = 37): Bench {
  const since = b.s.suppliedAt;
  b.run(since + 120_000);
  for (let i = 1; i <= looks; i++) {
    b.s.in.charge = milliamps(i);
    b.run(since + i * LOOK_MS + 60_000);
  }
  return b;
}

const FIRST_MS = 60_000;
const LATE_MS = 300_000;

/** The checks of `lookByLook` up to the last of `looks`; the current at each is `milliamps(look)`. */
function lookByLook(milliamps: (look: number) => number, looks: number = Limit.ChargeLooks): Bench {
  const b = restored(TestKind.Full, 400);
  const since = b.s.suppliedAt;
  b.run(since + 120_000);
  for (let i = 1; i <= looks; i++) {
    b.s.in.charge = milliamps(i);
    b.run(since + i * LOOK_MS + Limit.LoopMs);
  }
  return b;
}

describe('charging after a test', () => {
  it('that is missing is noticed 60 s after the supply is back, even after a brief test', () => {
    for (const [kind, milliamps] of [
      [TestKind.Brief, 7],
      [TestKind.Full, 119],
    ]) {
      const b = restored(kind, milliamps);
      b.run(b.s.suppliedAt + 59_000);
      expect(charges(b)).toEqual([]);
      b.run(b.s.suppliedAt + 62_000);
      const [record] = charges(b);
      expect([record.reason, record.arg, record.test, record.curve]).toEqual([
        Reason.NoCharge,
        milliamps,
        1,
        '',
      ]);
      b.run(b.s.suppliedAt + 30 * HOUR_MS);
      expect(charges(b)).toHaveLength(1);
    }
  });

  it('that is present after a brief test needs no record', () => {
    // A float of 2 % of the commissioned current is enough after so short a discharge.
    const b = restored(TestKind.Brief, 8);
    b.run(b.s.suppliedAt + 30 * HOUR_MS);
    expect(charges(b)).toEqual([]);
  });

  it('is followed after a full test until the recharge is over', () => {
    const b = recharge(restored(TestKind.Full, 400), (look) => (look < 10 ? 400 : look < 20 ? 190 : 60));
    const [record] = charges(b);
    expect(charges(b)).toHaveLength(1);
    expect([record.reason, record.arg, record.plan, record.test]).toEqual([Reason.None, 400, 1, 1]);
    expect([record.half, record.float, record.step]).toEqual([24_000, 48_000, 2400]);
    const percent = curvePercent(record.curve);
    expect(percent).toHaveLength(37);
    expect([percent[0], percent[9], percent[10], percent[36]]).toEqual([100, 100, 47.5, 15]);
    expect(b.broken).toEqual([]);
  });

  it('that has not fallen by the end is reported as slow', () => {
    const [record] = charges(recharge(restored(TestKind.Full, 400), (look) => (look < 30 ? 400 : 180)));
    expect([record.reason, record.half, record.float]).toEqual([Reason.SlowRecharge, 72_000, -1]);
  });

  it('that an outage interrupts is reported as far as it was seen', () => {
    const b = recharge(restored(TestKind.Full, 400), () => 400, 5);
    b.change({ mains: 0 }).run(b.now + 60_000);
    b.change({ mains: 1 }).run(b.now + 60_000);
    const [record] = charges(b);
    expect([record.reason, record.float, record.curve.length]).toEqual([Reason.None, -1, 6]);
    b.run(b.now + 30 * HOUR_MS);
    expect(charges(b)).toHaveLength(1);
  });

  it('is not judged by a first check that comes late, nor after a test cut short', () => {
    const held = restored(TestKind.Full, 0);
    held.s.holdUntil = held.now + 600_000;
    held.run(held.now + 30 * HOUR_MS);
    expect(charges(held)).toEqual([]);
    const short = new Bench(FITTED).planned(TestKind.Full).runToDischarge();
    short.run(short.now + 40_000);
    short.change({ stop: 1 }).run(short.now + 30 * HOUR_MS);
    expect(short.result().end).toBe(Reason.StopInput);
    expect(charges(short)).toEqual([]);
  });

  it.each([
    ['no sensor is fitted', { fitted: 0, chargeMilliamps: 400 }],
    ['its current was not commissioned', { fitted: 16 }],
  ])('is not judged where %s', (_name, settings) => {
    const b = restored(TestKind.Full, 0, settings);
    b.run(b.s.suppliedAt + 30 * HOUR_MS);
    expect(charges(b)).toEqual([]);
  });
});

describe('the first charge check', () => {
  it('is made in the turn in which the supply has been back for a minute', () => {
    const b = restored(TestKind.Full, 0);
    b.run(b.s.suppliedAt + FIRST_MS);
    expect(charges(b)).toEqual([]);
    b.run(b.s.suppliedAt + FIRST_MS + Limit.LoopMs);
    expect(charges(b).map((r) => [r.reason, r.arg, r.half, r.float, r.curve])).toEqual([
      [Reason.NoCharge, 0, -1, -1, ''],
    ]);
  });

  it.each([
    [59, 0],
    [60, 1],
  ])('is made after a discharge of a minute, not after one of %i s', (seconds, records) => {
    const b = new Bench(FITTED).planned(TestKind.Full).runToDischarge();
    b.at(b.s.t0 + seconds * 1000, { stop: 1 });
    b.run(b.now + HOUR_MS);
    expect([b.result().seconds, charges(b).length]).toEqual([seconds, records]);
  });

  it.each([
    [LATE_MS, 1],
    [LATE_MS + Limit.LoopMs, 0],
  ])('that comes after %i ms gives %i record', (afterMs, records) => {
    const b = restored(TestKind.Full, 0);
    // The hold ends one turn before the check.
    b.s.holdUntil = b.s.suppliedAt + afterMs - Limit.LoopMs;
    b.run(b.s.suppliedAt + 30 * HOUR_MS);
    expect(charges(b)).toHaveLength(records);
  });

  it('that an outage prevents leaves no record', () => {
    const b = restored(TestKind.Full, 400);
    b.run(b.s.suppliedAt + 20_000);
    b.change({ mains: 0 }).run(b.now + 10_000);
    b.change({ mains: 1 }).run(b.now + 30 * HOUR_MS);
    expect(b.of('outage')).toHaveLength(1);
    expect(charges(b)).toEqual([]);
  });
});

describe('later charge checks', () => {
  it('count half and float from the share that just reaches them', () => {
    const [record] = charges(lookByLook((look) => (look < 5 ? 210 : look < 9 ? 200 : look < 15 ? 90 : 80)));
    expect([record.half, record.float]).toEqual([5 * 2400, 15 * 2400]);
  });

  it('end with the last of them, which still counts', () => {
    const b = lookByLook((look) => (look < Limit.ChargeLooks ? 400 : 60), Limit.ChargeLooks - 1);
    expect(charges(b)).toEqual([]);
    const whole = lookByLook((look) => (look < Limit.ChargeLooks ? 400 : 60));
    expect(charges(whole).map((r) => [r.reason, r.half, r.float])).toEqual([[Reason.None, 86_400, 86_400]]);
    whole.run(whole.now + 10 * HOUR_MS);
    expect(charges(whole)).toHaveLength(1);
  });

  it('are made late rather than never, and the last place is kept for the last of them', () => {
    const b = lookByLook(() => 400, 34);
    b.s.holdUntil = b.s.suppliedAt + 38.5 * LOOK_MS;
    b.s.in.charge = 60;
    b.run(b.s.suppliedAt + 39 * LOOK_MS);
    const [record] = charges(b);
    expect([record.reason, record.float]).toEqual([Reason.None, 86_400]);
    const percent = curvePercent(record.curve);
    expect([percent.length, percent[34], percent[36]]).toEqual([37, 100, 15]);
  });
});
