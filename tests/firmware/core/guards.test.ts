// The end of a test as proof of a guard: whose turn it is, what ends the trial, and when a guard is slow.
import { describe, expect, it } from 'vitest';
import { Ending, OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { newRecovery, recoverRecord } from '../../../firmware/core/recovery';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, SHARED, type World } from './bench';

/** A brief test that has just come to its end; the guard tried before it was `before`. */
function ended(world: Partial<World> = {}, before = Ending.All, settings = {}): Bench {
  const b = new Bench(settings).planned(TestKind.Brief).runToDischarge();
  b.s.guard = before;
  b.change(world).runTo(() => b.s.drive === 0, b.now + 200_000);
  return b;
}

const HELD: Partial<World> = { contact: 'held by a guard' };

describe('guards', () => {
  it.each([
    [Ending.All, Ending.StopsLow],
    [Ending.StopsLow, Ending.StopsHigh],
    [Ending.StopsHigh, Ending.Enable],
    [Ending.Enable, Ending.StopsLow],
  ])('take turns: after %i comes %i, and the result names it', (before, next) => {
    const b = ended({}, before);
    expect([b.s.phase, b.s.ending]).toEqual([Phase.Restoring, next]);
    b.run(b.now + 10_000);
    expect([b.result().guard, b.s.ending, b.s.phase]).toEqual([next, Ending.All, Phase.Recharging]);
    expect(b.broken).toEqual([]);
  });

  it('take turns across a restart, by the newest result that names one', () => {
    const { s } = new Bench();
    const r = newRecovery();
    recoverRecord(s, r, '{"kind":"result","end":19,"guard":2,"lamps":[]}');
    recoverRecord(s, r, '{"kind":"result","end":20,"guard":0,"lamps":[]}');
    recoverRecord(s, r, '{"kind":"result","end":26,"lamps":[]}');
    expect(s.guard).toBe(Ending.StopsHigh);
    recoverRecord(s, r, '{"kind":"result","end":19,"guard":9,"lamps":[]}');
    expect(s.guard).toBe(Ending.StopsHigh);
  });

  it.each([
    [Ending.StopsLow, Ending.All, Limit.DetectorProofMs],
    [Ending.StopsHigh, Ending.StopsLow, Limit.DetectorProofMs],
    [Ending.Enable, Ending.StopsHigh, Limit.EnableProofMs],
  ])(
    'that do not release the relay are a tester fault, and the others release it: %i',
    (guard, before, ms) => {
      const b = ended(HELD, before);
      const { releasedAt } = b.s;
      b.runTo(() => b.s.ending === Ending.All, b.now + 10_000);
      expect(b.now - releasedAt).toBeLessThanOrEqual(ms + Limit.LoopMs);
      b.run(b.now + 10_000);
      expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.GuardSlow, 1]);
      expect(b.of('fault').map((r) => [r.reason, r.arg])).toEqual([[Reason.GuardSlow, guard]]);
      expect(b.result()).toMatchObject({ guard, end: Reason.Complete });
      expect(b.result().restoreMs).toBeLessThanOrEqual(2000);
      expect(b.broken).toEqual([]);
    },
  );

  it('are tried again in their order once the fault is cleared', () => {
    const b = ended(HELD);
    b.run(b.now + 10_000);
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
    expect([b.s.guard, b.s.phase]).toEqual([Ending.StopsLow, Phase.Recharging]);
  });
});

describe('a trial', () => {
  it.each([
    ['the key', { key: 1 }, {}],
    ['the stop input', { stop: 1 }, {}],
    ['people in a shared area', { occupied: 1 }, SHARED],
  ])('ends at once with %s, and blames no guard', (_what, world, settings) => {
    const b = ended(HELD, Ending.All, settings);
    b.change(world).run(b.now + Limit.LoopMs);
    expect([b.s.ending, b.s.leaseUntil, b.s.guard]).toEqual([Ending.All, 0, Ending.All]);
    b.run(b.now + 10_000);
    expect(b.of('fault')).toEqual([]);
    expect(b.result().guard).toBe(Ending.All);
    expect(b.broken).toEqual([]);
  });

  it('ends at once by an order to restore', () => {
    const b = ended(HELD);
    expect(takeOrder(b.s, OrderKind.Restore, 0, b.now)).toBe(Reason.None);
    expect([b.s.ending, b.s.leaseUntil]).toEqual([Ending.All, 0]);
  });

  it('blames no guard for mains that fail meanwhile', () => {
    const b = ended(HELD);
    b.change({ mains: 0 }).run(b.now + 10_000);
    expect([b.of('fault'), b.result().guard]).toEqual([[], Ending.All]);
    const dip = ended(HELD);
    dip.change({ mains: 0 }).run(dip.now + Limit.LoopMs);
    dip.change({ mains: 1 }).run(dip.now + 10_000);
    expect([dip.of('fault'), dip.result().guard]).toEqual([[], Ending.All]);
  });

  it('is left out where anything but the end of the time ends the test', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    takeOrder(b.s, OrderKind.Restore, 0, b.now);
    expect([b.s.ending, b.s.leaseUntil]).toEqual([Ending.All, 0]);
    b.run(b.now + 10_000);
    expect(b.result().guard).toBe(Ending.All);
  });

  it('does not hide a contact that stays open', () => {
    const b = ended({ contact: 'open' });
    b.run(b.now + 10_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.RelayStuckOpen]);
    expect(b.of('fault').map((r) => [r.reason, r.arg])).toEqual([[Reason.RelayStuckOpen, 0]]);
  });

  it('of a slow guard is a fault even if mains fails before the supply is proven back', () => {
    const b = ended(HELD);
    b.runTo(() => b.s.ending === Ending.All, b.now + 10_000);
    b.change({ mains: 0 }).run(b.now + 10_000);
    expect(b.of('fault').map((r) => [r.reason, r.arg])).toEqual([[Reason.GuardSlow, Ending.StopsLow]]);
  });
});
