import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { Bench, IN_WINDOW, order, WINDOW, type World } from './bench';

describe('an order to restore', () => {
  it('drops the drive in the very call, and otherwise reports that there is nothing to do', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - 90_000);
    expect(order(b, OrderKind.Restore)).toBe(Reason.NothingToDo);
    b.runToDischarge();
    expect(order(b, OrderKind.Restore)).toBe(Reason.None);
    expect([b.s.drive, b.s.leaseUntil, b.s.phase]).toEqual([0, 0, Phase.Restoring]);
    expect(order(b, OrderKind.Restore)).toBe(Reason.NothingToDo);
  });

  it('stops a test during its readings on mains, before the relay opens', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - 90_000);
    b.runTo(() => b.s.phase === Phase.Opening, IN_WINDOW + 60_000);
    expect(b.s.drive).toBe(0);
    expect(order(b, OrderKind.Restore)).toBe(Reason.None);
    b.run((WINDOW.to - WINDOW.from) * 1000 + IN_WINDOW);
    expect(b.drives).toEqual([]);
    expect(b.of('intent')).toHaveLength(0);
  });
});

describe('a hold', () => {
  it('by order is refused with a length out of bounds, and expires on its own', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    for (const bad of [-1, 0, 59, Limit.HoldSecMax + 1, Number.NaN, Number.POSITIVE_INFINITY])
      expect(order(b, OrderKind.Hold, bad)).toBe(Reason.OutOfBounds);
    expect(order(b, OrderKind.Hold, 60)).toBe(Reason.None);
    b.run(b.now + 1000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Held, Reason.OrderedHold]);
    expect(b.of('held')[0].arg).toBe(60);
    b.run(b.now + 60_000);
    expect(b.s.phase).toBe(Phase.Charged);
    expect(b.of('released')).toHaveLength(1);
  });

  it('that waits behind a restore is cancelled by a release, and never entered', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    expect(order(b, OrderKind.Hold, 3600)).toBe(Reason.None);
    expect(b.s.phase).toBe(Phase.Restoring);
    expect(order(b, OrderKind.Release)).toBe(Reason.None);
    b.run(b.now + 60_000);
    expect(b.of('held')).toHaveLength(0);
    expect(order(b, OrderKind.Release)).toBe(Reason.NothingToDo);
  });

  it('by order stops a test that has not opened its relay yet', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - 90_000);
    b.runTo(() => b.s.phase === Phase.Opening, IN_WINDOW + 60_000);
    expect(order(b, OrderKind.Hold, 3600)).toBe(Reason.None);
    b.run(b.now + 10_000);
    expect(b.drives).toEqual([]);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Held, Reason.OrderedHold]);
  });

  it('by order survives an outage', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    order(b, OrderKind.Hold, 7200);
    b.run(b.now + 1000);
    b.mains = 0;
    b.run(b.now + 60_000);
    expect(b.s.phase).toBe(Phase.Outage);
    b.mains = 1;
    b.run(b.now + 10_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Held, Reason.OrderedHold]);
  });

  it('by key lasts as long as the key is turned, cuts the supply without a fault, and owes a recharge', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    b.key = 1;
    b.run(b.now + 600_000);
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Held, Reason.KeyHold, 1]);
    expect(order(b, OrderKind.Release)).toBe(Reason.NothingToDo);
    b.key = 0;
    b.run(b.now + 5000);
    expect([b.s.phase, b.s.red]).toEqual([Phase.Recharging, 0]);
    expect(b.kinds().slice(-2)).toEqual(['held', 'released']);
    expect(b.of('fault')).toHaveLength(0);
    expect(b.s.autonomyAt).toBeGreaterThan(b.now + 86_000_000);
  });
});

