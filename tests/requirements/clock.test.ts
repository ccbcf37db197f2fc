// Requirements on timing faults. Civil time only schedules and stamps; the length of a test is counted by the
// monotonic clock. Status marks: V1 read in primary text or an authority's page, V2 secondary restatement, M
// from memory, CP common practice without source.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import type { EventRecord } from '../../firmware/contract/messages';
import type { SimulatedWire } from '../../simulator/network';
import { type Estate, HOURS, START_MS, WINDOW_MS } from '../simulator/estate';
import { allVoid, circuit, onlyResult, results, toDark, verdicts } from './rig';

const core = (e: Estate) => e.node.controller!.core;
const jumps = (e: Estate): number[] => (e.of('clock') as EventRecord[]).map((r) => r.arg);

/** The host answers with a clock that is `offMs` ahead of true time. */
function hostSays(e: Estate, offMs: number): void {
  const up = e.fleet.now - e.node.bootAt;
  e.send('time', { v: 1, boot: core(e).boot, up, utc: START_MS + e.fleet.now + offMs });
  e.run(e.fleet.now + 1000);
}

/** From now on every answer of the host is off by that much. */
function hostIsOff(e: Estate, offMs: (now: number) => number): void {
  const { fleet } = e;
  fleet.utcMs = () => START_MS + fleet.now + offMs(fleet.now);
}

describe('civil time from the host', () => {
  it("R30 one answer that contradicts the controller's own clock changes nothing, and no test starts while the two disagree (IEC 62034, 4.2, title V1)", () => {
    const e = circuit(TestKind.Brief).run(WINDOW_MS - 60_000);
    const base = core(e).utcBase;
    hostSays(e, HOURS(-6));
    expect(core(e).utcBase).toBe(base);
    // Nobody answers any more, so nothing resolves the doubt. Tests must not stop for good: the wait lasts an
    // hour.
    (e.node.net as SimulatedWire).setReachable(false);
    e.run(WINDOW_MS + HOURS(0.75));
    expect([core(e).waiting, e.watch.openings]).toEqual([Reason.ClockUntrusted, 0]);
    e.run(WINDOW_MS + HOURS(1.5));
    expect([core(e).utcBase, e.watch.openings]).toEqual([base, 1]);
  });

  it('R30 no single wrong answer opens a relay at noon (IEC 62034, 4.2, title V1)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(24) - HOURS(1));
    // Two hours before the window by true time, in the middle of it by the host's clock.
    hostSays(e, HOURS(3));
    e.run(WINDOW_MS - 1000);
    expect([e.watch.openings, e.watch.violations]).toEqual([0, []]);
  });

  it('R30 a jump that a second answer confirms is accepted, and recorded with its size (IEC 62034, 4.2, title V1)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(10));
    for (let i = 0; i < 2; i++) {
      hostSays(e, 600_000);
      e.run(e.fleet.now + 40_000);
    }
    expect(jumps(e)).toHaveLength(1);
    expect(Math.abs(jumps(e)[0] - 600)).toBeLessThanOrEqual(1);
    expect((e.of('clock') as EventRecord[])[0].reason).toBe(Reason.ClockFault);
  });

  it('R30 the length of a running test does not follow the civil clock, forward or back (IEC 62034, 4.2, title V1)', () => {
    for (const offMs of [1_200_000, -300_000]) {
      const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + HOURS(0.5));
      hostIsOff(e, () => offMs);
      for (let i = 0; i < 2; i++) {
        hostSays(e, offMs);
        e.run(e.fleet.now + 40_000);
      }
      expect(jumps(e)).toHaveLength(1);
      e.run(WINDOW_MS + HOURS(2));
      expect([onlyResult(e).end, onlyResult(e).seconds]).toEqual([Reason.Complete, 3600]);
    }
  });

  it('R30 a running test that falls outside every window by the corrected time ends at once (IEC 62034, 4.2, title V1)', () => {
    const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + HOURS(0.5));
    hostIsOff(e, () => HOURS(8));
    for (let i = 0; i < 2; i++) {
      hostSays(e, HOURS(8));
      e.run(e.fleet.now + 40_000);
    }
    const [r] = results(e);
    expect([r.end, verdicts(r)]).toEqual([Reason.OutsideWindow, allVoid(r, Reason.OutsideWindow)]);
    expect(e.node.plant.supplied).toBe(true);
  });
});

describe('a clock that runs at a wrong rate', () => {
  /** A crystal, or a host, that is off by one part in twenty; the host answers every minute. */
  function drift(e: Estate, untilMs: number): void {
    const from = e.fleet.now;
    hostIsOff(e, (now) => (now - from) / 20);
    while (e.fleet.now < untilMs && core(e).phase !== Phase.Fault) {
      hostSays(e, (e.fleet.now - from) / 20);
      e.run(e.fleet.now + 59_000);
    }
  }

  it('R30 is a tester fault: reported, shown on the red lamp, and nothing starts until a person has cleared it (IEC 62034, 4.2, title V1; limits CP)', () => {
    const e = circuit(TestKind.Brief).run(HOURS(10));
    drift(e, HOURS(12));
    e.run(e.fleet.now + 10_000);
    expect([core(e).phase, core(e).reason, e.node.red]).toEqual([Phase.Fault, Reason.ClockFault, 1]);
    expect((e.of('fault') as EventRecord[]).map((r) => r.reason)).toEqual([Reason.ClockFault]);
    expect(e.state?.reason).toBe(Reason.ClockFault);
    hostIsOff(e, () => 0);
    e.run(WINDOW_MS + HOURS(3));
    expect(e.watch.openings).toBe(0);
    e.order(OrderKind.ClearFault);
    e.run(WINDOW_MS + HOURS(4));
    expect(core(e).phase).not.toBe(Phase.Fault);
  });

  it('R30 makes a running test void, because its length proves nothing (IEC 62034, 4.2, title V1)', () => {
    const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + 120_000);
    drift(e, WINDOW_MS + HOURS(1));
    const [r] = results(e);
    expect([r.end, verdicts(r)]).toEqual([Reason.ClockFault, allVoid(r, Reason.ClockFault)]);
    expect(e.node.plant.supplied).toBe(true);
  });
});
