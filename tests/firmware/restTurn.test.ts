// What a controller does in turns with no other work: it compares the clock chip with its clock, and tests
// itself. Never with the relay open, nor shortly before anything is due.
import { describe, expect, it } from 'vitest';
import { ClockTrust, OrderKind, Phase, Reason, SelfTest, TestKind } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import type { EventRecord } from '../../firmware/contract/messages';
import type { FaultSpec } from '../../simulator/faults';
import { replay } from '../../simulator/replay/replay';
import { readTrace } from '../../simulator/replay/trace';
import { Estate, HOURS, WINDOW, WINDOW_MS } from '../simulator/estate';

const BRIEF = [[1, TestKind.Brief, WINDOW.start, WINDOW.end]];

function estate(faults: FaultSpec[] = [], slots = BRIEF): Estate {
  return new Estate({ slots, spec: { faults, clockChip: { ppm: 3 } } });
}

const events = (e: Estate, kind: string): number[][] =>
  (e.of(kind) as EventRecord[]).map((r) => [r.reason, r.arg]);

describe('a clock chip', () => {
  it('is set once by the first signed time, and again after a month', () => {
    const e = estate([], []).run(HOURS(1));
    expect(events(e, 'chip')).toEqual([[Reason.None, 0]]);
    e.run(HOURS(29 * 24));
    expect(e.node.boardPlant.clockChip?.sets).toBe(1);
    e.run(HOURS(31 * 24));
    expect(events(e, 'chip')).toEqual([
      [Reason.None, 0],
      [Reason.None, 0],
    ]);
  });

  it('keeps the clock running through a restart, coasting until an answer comes', () => {
    const cut = HOURS(10);
    const e = estate([
      { kind: 'power cut', at: cut, to: cut + HOURS(5) },
      { kind: 'network partition', at: cut, to: cut + HOURS(8) },
    ]).run(cut + HOURS(7));
    const { core } = e.node.controller!;
    expect([core.clockSet, core.chipErrorSec, core.waiting]).toEqual([1, 8, Reason.None]);
    e.run(cut + HOURS(20));
    const start = e.of('start')[1];
    expect(start.clock).toBe(ClockTrust.Coasting);
    expect(Math.abs(start.utc - (WINDOW.start - 90_000 + (cut + HOURS(5)) / 1000))).toBeLessThan(3);
    expect(core.chipErrorSec).toBe(0);
    expect(events(e, 'clock')).toEqual([]);
  });

  it('that was found wrong is corrected, recorded, and trusted again after a day', () => {
    const at = HOURS(20);
    const e = estate([{ kind: 'clock chip jumps', at, jumpMs: -HOURS(2) }], []).run(at + HOURS(8));
    expect(events(e, 'chip')[1]).toEqual([Reason.ClockFault, expect.closeTo(-7200, -1)]);
    expect(e.node.controller?.core.chipSetUtc).toBe(0);
    e.run(at + HOURS(40));
    expect(events(e, 'chip').slice(2)).toEqual([[Reason.None, 0]]);
    expect(e.node.controller?.core.phase).toBe(Phase.Charged);
  });

  it('that does not answer is reported once a day, and stops nothing', () => {
    const e = estate([{ kind: 'clock chip silent', at: 1, repairedAt: HOURS(60) }]).run(HOURS(59));
    expect(events(e, 'chip')).toEqual([0, 1, 2].map(() => [Reason.ClockFault, 0]));
    expect(e.of('result')).toHaveLength(1);
  });

  it('and a clock that nobody can vouch for stop testing when they disagree', () => {
    const at = HOURS(20);
    const e = estate([
      { kind: 'network partition', at, to: HOURS(200) },
      { kind: 'clock chip jumps', at: at + HOURS(16), jumpMs: HOURS(1) },
    ]).run(HOURS(40));
    const { core } = e.node.controller!;
    expect([core.phase, core.reason]).toEqual([Phase.Fault, Reason.ClockFault]);
    // The clock itself has not moved.
    expect(Math.abs(core.utcBase / 1000 - (WINDOW.start - 90_000))).toBeLessThan(2);
  });

  it.each([
    ['was never set by this controller', { at: 0 }],
    ['says that it stopped', { at: HOURS(11) }],
  ])('that %s starts no clock', (_what, { at }) => {
    const cut = HOURS(10);
    const e = estate([
      { kind: 'clock chip empty', at: at || cut + 1000 },
      { kind: 'power cut', at: cut, to: cut + HOURS(5) },
      { kind: 'network partition', at: cut, to: HOURS(100) },
    ]).run(HOURS(50));
    const { core } = e.node.controller!;
    expect([core.clockSet, core.waiting, core.phase]).toEqual([0, Reason.ClockUntrusted, Phase.Charged]);
  });

  it('appears in a trace, and a replay decides the same', () => {
    const e = estate([{ kind: 'clock chip jumps', at: WINDOW_MS - HOURS(0.4), jumpMs: 60_000 }]);
    e.run(WINDOW_MS - HOURS(0.5));
    // Its next look falls between the order and the test.
    e.node.controller!.core.chipAt = e.node.boardNow() + HOURS(0.3);
    e.fleet.schedule(e.node);
    e.order(OrderKind.Trace, Limit.TraceCharsMax);
    e.run(WINDOW_MS + HOURS(4));
    const trace = readTrace(e.records);
    expect(replay(trace).difference).toBeUndefined();
    expect(trace.given.map(({ what }) => what)).toEqual(expect.arrayContaining(['chip', 'chip set']));
    expect(trace.bodies.some((body) => body.includes('"kind":"chip"'))).toBe(true);
  });
});

describe('a self-test', () => {
  it('that finds something is a tester fault, which a person clears and the next finding brings back', () => {
    const at = HOURS(5);
    const e = estate([{ kind: 'program damaged', at, repairedAt: HOURS(20) }]).run(at + HOURS(1));
    expect(events(e, 'fault')).toEqual([[Reason.SelfTest, SelfTest.Program]]);
    expect(e.node.red).toBe(1);
    e.order(OrderKind.ClearFault);
    e.run(at + HOURS(2));
    expect(events(e, 'fault')).toHaveLength(2);
    e.run(HOURS(21));
    e.order(OrderKind.ClearFault);
    e.run(WINDOW_MS + HOURS(1));
    expect([events(e, 'fault').length, e.of('result').length]).toEqual([2, 1]);
  });

  it('is made in no turn of a test, nor in the five minutes before one', () => {
    const e = estate();
    const made: number[] = [];
    e.run(HOURS(1));
    const { board } = e.node.controller!;
    board.selfTest = () => {
      made.push(e.fleet.now);
      expect([Phase.Charged, Phase.Recharging]).toContain(e.node.controller?.core.phase);
      expect(e.node.plant.relay.driven).toBe(false);
      return SelfTest.None;
    };
    // So that the simulator gives them their turns: this port finds nothing.
    e.node.boardPlant.ailments.push({ from: 0, to: HOURS(1000), test: SelfTest.Memory });
    e.run(WINDOW_MS + HOURS(1));
    expect(e.of('result')).toHaveLength(1);
    const opened = WINDOW_MS;
    expect(made.filter((at) => at > opened - 300_000 && at < opened + 65_000)).toEqual([]);
    // Else once a minute.
    expect(made.length).toBeGreaterThan(23.8 * 60);
    for (let i = 1; i < made.length; i++) expect(made[i] - made[i - 1]).toBeGreaterThanOrEqual(60_000);
  });
});
