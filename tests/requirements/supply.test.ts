// Requirements on cutting the supply and restoring it, and on faults of the tester itself. Status marks: V1
// read in primary text or an authority's page, V2 secondary restatement, M from memory, CP common practice
// without source.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../firmware/contract/codes';
import type { EventRecord } from '../../firmware/contract/messages';
import type { FaultSpec } from '../../simulator/faults';
import { HOURS, WINDOW_MS } from '../simulator/estate';
import {
  allVoid,
  circuit,
  DAY_MS,
  happens,
  LOST_SEC,
  lit,
  onlyResult,
  PASS,
  renewsNoLease,
  results,
  runTo,
  slot,
  toDark,
  verdicts,
} from './rig';

const STICKS: FaultSpec = { kind: 'relay sticks open', at: 0, stickMs: HOURS(1), repairedAt: HOURS(26) };
const WELDED: FaultSpec = { kind: 'relay stuck closed', at: 0, repairedAt: HOURS(99) };
const faulty = (fault: FaultSpec, kind = TestKind.Brief) => circuit(kind, { spec: { faults: [fault] } });
const core = (e: ReturnType<typeof circuit>) => e.node.controller!.core;

describe('the supply after a test', () => {
  it('R04 the end of a test is proven by supply at the luminaires within 5 s, and the time is recorded (EN 50172:2004, 7.2, V2)', () => {
    for (const kind of [TestKind.Brief, TestKind.Full]) {
      const e = circuit(kind).run(WINDOW_MS + HOURS(2));
      const r = onlyResult(e);
      expect(r.restoreMs).toBeGreaterThanOrEqual(0);
      expect(r.restoreMs).toBeLessThan(5000);
      expect([e.node.plant.supplied, e.node.red]).toEqual([true, 0]);
    }
  });

  it('R04 supply that is not back within 5 s lights the red lamp, and stays an alarm until a person has cleared it (EN 50172:2004, 7.2, V2)', () => {
    const e = toDark(faulty(STICKS));
    runTo(e, () => !e.node.plant.relay.driven, WINDOW_MS + HOURS(1));
    const released = e.fleet.now;
    e.run(released + 7000);
    expect([core(e).phase, core(e).reason, e.node.red]).toEqual([Phase.Fault, Reason.RelayStuckOpen, 1]);
    expect((e.of('fault') as EventRecord[]).map((r) => r.reason)).toEqual([Reason.RelayStuckOpen]);
    // Reported again as long as it lasts.
    const told = e.states.length;
    e.run(released + 310_000);
    expect(e.states.length - told).toBeGreaterThanOrEqual(4);
    e.order(OrderKind.ClearFault);
    e.run(released + HOURS(0.5));
    expect(e.replies.map((reply) => reply.reason)).toEqual([Reason.SupplyLost]);
    e.run(released + HOURS(2));
    expect([e.node.plant.supplied, core(e).phase]).toEqual([true, Phase.Fault]);
    e.order(OrderKind.ClearFault);
    e.run(released + HOURS(3));
    expect([core(e).phase, e.node.red]).toEqual([Phase.Recharging, 0]);
  });
});

