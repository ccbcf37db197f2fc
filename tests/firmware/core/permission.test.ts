import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { takeTime } from '../../../firmware/core/clock';
import { mayOpen } from '../../../firmware/core/permission';
import { takeOrder } from '../../../firmware/core/step';
import { atRest, Bench, DAY_MS, IN_WINDOW, START, WINDOW } from './bench';

const ask = (b: Bench, kind = TestKind.Brief, end = WINDOW.to): Reason => mayOpen(b.s, kind, end, b.now);

describe('permission to open', () => {
  it('is given when nothing stands in the way', () => {
    const b = atRest();
    expect(ask(b)).toBe(Reason.None);
    expect(ask(b, TestKind.Full)).toBe(Reason.None);
  });

  const cases: [string, Reason, () => Bench][] = [
    ['no settings', Reason.NotCommissioned, () => atRest(null)],
    ['the clock was never set', Reason.ClockUntrusted, () => new Bench({}, false).run(IN_WINDOW)],
    ['still starting', Reason.Outage, () => new Bench()],
    [
      'a tester fault',
      Reason.Busy,
      () => {
        const b = atRest();
        b.contact = 'open';
        b.run(b.now + 10_000);
        b.contact = 'follows';
        return b.run(b.now + 10_000);
      },
    ],
    [
      'a real outage',
      Reason.Outage,
      () => {
        const b = atRest();
        b.mains = 0;
        return b.run(b.now + 2000);
      },
    ],
    [
      'no supply behind the relay',
      Reason.SupplyLost,
      () => {
        const b = atRest();
        b.contact = 'open';
        return b.run(b.now + 2000);
      },
    ],
    [
      'the stop input',
      Reason.StopInput,
      () => {
        const b = atRest();
        b.stop = 1;
        return b.run(b.now + 500);
      },
    ],
    [
      'an outage in the last seconds',
      Reason.StillRecharging,
      () => {
        const b = atRest();
        b.mains = 0;
        b.run(b.now + 2000);
        b.mains = 1;
        return b.run(b.now + 2000);
      },
    ],
    ['a day not yet recharged', Reason.StillRecharging, () => new Bench().run(DAY_MS - 60_000)],
    [
      'a running test',
      Reason.Busy,
      () => {
        const b = atRest();
        takeOrder(b.s, OrderKind.Test, TestKind.Brief, b.now);
        return b.planned(TestKind.Brief).run(b.now + 20_000);
      },
    ],
    [
      'a full journal',
      Reason.JournalFull,
      () => {
        const b = atRest();
        b.s.journalReady = 0;
        return b;
      },
    ],
    [
      'a hold by order',
      Reason.OrderedHold,
      () => {
        const b = atRest();
        takeOrder(b.s, OrderKind.Hold, 3600, b.now);
        return b.run(b.now + 1000);
      },
    ],
  ];
  it.each(cases)('is refused with %s', (_name, reason, prepare) => {
    expect(ask(prepare())).toBe(reason);
  });

  it('is refused from the very moment a hold is accepted', () => {
    const b = atRest();
    expect(takeOrder(b.s, OrderKind.Hold, 3600, b.now)).toBe(Reason.None);
    expect(ask(b)).toBe(Reason.OrderedHold);
  });

  it('is refused while the key is turned, even before its supply has been missed', () => {
    const b = atRest();
    b.s.in.key = 1;
    expect(ask(b)).toBe(Reason.KeyHold);
    b.key = 1;
    b.run(b.now + 1000);
    expect([b.s.phase, ask(b)]).toEqual([Phase.Held, Reason.KeyHold]);
  });

  it("is refused outside a window and on a neighbour's night", () => {
    expect(ask(atRest(), TestKind.Brief, 0)).toBe(Reason.OutsideWindow);
    const night = Math.floor((WINDOW.from - 43_200) / 86_400);
    expect(ask(atRest({ cycle: 3, residue: night % 3 }))).toBe(Reason.None);
    expect(ask(atRest({ cycle: 3, residue: (night + 1) % 3 }))).toBe(Reason.NotOwnNight);
    expect(ask(atRest({ cycle: 3, residue: (night + 2) % 3 }))).toBe(Reason.NotOwnNight);
  });

  it('is refused when the window cannot hold the test, its grace and the error of the clock', () => {
    const b = atRest();
    const utc = START + Math.floor(b.now / 1000);
    const error = 2 + Math.floor((b.now * Limit.DriftPpm) / 1e9);
    const needed = 120 + Limit.OpenGraceSec + error;
    expect(ask(b, TestKind.Brief, utc + needed)).toBe(Reason.None);
    expect(ask(b, TestKind.Brief, utc + needed - 1)).toBe(Reason.WindowTooShort);
    expect(ask(b, TestKind.Full, utc + 3600 + Limit.OpenGraceSec)).toBe(Reason.WindowTooShort);
  });

  it('lasts more than a year with a coasting clock, and ends when the clock may be an hour wrong', () => {
    // 3,598 s of drift at 100 parts per million take 416 days.
    const b = atRest();
    b.now = 415 * DAY_MS;
    expect(ask(b, TestKind.Brief, START + 420 * 86_400)).toBe(Reason.None);
    b.now = 417 * DAY_MS;
    expect(ask(b, TestKind.Brief, START + 420 * 86_400)).toBe(Reason.ClockUntrusted);
    takeTime(b.s, START * 1000 + b.now, b.now, b.now);
    expect(ask(b, TestKind.Brief, START + 420 * 86_400)).toBe(Reason.None);
  });

  it('requires an unbroken full recharge before a full test, and less before a brief one', () => {
    const b = atRest()
      .planned(TestKind.Brief)
      .run(IN_WINDOW + 300_000);
    expect(b.of('result')).toHaveLength(1);
    const back = b.drives[1].at + 250;
    b.run(back + 3_600_000 - 250);
    expect(ask(b)).toBe(Reason.StillRecharging);
    b.run(back + 3_600_000 + 1000);
    expect(ask(b)).toBe(Reason.None);
    expect(ask(b, TestKind.Full)).toBe(Reason.StillRecharging);
    b.run(back + 86_400_000);
    expect(ask(b, TestKind.Full, START + 86_400 * 9)).toBe(Reason.None);
  });
});

