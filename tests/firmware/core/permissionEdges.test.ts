// The permission to open at the very millisecond in which its answer changes, and which reason comes first.
import { describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { mayOpen } from '../../../firmware/core/permission';
import { Bench, IN_WINDOW, WINDOW } from './bench';

const ready = (): Bench => new Bench().plan([]).run(IN_WINDOW);
const ask = (b: Bench, kind = TestKind.Brief): Reason => mayOpen(b.s, kind, WINDOW.to, b.now);

describe('the permission to open', () => {
  it('is given in the very millisecond in which the supply counts as steady again', () => {
    const b = ready();
    b.s.unsteadyUntil = b.now;
    expect(ask(b)).toBe(Reason.None);
    b.s.unsteadyUntil = b.now + 1;
    expect(ask(b)).toBe(Reason.UnsteadySupply);
  });

  it('is given in the very millisecond in which a hold runs out', () => {
    const b = ready();
    b.s.holdUntil = b.now;
    expect(ask(b)).toBe(Reason.None);
    b.s.holdUntil = b.now + 1;
    expect(ask(b)).toBe(Reason.OrderedHold);
  });

  it('is given in the very millisecond in which the recharge is over', () => {
    const b = ready();
    b.s.autonomyAt = b.now;
    expect(ask(b)).toBe(Reason.None);
    b.s.autonomyAt = b.now + 1;
    expect(ask(b)).toBe(Reason.StillRecharging);
  });

  it('is given for a commissioning test in the very millisecond in which the first charge is over', () => {
    const b = ready();
    b.s.set.commissionSec = b.s.set.ratedSec;
    b.s.set.firstChargeSec = 60;
    b.s.suppliedAt = b.now - 60_000;
    expect(ask(b, TestKind.Commissioning)).toBe(Reason.None);
    b.s.suppliedAt = b.now - 59_999;
    expect(ask(b, TestKind.Commissioning)).toBe(Reason.StillRecharging);
  });

  it('is given for a shared circuit in the very millisecond in which its area is proven empty', () => {
    const b = ready();
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
      const b = ready();
      b.s.phase = phase;
      expect(ask(b)).toBe(Reason.Busy);
    },
  );

  it('is refused in a hold with the reason of the hold', () => {
    const b = ready();
    b.s.phase = Phase.Held;
    b.s.reason = Reason.KeyHold;
    expect(ask(b)).toBe(Reason.KeyHold);
  });

  it('names what the controller is about before the state of the supply', () => {
    const b = ready();
    b.s.in.supplyA = 0;
    b.s.phase = Phase.Restoring;
    expect(ask(b)).toBe(Reason.Busy);
    b.s.phase = Phase.Charged;
    expect(ask(b)).toBe(Reason.Outage);
    b.s.set.revision = 0;
    expect(ask(b)).toBe(Reason.NotCommissioned);
  });
});
