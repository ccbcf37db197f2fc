// The step of the core at rest, at its start, in a hold and in a fault: the instants at which it moves on,
// and what it reports.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { chargedUtc, step } from '../../../firmware/core/step';
import { atRest, Bench, DAY_MS, HOUR_MS, IN_WINDOW, order, SHARED, START, WINDOW } from './bench';

/** A hold by key, once the loss of the supply it cuts has settled. */
function keyed(): Bench {
  const b = atRest().change({ key: 1 });
  return b.run(b.now + 10_000);
}

describe('a start', () => {
  it('without supply after the relay never counts as charged', () => {
    const b = new Bench().change({ contact: 'open' });
    const seen: Phase[] = [];
    for (; b.now < 20_000; b.run(b.now + Limit.LoopMs))
      if (seen[seen.length - 1] !== b.s.phase) seen.push(b.s.phase);
    expect(seen).toEqual([Phase.Starting, Phase.Recharging, Phase.Fault]);
    expect(b.s.reason).toBe(Reason.SupplyLost);
  });

  it('is charged in the very turn in which a whole recharge is over, with nothing else to wake it', () => {
    const b = new Bench({ rechargeSec: 80_000 }).plan([]).run(82_000_000);
    expect([b.s.phase, b.s.phaseAt]).toEqual([Phase.Charged, 80_000_000]);
  });

  it('forecasts its charge to the second, until that second has come', () => {
    const b = new Bench({ rechargeSec: 80_000 }).plan([]).run(1000);
    expect(chargedUtc(b.s, 79_999_999)).toBe(START + 80_000);
    expect(chargedUtc(b.s, 80_000_000)).toBe(0);
  });

  it('waits until the supply on both sides of the relay has settled, whichever comes last', () => {
    for (const side of ['supplyA', 'supplyB'] as const) {
      const b = new Bench();
      for (let ms = 0; ms <= 5000; ms += 250) {
        b.s.in[side] = (ms / 250) % 2;
        step(b.s, ms);
        expect(b.s.phase).toBe(Phase.Starting);
      }
      b.s.in[side] = 1;
      step(b.s, 5250);
      step(b.s, 5250 + Limit.DebounceMs);
      expect(b.s.phase).toBe(Phase.Recharging);
    }
  });

  it.each([
    [Reason.RelayStuckOpen, 1],
    [Reason.SupplyLost, 1],
    [Reason.AuxDisagrees, 0],
  ])(
    'in fault %i without supply reports its return only if missing supply was the fault (%i)',
    (reason, records) => {
      const b = new Bench();
      b.s.reason = reason;
      b.change({ contact: 'open' }).run(60_000);
      expect([b.s.phase, b.s.supplyMissing]).toEqual([Phase.Fault, records]);
      b.change({ contact: 'follows' }).run(120_000);
      expect(b.of('supply').map((r) => r.reason)).toEqual(records ? [reason] : []);
    },
  );

  it('in a supply fault, with the supply already back, reports no return', () => {
    const b = new Bench();
    b.s.reason = Reason.RelayStuckOpen;
    b.run(60_000);
    expect([b.s.phase, b.s.supplyMissing, b.of('supply').length]).toEqual([Phase.Fault, 0, 0]);
  });
});

describe('a due test that may not start', () => {
  it('is reported with its reason once, and once more when that is gone', () => {
    const b = new Bench(SHARED).planned(TestKind.Full).run(IN_WINDOW - 90_000);
    b.change({ occupied: 1 }).run(IN_WINDOW - 60_000);
    const before = b.dirtied;
    b.run(IN_WINDOW);
    expect([b.s.waiting, b.dirtied - before]).toEqual([Reason.NotProvenEmpty, 1]);
    b.run(b.now + HOUR_MS);
    expect(b.dirtied - before).toBe(1);
    b.plan([], b.s.planUntil, 2);
    const replanned = b.dirtied;
    b.run(b.now + 20_000);
    expect([b.s.waiting, b.dirtied - replanned]).toEqual([Reason.None, 1]);
  });
});

describe('a hold by key', () => {
  it('is recorded with zero as its length, and its end with the seconds it took', () => {
    const b = keyed();
    const from = b.s.phaseAt;
    b.change({ key: 1 }).run(from + 600_000);
    b.change({ key: 0 }).run(b.now + 10_000);
    expect(b.of('held').map((r) => [r.reason, r.arg])).toEqual([[Reason.KeyHold, 0]]);
    expect(b.of('released').map((r) => [r.reason, r.arg])).toEqual([[Reason.KeyHold, 600]]);
  });

  it('leaves a hold by order queued behind it unchanged', () => {
    const b = keyed();
    expect(order(b, OrderKind.Hold, 3600)).toBe(Reason.None);
    const until = b.s.holdUntil;
    b.run(b.now + 60_000);
    b.change({ key: 0 }).run(b.now + 10_000);
    expect([b.s.phase, b.s.reason, b.s.holdUntil]).toEqual([Phase.Held, Reason.OrderedHold, until]);
    expect(b.of('held').map((r) => r.reason)).toEqual([Reason.KeyHold, Reason.OrderedHold]);
    b.run(until + 1000);
    expect(b.s.phase).toBe(Phase.Recharging);
  });

  it('gives the supply five seconds from its end to return before it counts as lost', () => {
    const b = keyed().run(IN_WINDOW + 60_000);
    b.change({ key: 0, contact: 'open' }).run(b.now + Limit.RestoreProofMs);
    expect(b.of('fault')).toEqual([]);
    const late = keyed().run(IN_WINDOW + 60_000);
    late.change({ key: 0, contact: 'open' }).run(late.now + 4000);
    late.change({ contact: 'follows' }).run(late.now + HOUR_MS);
    expect([late.s.phase, late.kinds()]).toEqual([Phase.Recharging, ['start', 'held', 'released']]);
    b.run(b.now + 1000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.SupplyLost]);
  });
});