describe('how a test is made', () => {
  it('R16 the lamps are lit because the supply is really cut, so with a relay that does not cut it nothing passes (IFC activation test, V2 and V1)', () => {
    const sound = toDark(circuit(TestKind.Brief));
    expect([sound.node.plant.supplied, lit(sound)]).toEqual([false, [true, true, true, true]]);
    const e = faulty(WELDED).run(WINDOW_MS + HOURS(1));
    // Lamps 1 and 2 are lit on mains at more than their battery current, and still prove nothing.
    expect(e.node.plant.supplied).toBe(true);
    const [r] = results(e);
    expect(verdicts(r)).toEqual(allVoid(r, Reason.RelayStuckClosed));
  });

  it('R27 no main isolator is operated: with the key kept in series, luminaires are tested by hand and the controller treats it as a hold (Tyne & Wear FRS, V1)', () => {
    const from = HOURS(40);
    const e = happens(circuit(TestKind.Brief, { slots: [] }), 'keys', from, 900).run(from + 10_000);
    expect([e.node.plant.supplied, lit(e)]).toEqual([false, [true, true, true, true]]);
    expect([core(e).phase, core(e).reason]).toEqual([Phase.Held, Reason.KeyHold]);
    e.run(from + 1_000_000);
    expect(e.of().map((r) => r.kind)).toEqual(['start', 'held', 'released']);
    expect(e.node.plant.supplied).toBe(true);
    expect(e.watch.violations).toEqual([]);
  });

  it('R29 without the controller the supply is on: the board loses its power during a test and the supply is back within 2 s (IEC 60598-2-22, 22.20, M)', () => {
    const e = toDark(circuit(TestKind.Full)).run(WINDOW_MS + HOURS(0.5));
    e.node.powerOff();
    e.fleet.schedule(e.node);
    e.run(e.fleet.now + 2000);
    expect([e.node.plant.relay.open, e.node.plant.supplied]).toEqual([false, true]);
    e.run(WINDOW_MS + DAY_MS);
    expect(e.node.plant.supplied).toBe(true);
  });

  it('R29 a running test ends by itself: nobody has to end it, whatever happens to host and network (IEC 60598-2-22, 22.20, M)', () => {
    const e = toDark(circuit(TestKind.Full));
    e.node.net.close();
    e.acknowledges = false;
    e.run(WINDOW_MS + HOURS(1) + 60_000);
    expect(e.node.plant.supplied).toBe(true);
    expect(e.watch.violations).toEqual([]);
  });

  it('R29 a program that runs on but no longer renews its hold loses the relay within 5 s, wherever its test stands (IEC 60598-2-22, 22.20, M; time CP)', () => {
    for (const afterSec of [1, 20, 59, 600, 2000, 3590]) {
      const e = toDark(circuit(TestKind.Full));
      e.run(e.node.plant.suppliedChangedAt + afterSec * 1000);
      expect(e.node.plant.supplied).toBe(false);
      renewsNoLease(e);
      e.run(e.fleet.now + LOST_SEC * 1000);
      expect(e.node.plant.supplied, `${afterSec} s into the test`).toBe(true);
      e.run(WINDOW_MS + HOURS(3));
      expect(e.node.plant.supplied).toBe(true);
    }
  });

  it('R29 turning the key ends a running test and holds all others until it is turned back (IEC 60598-2-22, 22.20, M)', () => {
    const slots = [slot(1, TestKind.Brief), slot(2, TestKind.Brief, 1)];
    const e = toDark(circuit(TestKind.Brief, { slots }));
    happens(e, 'keys', e.fleet.now + 10_000, 30 * 3600).run(WINDOW_MS + DAY_MS + HOURS(4));
    expect(results(e).map((r) => r.end)).toEqual([Reason.KeyHold]);
    expect([core(e).phase, e.node.plant.relay.driven]).toEqual([Phase.Held, false]);
  });
});