describe('an order to test', () => {
  it('starts one inside an open window, and records it as not planned', () => {
    const rows = [[7, TestKind.Brief, WINDOW.from, WINDOW.to]];
    const b = new Bench().plan(rows).run(IN_WINDOW + 3_900_000);
    expect(b.of('result')).toHaveLength(1);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.None);
    b.run(b.now + 300_000);
    expect(b.of('result').map((r) => [r.plan, r.test, r.type, r.end])).toEqual([
      [1, 7, TestKind.Brief, Reason.Complete],
      [0, 0, TestKind.Brief, Reason.Complete],
    ]);
  });

  describe('that is called off during its readings on mains', () => {
    /** Ordered in a window without tests of its own, and in its readings on mains. */
    function looking(settings: ConstructorParameters<typeof Bench>[0] = {}): Bench {
      const b = new Bench(settings).plan([[1, TestKind.None, WINDOW.from, WINDOW.to]]).run(IN_WINDOW);
      expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.None);
      expect(b.s.phase).toBe(Phase.Opening);
      return b;
    }
    const SHARED = { shared: 1, emptySec: 300, fitted: 2 };

    it.each<[string, Reason, Partial<World>, ConstructorParameters<typeof Bench>[0]]>([
      ['a short stop input', Reason.StopInput, { stop: 1 }, {}],
      ['the key', Reason.KeyHold, { key: 1 }, {}],
      ['an outage', Reason.Outage, { mains: 0 }, {}],
      ['someone in a shared area', Reason.NotProvenEmpty, { occupied: 1 }, SHARED],
    ])('by %s leaves one record with the reason, and no intent', (_name, reason, world, settings) => {
      const b = looking(settings).change(world);
      b.run(b.now + 250).change({ stop: 0, key: 0, mains: 1, occupied: 0 });
      b.run(b.now + 3_600_000);
      expect(b.drives).toEqual([]);
      expect(b.of('intent')).toEqual([]);
      expect(b.of('refused')).toMatchObject([
        { counter: 0, do: OrderKind.Test, arg: TestKind.Brief, reason, who: '' },
      ]);
    });

    it('shows why for a minute, then nothing', () => {
      const b = looking();
      b.change({ stop: 1 }).run(b.now + 250);
      expect([b.s.phase, b.s.waiting]).toEqual([Phase.Recharging, Reason.StopInput]);
      b.change({ stop: 0 }).run(b.now + Limit.CalledOffShownMs - 250);
      expect([b.s.phase, b.s.waiting]).toEqual([Phase.Charged, Reason.StopInput]);
      const before = b.dirtied;
      b.run(b.now + 500);
      expect([b.s.waiting, b.dirtied - before]).toEqual([Reason.None, 1]);
    });

    it('may be ordered again at once', () => {
      const b = looking();
      b.change({ stop: 1 }).run(b.now + 250);
      b.change({ stop: 0 }).run(b.now + 500);
      expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.None);
      expect(b.s.waiting).toBe(Reason.None);
      b.run(b.now + 300_000);
      expect(b.result().end).toBe(Reason.Complete);
    });

    it('is not reported twice where a restore called it off', () => {
      const b = looking();
      expect(order(b, OrderKind.Restore)).toBe(Reason.None);
      b.run(b.now + 60_000);
      expect([b.of('refused'), b.drives]).toEqual([[], []]);
    });
  });

  it('begins no second one while the first is reading its lamps on mains', () => {
    const b = new Bench().plan([[1, TestKind.None, WINDOW.from, WINDOW.to]]).run(IN_WINDOW);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.None);
    b.run(b.now + 500);
    expect(order(b, OrderKind.Test, TestKind.Full)).toBe(Reason.Busy);
    expect([b.s.phase, b.s.kind]).toEqual([Phase.Opening, TestKind.Brief]);
  });

  it('starts nothing where the rules would not', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - 90_000);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.OutsideWindow);
    expect(order(b, OrderKind.Test, TestKind.None)).toBe(Reason.OutOfBounds);
    expect(order(b, OrderKind.Test, 5)).toBe(Reason.OutOfBounds);
    b.run(IN_WINDOW + 300_000);
    expect(order(b, OrderKind.Test, TestKind.Full)).toBe(Reason.StillRecharging);
    expect(order(new Bench(null).plan([]).run(IN_WINDOW), OrderKind.Test, TestKind.Brief)).toBe(
      Reason.NotCommissioned,
    );
    expect(b.of('intent')).toHaveLength(1);
  });
});

describe('an order to clear', () => {
  it('clears only a fault, and only with the supply proven back', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    expect(order(b, OrderKind.ClearFault)).toBe(Reason.NothingToDo);
    b.contact = 'open';
    b.run(b.now + 20_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.SupplyLost]);
    expect(order(b, OrderKind.ClearFault)).toBe(Reason.SupplyLost);
    expect(order(b, OrderKind.Hold, 600)).toBe(Reason.Busy);
    expect(order(b, OrderKind.Test, TestKind.Brief)).toBe(Reason.Busy);
    b.contact = 'follows';
    b.run(b.now + 2000);
    expect(order(b, OrderKind.ClearFault)).toBe(Reason.None);
  });
});

it('refuses an order of a kind it does not know', () => {
  const b = new Bench().plan([]).run(IN_WINDOW);
  for (const kind of [0, 7, 99, -1, 1.5]) expect(order(b, kind as OrderKind)).toBe(Reason.OutOfBounds);
  expect(b.kinds()).toEqual(['start']);
});
