// What an opening leaves behind when it ends: its slot or night, its result, the charge it owes; and clock
// jumps meanwhile.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { queueRecord } from '../../../firmware/core/records';
import { Stage } from '../../../firmware/core/state';
import { step, takeAnswer, takeOrder } from '../../../firmware/core/step';
import { Bench, DAY_MS, HOUR_MS, IN_WINDOW, SHARED, START, WINDOW, type World } from './bench';

/** A minute into the fallback window of 01:00 to 06:00 of the second day. */
const FALLBACK_MS = DAY_MS + 3_660_000;

/** Two answers of a host whose clock is `offMs` ahead; the second agrees with the first. */
function jump(b: Bench, offMs: number): number {
  const answer = () => takeAnswer(b.s, START * 1000 + b.now + offMs, b.now, b.now);
  expect(answer()).toBe(0);
  b.run(b.now + Limit.ClockConfirmMs);
  return answer();
}

describe('a clock that jumps', () => {
  it('ends a test that is in no permitted window by the new time, and reports both', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    expect(jump(b, 12 * HOUR_MS)).toBe(43_200);
    expect([b.s.drive, b.s.leaseUntil, b.s.phase]).toEqual([0, 0, Phase.Restoring]);
    b.run(b.now + 10_000);
    expect(b.kinds()).toEqual(['start', 'intent', 'clock', 'result', 'overdue']);
    expect(b.of('clock').map((r) => [r.reason, r.arg])).toEqual([[Reason.ClockFault, 43_200]]);
    expect(b.result().end).toBe(Reason.OutsideWindow);
    expect(b.broken).toEqual([]);
  });

  it('lets a test continue that is in the window by both times', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    expect(jump(b, HOUR_MS)).toBe(3600);
    expect(b.s.phase).toBe(Phase.Brief);
    b.run(b.now + 300_000);
    expect([b.result().end, b.of('clock')[0].arg]).toEqual([Reason.Complete, 3600]);
  });

  it('ends nothing where nothing is open', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    expect(jump(b, 12 * HOUR_MS)).toBe(43_200);
    expect(b.s.phase).toBe(Phase.Charged);
    b.run(b.now + 60_000);
    expect(b.kinds()).toEqual(['start', 'clock']);
  });

  it('does not touch a contact stuck open whose coil is being exercised', () => {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    b.change({ contact: 'open' }).runTo(() => b.s.phase === Phase.Fault, b.now + 200_000);
    b.run(b.s.exerciseAt + 1000);
    // The second answer arrives during the second exercise.
    b.run(b.s.exerciseAt + Limit.LoopMs - Limit.ClockConfirmMs);
    expect(jump(b, 12 * HOUR_MS)).toBe(43_200);
    expect([b.s.drive, b.s.phase, b.s.reason]).toEqual([1, Phase.Fault, Reason.RelayStuckOpen]);
    b.run(b.now + 60_000);
    expect(b.of('result')).toHaveLength(1);
  });

  it('is not reported when the answer only agrees with the clock', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    expect(jump(b, 500)).toBe(0);
    b.run(b.now + 60_000);
    expect(b.kinds()).toEqual(['start']);
  });
});

describe('the slot of a test', () => {
  const TWO_NIGHTS = [
    [1, TestKind.Brief, WINDOW.from, WINDOW.to],
    [1, TestKind.Brief, WINDOW.from + 86_400, WINDOW.to + 86_400],
  ];
  const ended: [string, (b: Bench) => unknown, Partial<World>, number][] = [
    ['a person who orders the restore', (b) => takeOrder(b.s, OrderKind.Restore, 0, b.now), {}, 1],
    ['the stop input', (b) => b.change({ stop: 1 }), { stop: 0 }, 1],
    ['the key', (b) => b.change({ key: 1 }), { key: 0 }, 1],
    ['a person who orders a hold', (b) => takeOrder(b.s, OrderKind.Hold, 60, b.now), {}, 1],
    ['someone who arrives', (b) => b.change({ occupied: 1 }), { occupied: 0 }, 2],
  ];
  it.each(ended)('ended by %s is tried again the same night only where nobody wanted it to end', (...row) => {
    const [, end, after, results] = row;
    // No recharge is owed: only the slot keeps the test from starting again.
    const b = new Bench({ ...SHARED, rechargeSec: 3600, briefRechargeSec: 0 }).plan(TWO_NIGHTS);
    b.runToDischarge().run(b.now + 10_000);
    end(b);
    b.run(b.now + 30_000);
    b.change(after).run((WINDOW.to - START) * 1000);
    expect(b.of('result')).toHaveLength(results);
    b.run((WINDOW.to - START) * 1000 + DAY_MS);
    const last = b.of('result')[b.of('result').length - 1];
    expect([b.of('result').length, last.end]).toEqual([2, Reason.Complete]);
  });
});