describe('a hold by order', () => {
  it('is over in its last millisecond, and one that waited behind the key until then is never entered', () => {
    const b = keyed();
    order(b, OrderKind.Hold, 60);
    const until = b.s.holdUntil;
    b.run(until - Limit.LoopMs);
    b.change({ key: 0 }).run(until + 1000);
    expect(b.of('held').map((r) => r.reason)).toEqual([Reason.KeyHold]);
    expect(b.of('released').map((r) => r.reason)).toEqual([Reason.KeyHold, Reason.OrderedHold]);
  });

  it('cannot be released once its time is over, and is still reported as over', () => {
    const b = keyed();
    order(b, OrderKind.Hold, 60);
    b.run(b.s.holdUntil);
    expect(order(b, OrderKind.Release)).toBe(Reason.NothingToDo);
    b.run(b.now + 1000);
    expect(b.of('released').map((r) => r.reason)).toEqual([Reason.OrderedHold]);
  });

  it('is recorded on release with the seconds it took', () => {
    const b = atRest();
    order(b, OrderKind.Hold, 7200);
    b.run(b.now + 1000);
    b.run(b.s.phaseAt + 600_000);
    expect(order(b, OrderKind.Release)).toBe(Reason.None);
    b.run(b.now + 1000);
    expect(b.of('released').map((r) => [r.reason, r.arg])).toEqual([[Reason.OrderedHold, 600]]);
  });

  it('is refused in an outage and before the supply has settled after a start', () => {
    expect(order(new Bench(), OrderKind.Hold, 60)).toBe(Reason.Busy);
    const b = atRest().change({ mains: 0 });
    b.run(b.now + 10_000);
    expect(b.s.phase).toBe(Phase.Outage);
    expect([order(b, OrderKind.Hold, 60), b.s.holdUntil]).toEqual([Reason.Busy, 0]);
  });
});

describe('between the opening of the relay and the loss of supply', () => {
  /** A brief test in the turn in which its relay was driven to open. */
  function opening(): Bench {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - 60_000);
    return b.runTo(() => b.s.drive === 1, IN_WINDOW);
  }

  it.each([
    [OrderKind.Restore, 0, Reason.OrderedRestore],
    [OrderKind.Hold, 60, Reason.OrderedHold],
  ])('order %i releases the coil in the very call, and the opening has its result', (what, arg, end) => {
    const b = opening();
    expect([b.s.phase, order(b, what, arg)]).toEqual([Phase.Opening, Reason.None]);
    expect([b.s.drive, b.s.leaseUntil, b.s.phase]).toEqual([0, 0, Phase.Restoring]);
    b.run(b.now + 10_000);
    expect([b.result().end, b.result().seconds]).toEqual([end, 0]);
    expect(b.broken).toEqual([]);
  });
});

it('an ordered test that is ordered off uses up nothing of the plan', () => {
  const night = 86_400;
  const b = new Bench().plan([
    [7, TestKind.None, WINDOW.from, WINDOW.to],
    [1, TestKind.Brief, WINDOW.from + night, WINDOW.to + night],
  ]);
  b.run(IN_WINDOW);
  expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.None);
  b.run(b.now + 20_000);
  expect(order(b, OrderKind.Restore)).toBe(Reason.None);
  b.run(IN_WINDOW + DAY_MS + HOUR_MS);
  expect(b.of('result').map((r) => [r.test, r.end])).toEqual([
    [0, Reason.OrderedRestore],
    [1, Reason.Complete],
  ]);
});

describe('a tester fault', () => {
  it('that is cleared does not clear a clock rate found wrong meanwhile', () => {
    const b = atRest().change({ contact: 'open' });
    b.run(b.now + 20_000);
    expect(b.s.reason).toBe(Reason.SupplyLost);
    b.s.clockFault = 1;
    b.change({ contact: 'follows' }).run(b.now + 10_000);
    expect(order(b, OrderKind.ClearFault)).toBe(Reason.None);
    b.run(b.now + 10_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.ClockFault]);
    expect(order(b, OrderKind.ClearFault)).toBe(Reason.None);
    b.run(b.now + 10_000);
    expect([b.s.phase, b.s.clockFault]).toEqual([Phase.Recharging, 0]);
  });

  it('is reported hourly while the luminaires have supply', () => {
    const b = new Bench();
    b.s.reason = Reason.AuxDisagrees;
    b.run(60_000);
    const before = b.dirtied;
    b.run(60_000 + DAY_MS);
    expect(b.dirtied - before).toBe(24);
  });
});
