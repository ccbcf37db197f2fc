// What remains of a hold after a restart, an outage and a lost supply.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { orderRecord } from '../../../firmware/core/records';
import { newRecovery, recoverRecord, resumeHold } from '../../../firmware/core/recovery';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, DAY_MS, START } from './bench';

const head = (kind: string) => `{"boot":3,"utc":${START},"clock":2,"kind":"${kind}"`;

function recalled(texts: string[], b = new Bench()): { b: Bench; holdSec: number; counter: number } {
  const recall = newRecovery();
  for (const text of texts) recoverRecord(b.s, recall, text);
  resumeHold(b.s, recall, b.now);
  return { b, holdSec: recall.holdSec, counter: recall.counter };
}

function ordered(what: OrderKind, arg: number, reason = Reason.None): string {
  const b = new Bench();
  return `{${orderRecord(b.s, 'order', 7, what, arg, reason, 'A. Person', 0)}}`;
}

describe('a hold that was accepted', () => {
  it('survives a restart from its order on, before its phase is entered', () => {
    const { b, holdSec, counter } = recalled([ordered(OrderKind.Hold, 3600)]);
    expect([holdSec, counter]).toEqual([3600, 7]);
    b.run(2000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Held, Reason.OrderedHold]);
  });

  it('does not survive the order that released it, at whatever stage', () => {
    expect(recalled([ordered(OrderKind.Hold, 3600), ordered(OrderKind.Release, 0)]).holdSec).toBe(0);
  });

  it('is neither begun nor ended by an order that was refused, or that asks for something else', () => {
    expect(recalled([ordered(OrderKind.Hold, 3600, Reason.Busy)]).holdSec).toBe(0);
    const held = ordered(OrderKind.Hold, 3600);
    expect(recalled([held, ordered(OrderKind.Release, 0, Reason.NothingToDo)]).holdSec).toBe(3600);
    expect(recalled([held, ordered(OrderKind.Test, 1)]).holdSec).toBe(3600);
  });

  it('is not forgotten when the key is turned and turned back meanwhile', () => {
    const key = `"reason":${Reason.KeyHold},"arg":0}`;
    const texts = [ordered(OrderKind.Hold, 3600), `${head('held')},${key}`, `${head('released')},${key}`];
    expect(recalled(texts).holdSec).toBe(3600);
    const over = `${head('released')},"reason":${Reason.OrderedHold},"arg":3600}`;
    expect(recalled([...texts, over]).holdSec).toBe(0);
  });

  it('that expires in an outage is reported over at that instant, so that no restart revives it', () => {
    const b = new Bench().run(DAY_MS);
    expect(takeOrder(b.s, OrderKind.Hold, 600, b.now)).toBe(Reason.None);
    b.run(b.now + 10_000);
    b.change({ mains: 0 }).run(b.now + 589_000);
    expect(b.of('released')).toHaveLength(0);
    b.run(b.now + 1000 + 250);
    expect(b.of('released').map((r) => [r.reason, r.arg])).toEqual([[Reason.OrderedHold, 0]]);
    expect(b.s.holdUntil).toBe(0);
    b.change({ mains: 1 }).run(b.now + 10_000);
    expect(b.of('held')).toHaveLength(1);
    expect(b.s.phase).toBe(Phase.Recharging);
  });

  it('is not started again by a supply that returns at the very instant it expires', () => {
    const b = new Bench().run(DAY_MS);
    expect(takeOrder(b.s, OrderKind.Hold, 60, b.now)).toBe(Reason.None);
    const over = b.now + 60_000;
    b.run(over - 5000).change({ contact: 'open' });
    b.run(over - Limit.DebounceMs).change({ contact: 'follows' });
    b.run(over + 1000);
    expect([b.kinds().filter((kind) => kind === 'held'), b.s.phase]).toEqual([['held'], Phase.Recharging]);
  });

  it('that expires while the key is turned is reported as well, once', () => {
    const b = new Bench().run(DAY_MS).change({ key: 1 });
    b.run(b.now + 1000);
    expect(takeOrder(b.s, OrderKind.Hold, 60, b.now)).toBe(Reason.None);
    b.run(b.now + 120_000);
    expect(b.of('released').map((r) => r.reason)).toEqual([Reason.OrderedHold]);
    b.change({ key: 0 }).run(b.now + 5000);
    expect(b.of('released').map((r) => r.reason)).toEqual([Reason.OrderedHold, Reason.KeyHold]);
  });
});

describe('a hold by order', () => {
  const ordered8h = 8 * 3600;

  it('does not keep a contact stuck open from being reported, and continues when the fault is cleared', () => {
    const b = new Bench().run(60_000);
    expect(takeOrder(b.s, OrderKind.Hold, ordered8h, b.now)).toBe(Reason.None);
    b.run(120_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Held, Reason.OrderedHold]);
    b.change({ contact: 'open' }).run(120_000 + Limit.RestoreProofMs + 2000);
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.SupplyLost, 1]);
    b.change({ contact: 'follows' }).run(300_000);
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
    b.run(301_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Held, Reason.OrderedHold]);
  });

  it('is entered only when the supply is back, and a contact that sticks after a restore is reported first', () => {
    const b = new Bench().run(60_000).change({ contact: 'open' }).run(62_000);
    expect(takeOrder(b.s, OrderKind.Hold, ordered8h, b.now)).toBe(Reason.None);
    b.run(63_000);
    expect(b.s.phase).toBe(Phase.Recharging);
    b.run(70_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Fault, Reason.SupplyLost]);
  });

  it('by key ends when the mains fail, and an outage is reported', () => {
    const b = new Bench().run(60_000).change({ key: 1 }).run(62_000);
    expect(b.s.phase).toBe(Phase.Held);
    b.change({ mains: 0 }).run(65_000);
    expect([b.s.phase, b.s.reason]).toEqual([Phase.Outage, Reason.None]);
    expect(b.of('outage')).toHaveLength(1);
  });

  it('sees a supply that fails while the key is turned for what it is', () => {
    const b = new Bench().run(60_000);
    takeOrder(b.s, OrderKind.Hold, ordered8h, b.now);
    b.run(61_000).change({ key: 1 }).run(600_000);
    expect(b.s.phase).toBe(Phase.Held);
    expect(b.of('fault')).toEqual([]);
  });

  it('is reported as over when it expires while the supply is briefly off', () => {
    const b = new Bench().run(60_000);
    takeOrder(b.s, OrderKind.Hold, 60, b.now);
    b.run(119_000).change({ contact: 'open' }).run(121_000).change({ contact: 'follows' }).run(140_000);
    expect(b.s.phase).toBe(Phase.Recharging);
    expect(b.s.holdUntil).toBe(0);
    expect(b.of('released')).toHaveLength(1);
  });
});
