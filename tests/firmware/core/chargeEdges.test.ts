// The watch over the recharge at the very instants and shares at which it changes its mind.
// Shares and times of the looks are common practice, no source.
import { describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { curvePercent } from '../../../firmware/contract/curve';
import { Limit } from '../../../firmware/contract/limits';
import type { ChargeRecord } from '../../../firmware/contract/messages';
import { Bench, IN_WINDOW } from './bench';

const FITTED = { fitted: 16, chargeMilliamps: 400 };
const HOUR_MS = 3_600_000;
const FIRST_MS = 60_000;
const LATE_MS = 300_000;
const LOOK_MS = 86_400_000 / Limit.ChargeLooks;

const charges = (b: Bench): ChargeRecord[] => b.of('charge') as unknown as ChargeRecord[];

/** To the proven restore after a full test; the sensor then reads `milliamps`. */
function restored(milliamps: number): Bench {
  const b = new Bench(FITTED).planned(TestKind.Full).runToDischarge();
  b.s.in.charge = milliamps;
  return b.runTo(() => b.s.phase === Phase.Recharging, IN_WINDOW + 2 * HOUR_MS);
}

/** The looks of a recharge up to the last of `looks`; the current at each is `milliamps(look)`. */
function recharge(milliamps: (look: number) => number, looks: number = Limit.ChargeLooks): Bench {
  const b = restored(400);
  const since = b.s.suppliedAt;
  b.run(since + 120_000);
  for (let i = 1; i <= looks; i++) {
    b.s.in.charge = milliamps(i);
    b.run(since + i * LOOK_MS + Limit.LoopMs);
  }
  return b;
}

describe('the first look', () => {
  it('is taken in the turn in which the supply has been back for a minute', () => {
    const b = restored(0);
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
  ])('is taken after a discharge of a minute, not after one of %i s', (seconds, records) => {
    const b = new Bench(FITTED).planned(TestKind.Full).runToDischarge();
    b.at(b.s.t0 + seconds * 1000, { stop: 1 });
    b.run(b.now + HOUR_MS);
    expect([b.result().seconds, charges(b).length]).toEqual([seconds, records]);
  });

  it.each([
    [LATE_MS, 1],
    [LATE_MS + Limit.LoopMs, 0],
  ])('that comes after %i ms is worth %i record', (afterMs, records) => {
    const b = restored(0);
    // The hold is left one turn before the look.
    b.s.holdUntil = b.s.suppliedAt + afterMs - Limit.LoopMs;
    b.run(b.s.suppliedAt + 30 * HOUR_MS);
    expect(charges(b)).toHaveLength(records);
  });

  it('that an outage keeps away leaves no record', () => {
    const b = restored(400);
    b.run(b.s.suppliedAt + 20_000);
    b.change({ mains: 0 }).run(b.now + 10_000);
    b.change({ mains: 1 }).run(b.now + 30 * HOUR_MS);
    expect(b.of('outage')).toHaveLength(1);
    expect(charges(b)).toEqual([]);
  });
});

describe('the looks that follow', () => {
  it('count half and float from the share that just reaches them', () => {
    const [record] = charges(recharge((look) => (look < 5 ? 210 : look < 9 ? 200 : look < 15 ? 90 : 80)));
    expect([record.half, record.float]).toEqual([5 * 2400, 15 * 2400]);
  });

  it('end with the last of them, which still counts', () => {
    const b = recharge((look) => (look < Limit.ChargeLooks ? 400 : 60), Limit.ChargeLooks - 1);
    expect(charges(b)).toEqual([]);
    const whole = recharge((look) => (look < Limit.ChargeLooks ? 400 : 60));
    expect(charges(whole).map((r) => [r.reason, r.half, r.float])).toEqual([[Reason.None, 86_400, 86_400]]);
    whole.run(whole.now + 10 * HOUR_MS);
    expect(charges(whole)).toHaveLength(1);
  });

  it('are taken late rather than never, and the last place is kept for the last of them', () => {
    const b = recharge(() => 400, 34);
    b.s.holdUntil = b.s.suppliedAt + 38.5 * LOOK_MS;
    b.s.in.charge = 60;
    b.run(b.s.suppliedAt + 39 * LOOK_MS);
    const [record] = charges(b);
    expect([record.reason, record.float]).toEqual([Reason.None, 86_400]);
    const percent = curvePercent(record.curve);
    expect([percent.length, percent[34], percent[36]]).toEqual([37, 100, 15]);
  });
});
