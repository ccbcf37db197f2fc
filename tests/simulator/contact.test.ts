// Contacts that stick or chatter, in the modelled circuit, with the records as they reach the log book.
import { describe, expect, it } from 'vitest';
import { Phase, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { EventRecord, ResultRecord } from '../../firmware/contract/messages';
import type { FaultSpec } from '../../simulator/faults';
import { Estate, HOURS, WINDOW, WINDOW_MS } from './estate';

const BRIEF = [[1, TestKind.Brief, WINDOW.start, WINDOW.end]];
const MENDED = HOURS(1000);

function estate(fault: FaultSpec): Estate {
  return new Estate({ slots: BRIEF, noise: true, spec: { faults: [fault] } });
}

describe('a contact that sticks open', () => {
  it.each([1, 2, 3])('comes free with exercise %i, and the fault stays until it is cleared', (exercises) => {
    const e = estate({ kind: 'relay sticks until exercised', at: 0, exercises, repairedAt: MENDED });
    e.run(WINDOW_MS + HOURS(1));
    expect(e.watch.violations).toEqual([]);
    expect(e.of().map((r) => r.kind)).toEqual(['start', 'intent', 'result', 'fault', 'supply']);
    const without = (e.of('supply')[0] as EventRecord).arg;
    const expected = [10, 60, 600][exercises - 1];
    expect(without - expected).toBeGreaterThanOrEqual(0);
    expect(without - expected).toBeLessThanOrEqual(3);
    expect(e.state).toMatchObject({ phase: Phase.Fault, reason: Reason.RelayStuckOpen });
    expect(e.node.plant.supplied).toBe(true);
  });

  it('stays dark and alarmed where three exercises do not free it', () => {
    const e = estate({ kind: 'relay sticks until exercised', at: 0, exercises: 4, repairedAt: MENDED });
    e.run(WINDOW_MS + HOURS(2));
    expect(e.watch.violations).toEqual([]);
    expect([e.node.plant.supplied, e.node.red]).toEqual([false, 1]);
    // Bit 2 of the state: the coil is driven.
    const driven = e.states.filter((s) => s.phase === Phase.Fault && s.bits & 4);
    expect(driven).toHaveLength(3);
  });
});

describe('the watch', () => {
  function cheated(change: (e: Estate) => void): string[] {
    const e = estate({ kind: 'relay sticks until exercised', at: 0, exercises: 9, repairedAt: MENDED });
    e.run(WINDOW_MS + HOURS(0.5));
    change(e);
    e.fleet.schedule(e.node);
    e.run(WINDOW_MS + HOURS(1));
    return e.watch.violations.map((sentence) => sentence.replace(/^.*?Z: /, ''));
  }

  it('sees a fourth exercise', () => {
    const said = cheated((e) => {
      Object.assign(e.node.controller!.core, { exercisesLeft: 1, exerciseAt: 0, wakeAt: 0 });
    });
    expect(said).toEqual(['I6 the coil is exercised too often']);
  });

  it('sees an exercise that lasts too long', () => {
    const said = cheated((e) => {
      const { core } = e.node.controller!;
      Object.assign(core, {
        drive: 1,
        leaseUntil: e.fleet.now + 60_000,
        openAt: e.fleet.now + 60_000,
        wakeAt: 0,
      });
    });
    expect(said).toContain('I6 the coil is exercised for too long');
  });
});

describe('a contact that chatters', () => {
  it('for 200 ms on make and break changes no verdict and barely shifts a time', () => {
    const sound = estate({ kind: 'relay bounces', at: 0, bounceMs: 0, repairedAt: MENDED });
    const e = estate({ kind: 'relay bounces', at: 0, bounceMs: 200, repairedAt: MENDED });
    const [still, moving] = [sound, e].map(
      (x) => x.run(WINDOW_MS + HOURS(1)).of('result')[0] as ResultRecord,
    );
    expect(e.watch.violations).toEqual([]);
    expect(moving.lamps.map((lamp) => lamp.slice(0, 3))).toEqual(still.lamps.map((lamp) => lamp.slice(0, 3)));
    expect(moving.end).toBe(Reason.Complete);
    expect(moving.openMs - still.openMs).toBeLessThanOrEqual(250);
    expect(moving.restoreMs - still.restoreMs).toBeLessThanOrEqual(250);
    expect(e.of().map((r) => r.kind)).toEqual(['start', 'intent', 'result']);
  });

  it('permanently when it should open is a relay stuck closed', () => {
    const e = estate({
      kind: 'relay bounces',
      at: 0,
      bounceMs: HOURS(1),
      repairedAt: WINDOW_MS + HOURS(0.01),
    });
    e.run(WINDOW_MS + HOURS(1));
    const r = e.of('result')[0] as ResultRecord;
    expect([r.end, r.openMs]).toEqual([Reason.RelayStuckClosed, -1]);
    expect(r.lamps.every((lamp) => lamp[0] === Verdict.Void)).toBe(true);
    expect(e.state).toMatchObject({ phase: Phase.Fault, reason: Reason.RelayStuckClosed });
    expect(e.watch.violations).toEqual([]);
  });

  it('permanently when it should close is a relay stuck open', () => {
    const at = WINDOW_MS + 60_000;
    const e = estate({ kind: 'relay bounces', at, bounceMs: HOURS(1), repairedAt: at + HOURS(0.2) });
    e.run(WINDOW_MS + 100_000);
    const r = e.of('result')[0] as ResultRecord;
    expect([r.end, r.restoreMs]).toEqual([Reason.Complete, -1]);
    expect([e.state?.phase, e.state?.reason, e.node.red]).toEqual([Phase.Fault, Reason.RelayStuckOpen, 1]);
    e.run(WINDOW_MS + HOURS(2));
    expect(e.watch.violations).toEqual([]);
  });
});