describe('a fault of the tester', () => {
  const welded = () => faulty(WELDED);
  const fellBack = () => {
    // A verdict given before the fault is withdrawn with the others.
    const e = toDark(faulty({ kind: 'dead lamp', luminaire: 'l0', at: 0 }, TestKind.Full));
    e.run(WINDOW_MS + HOURS(0.2));
    // The spring closes the contact although the coil is driven.
    e.node.plant.relay.welds.push({ from: 0, to: HOURS(99) });
    e.node.plant.relay.pulled = false;
    e.fleet.schedule(e.node);
    return e;
  };
  const auxWrong = () => {
    const e = circuit(TestKind.Brief);
    Object.defineProperty(e.node.controller!.core.in, 'aux', { get: () => 0, set: () => undefined });
    return e;
  };

  it.each([
    ['a contact welded closed', Reason.RelayStuckClosed, welded],
    ['a contact that closes in the middle', Reason.RelayFellBack, fellBack],
    ['an auxiliary contact that contradicts the senses', Reason.AuxDisagrees, auxWrong],
  ])(
    'R33 %s is a tester fault, and no luminaire passes or fails because of it (design, CP)',
    (_n, why, make) => {
      const e = make().run(WINDOW_MS + HOURS(2));
      const r = onlyResult(e);
      expect([r.end, verdicts(r)]).toEqual([why, allVoid(r, why)]);
      expect([core(e).phase, core(e).reason, e.node.red]).toEqual([Phase.Fault, why, 1]);
      expect((e.of('fault') as EventRecord[]).map((f) => f.reason)).toEqual([why]);
      expect(e.node.plant.relay.driven).toBe(false);
    },
  );

  it('R33 a contact that sticks open is reported as such and leaves the verdicts proven before it in force (design, CP)', () => {
    const e = faulty(STICKS).run(WINDOW_MS + 200_000);
    const r = onlyResult(e);
    expect([r.end, r.restoreMs, verdicts(r)]).toEqual([Reason.Complete, -1, [PASS, PASS, PASS, PASS]]);
    expect(core(e).reason).toBe(Reason.RelayStuckOpen);
  });

  it('R33 a contact with a hanging armature is freed by exercising it, but the tester fault stays until a person clears it (design, CP)', () => {
    const hangs: FaultSpec = {
      kind: 'relay sticks until exercised',
      at: 0,
      exercises: 2,
      repairedAt: HOURS(99),
    };
    const e = faulty(hangs).run(WINDOW_MS + 100_000);
    expect([e.node.plant.supplied, core(e).reason]).toEqual([false, Reason.RelayStuckOpen]);
    e.run(WINDOW_MS + 300_000);
    expect([e.node.plant.supplied, core(e).phase, e.node.red]).toEqual([true, Phase.Fault, 1]);
    expect(e.of('supply')).toHaveLength(1);
    expect(e.watch.violations).toEqual([]);
  });

  it('R33 a contact that chatters as it moves leads to no false verdict: the test is judged by what was measured afterwards, or it is void (design, CP)', () => {
    for (const bounceMs of [100, 300, 700, 1500, 4000]) {
      const e = faulty({ kind: 'relay bounces', at: 0, bounceMs, repairedAt: HOURS(99) });
      e.run(WINDOW_MS + HOURS(0.5));
      const r = onlyResult(e);
      if (r.end === Reason.Complete) expect(verdicts(r)).toEqual([PASS, PASS, PASS, PASS]);
      else expect(verdicts(r)).toEqual(allVoid(r, r.end));
      expect(e.node.plant.supplied).toBe(true);
    }
  });

  it('R33 with a tester fault no test starts, planned or ordered, and a restart does not clear it (design, CP)', () => {
    const slots = [slot(1, TestKind.Brief), slot(2, TestKind.Brief, 1), slot(3, TestKind.Brief, 2)];
    const e = circuit(TestKind.Brief, { slots, spec: { faults: [WELDED] } }).run(WINDOW_MS + HOURS(1));
    const openings = e.watch.openings;
    e.run(WINDOW_MS + DAY_MS + HOURS(1));
    e.order(OrderKind.Test, TestKind.Brief);
    e.run(WINDOW_MS + DAY_MS + HOURS(2));
    expect(e.replies.map((reply) => reply.reason)).toEqual([Reason.Busy]);
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(WINDOW_MS + 2 * DAY_MS + HOURS(2));
    expect([core(e).phase, core(e).reason, e.node.red]).toEqual([Phase.Fault, Reason.RelayStuckClosed, 1]);
    expect(e.watch.openings).toBe(openings);
  });
});