describe('a shared circuit', () => {
  const SHARED = { shared: 1, emptySec: 1800, fitted: 2 };

  it('counts from the end of a long presence, not from its beginning', () => {
    const b = new Bench(SHARED).planned(TestKind.Brief);
    // Longer than `emptySec`, and over just as the window opens.
    b.at(IN_WINDOW - 2_400_000, { occupied: 1 });
    b.at(IN_WINDOW - 60_000, { occupied: 0 });
    b.run(IN_WINDOW + 1_700_000);
    expect(b.drives).toEqual([]);
    b.run(IN_WINDOW + 1_800_000);
    expect(b.drives).toHaveLength(1);
  });

  it('ignores people where the circuit is not shared', () => {
    const b = new Bench({ fitted: 2 }).planned(TestKind.Brief);
    b.occupied = 1;
    b.run(IN_WINDOW + 300_000);
    expect(b.result().end).toBe(Reason.Complete);
  });
});

describe('the permission to open', () => {
  it('is given in the very millisecond in which the supply counts as steady again', () => {
    const b = atRest();
    b.s.unsteadyUntil = b.now;
    expect(ask(b)).toBe(Reason.None);
    b.s.unsteadyUntil = b.now + 1;
    expect(ask(b)).toBe(Reason.UnsteadySupply);
  });

  it('is given in the very millisecond in which a hold expires', () => {
    const b = atRest();
    b.s.holdUntil = b.now;
    expect(ask(b)).toBe(Reason.None);
    b.s.holdUntil = b.now + 1;
    expect(ask(b)).toBe(Reason.OrderedHold);
  });

  it('is given in the very millisecond in which the recharge is over', () => {
    const b = atRest();
    b.s.autonomyAt = b.now;
    expect(ask(b)).toBe(Reason.None);
    b.s.autonomyAt = b.now + 1;
    expect(ask(b)).toBe(Reason.StillRecharging);
  });

  it('is given for a commissioning test in the very millisecond in which the first charge is over', () => {
    const b = atRest();
    b.s.set.commissionSec = b.s.set.ratedSec;
    b.s.set.firstChargeSec = 60;
    b.s.suppliedAt = b.now - 60_000;
    expect(ask(b, TestKind.Commissioning)).toBe(Reason.None);
    b.s.suppliedAt = b.now - 59_999;
    expect(ask(b, TestKind.Commissioning)).toBe(Reason.StillRecharging);
  });

  it('is given for a shared circuit in the very millisecond in which its area is proven empty', () => {
    const b = atRest();
    b.s.set.shared = 1;
    b.s.set.emptySec = 10;
    b.s.movedAt = b.now - 10_000;
    expect(ask(b)).toBe(Reason.None);
    b.s.movedAt = b.now - 9999;
    expect(ask(b)).toBe(Reason.NotProvenEmpty);
  });

  it.each([Phase.Starting, Phase.Opening, Phase.Restoring, Phase.Outage])(
    'is refused in phase %i',
    (phase) => {
      const b = atRest();
      b.s.phase = phase;
      expect(ask(b)).toBe(Reason.Busy);
    },
  );

  it('is refused in a hold with the reason of the hold', () => {
    const b = atRest();
    b.s.phase = Phase.Held;
    b.s.reason = Reason.KeyHold;
    expect(ask(b)).toBe(Reason.KeyHold);
  });

  it('names what the controller is doing before the state of the supply', () => {
    const b = atRest();
    b.s.in.supplyA = 0;
    b.s.phase = Phase.Restoring;
    expect(ask(b)).toBe(Reason.Busy);
    b.s.phase = Phase.Charged;
    expect(ask(b)).toBe(Reason.Outage);
    b.s.set.revision = 0;
    expect(ask(b)).toBe(Reason.NotCommissioned);
  });
});