describe('the night of the fallback schedule', () => {
  const night = Math.floor((START + FALLBACK_MS / 1000 - 43_200) / 86_400);

  /** The fallback schedule wants a brief test; someone arrives when it has just begun. */
  function disturbed(): Bench {
    const b = new Bench({ ...SHARED, briefRechargeSec: 0 }).plan([], START + 3600);
    b.s.lastLongUtc = START;
    b.run(FALLBACK_MS - 60_000);
    expect(b.s.fallbackNight).toBe(-1);
    b.runTo(() => b.s.phase === Phase.Brief, FALLBACK_MS + 60_000);
    b.change({ occupied: 1 }).run(b.now + 10_000);
    return b.change({ occupied: 0 });
  }

  it('is used up by a test that has opened the relay, however it ended', () => {
    const b = disturbed();
    expect(b.s.fallbackNight).toBe(night);
    b.run(DAY_MS + 22_000_000);
    expect(b.of('result').map((r) => [r.plan, r.test, r.end])).toEqual([[0, night, Reason.Occupied]]);
    b.run(b.now + DAY_MS);
    expect(b.of('result').map((r) => [r.test, r.end])).toEqual([
      [night, Reason.Occupied],
      [night + 1, Reason.Complete],
    ]);
  });

  it('is used up by a try whose intent the flash refused, though a person clears the fault at once', () => {
    const b = new Bench({ ...SHARED, briefRechargeSec: 0 }).plan([], START + 3600);
    b.s.lastLongUtc = START;
    b.storable = 0;
    b.runTo(() => b.s.phase === Phase.Fault, FALLBACK_MS + 60_000);
    b.storable = 1;
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
    b.run(DAY_MS + 22_000_000);
    expect(b.of('intent').map((r) => r.test)).toEqual([night]);
    expect(b.of('result').map((r) => [r.test, r.end])).toEqual([[night, Reason.FlashFault]]);
  });

  it('is not used up by a planned test, nor by an ordered one', () => {
    const planned = new Bench().planned(TestKind.Brief).runToDischarge();
    expect([planned.s.test, planned.s.fallbackNight]).toEqual([1, -1]);
    const ordered = new Bench().plan([[1, TestKind.None, WINDOW.from, WINDOW.to]]).run(IN_WINDOW);
    expect(takeOrder(ordered.s, OrderKind.Test, TestKind.Brief, ordered.now)).toBe(Reason.None);
    ordered.run(ordered.now + 10_000);
    expect([ordered.s.phase, ordered.s.test, ordered.s.fallbackNight]).toEqual([Phase.Brief, 0, -1]);
  });
});

describe('the result', () => {
  /**
   * A test that has ended and whose supply is about to be proven back, with this many records still waiting.
   */
  function waitingWith(records: number): { b: Bench; texts: string[] } {
    const b = new Bench().planned(TestKind.Brief).runToDischarge();
    takeOrder(b.s, OrderKind.Restore, 0, b.now);
    b.runTo(() => b.s.stage === Stage.Closed, b.now + 5000);
    b.change({ mains: 1 });
    for (let i = 0; i < records; i++) queueRecord(b.s, `"kind":"supply","arg":${i}`);
    b.s.in.supplyB = 1;
    step(b.s, b.now);
    step(b.s, b.now + Limit.DebounceMs);
    return { b, texts: b.s.out.slice(0, b.s.outCount) };
  }
  const kindOf = (text: string): string => JSON.parse(`{${text}}`).kind;
  const argOf = (text: string): number => JSON.parse(`{${text}}`).arg;

  it('is queued behind everything that waits while there is room', () => {
    const { texts } = waitingWith(Limit.QueuedRecords - 1);
    expect(texts.map(kindOf)).toEqual([...Array(7).fill('supply'), 'result']);
    expect(texts.slice(0, 7).map(argOf)).toEqual([0, 1, 2, 3, 4, 5, 6]);
  });

  it('replaces the newest record when the queue is full: every opening gets its result', () => {
    const { texts } = waitingWith(Limit.QueuedRecords);
    expect(texts.map(kindOf)).toEqual([...Array(7).fill('supply'), 'result']);
    expect(texts.slice(0, 7).map(argOf)).toEqual([0, 1, 2, 3, 4, 5, 6]);
  });
});
