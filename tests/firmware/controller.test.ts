import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { ResultRecord } from '../../firmware/contract/messages';
import { PowerCut } from '../../simulator/flash';
import type { SimulatedWire } from '../../simulator/network';
import { Estate, type EstateOptions, HOURS, WINDOW, WINDOW_MS } from '../simulator/estate';
import { sizes } from '../support/depth';

const BRIEF = [[1, TestKind.Brief, WINDOW.start, WINDOW.end]];
const SMALL: EstateOptions = {
  slots: BRIEF,
  settings: { lamps: '0,200,0,3600;1,200,300,3600;' },
};

const results = (e: Estate): ResultRecord[] => e.of('result') as ResultRecord[];

function intents(e: Estate): number {
  return e.of('intent').length;
}

describe('a whole controller on its wire', () => {
  it('is commissioned, runs its planned tests and delivers every record to the log book', () => {
    const e = new Estate({ slots: BRIEF, noise: true }).run(WINDOW_MS + HOURS(1));
    expect(e.of().map((r) => r.kind)).toEqual(['start', 'intent', 'result']);
    const [r] = results(e);
    expect([r.plan, r.test, r.type, r.end, r.seconds]).toEqual([1, 1, TestKind.Brief, Reason.Complete, 65]);
    expect(r.lamps.map((lamp) => lamp[0])).toEqual([1, 1, 1, 1].map(() => Verdict.Pass));
    expect(e.node.controller?.journal.acked).toBe(3);
    expect(e.watch.violations).toEqual([]);
    expect(e.refused).toEqual([]);
  });

  it('reports a running test live, about once a second, and its phases as they change', () => {
    const e = new Estate({ slots: BRIEF }).run(WINDOW_MS + HOURS(1.2));
    expect(e.live.length).toBeGreaterThanOrEqual(60);
    expect(e.live.length).toBeLessThanOrEqual(67);
    expect(e.live[30].ma).toHaveLength(4);
    const phases = e.states.map((s) => s.phase).filter((p, i, all) => i === 0 || p !== all[i - 1]);
    expect(phases.slice(-6)).toEqual([
      Phase.Charged,
      Phase.Opening,
      Phase.Brief,
      Phase.Restoring,
      Phase.Recharging,
      Phase.Charged,
    ]);
  });

  it('closes the relay on an order within a turn of its arrival and answers it', () => {
    const e = new Estate({ slots: BRIEF }).run(WINDOW_MS + 40_000);
    expect(e.node.plant.relay.driven).toBe(true);
    e.order(OrderKind.Restore);
    e.run(WINDOW_MS + 40_000 + 250);
    expect(e.node.plant.relay.driven).toBe(false);
    e.run(WINDOW_MS + 60_000);
    expect(e.replies).toMatchObject([{ counter: 1, ok: 1, reason: 0 }]);
    expect(results(e)[0].end).toBe(Reason.OrderedRestore);
  });

  it('keeps its records while the network is down for a day and delivers each of them once', () => {
    const e = new Estate({ slots: BRIEF }).run(HOURS(20));
    (e.node.net as SimulatedWire).setReachable(false);
    e.run(WINDOW_MS + HOURS(10));
    expect(results(e)).toHaveLength(0);
    (e.node.net as SimulatedWire).setReachable(true);
    e.run(WINDOW_MS + HOURS(15));
    expect(e.of().map((r) => r.seq)).toEqual([1, 2, 3]);
    expect(results(e)[0].end).toBe(Reason.Complete);
    expect(e.refused).toEqual([]);
  });

  it('sends again what a silent log book did not acknowledge', () => {
    const e = new Estate({ slots: BRIEF });
    e.acknowledges = false;
    e.run(HOURS(3));
    expect(e.records).toHaveLength(1);
    expect(e.node.controller?.journal.acked).toBe(0);
    e.acknowledges = true;
    e.run(HOURS(6));
    expect(e.node.controller?.journal.acked).toBe(1);
    expect(e.refused).toEqual([]);
  });

  it('finds settings and plan in flash after a reset, and still owes a full recharge', () => {
    const e = new Estate({ slots: BRIEF }).run(HOURS(10));
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(HOURS(10) + 5000);
    const core = e.node.controller!.core;
    expect([core.set.revision, core.planRevision, core.boot]).toEqual([1, 1, 2]);
    expect(core.autonomyAt).toBeGreaterThanOrEqual(86_400_000);
    e.run(WINDOW_MS + HOURS(7));
    expect(intents(e)).toBe(0);
    expect(e.of().map((r) => r.kind)).toEqual(['start', 'start', 'overdue']);
  });

  it('ignores an order that it carried out before a reset', () => {
    const e = new Estate({ slots: BRIEF }).run(HOURS(1));
    e.order(OrderKind.Hold, 60);
    e.run(HOURS(1) + 10_000);
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(HOURS(1) + 60_000);
    const expires = Math.floor(e.fleet.utcMs() / 1000) + 100;
    e.send('order', { v: 1, counter: 1, expires, do: OrderKind.Hold, arg: 600, who: 'echo' });
    e.run(HOURS(1) + 90_000);
    expect(e.replies.map((r) => r.reason)).toEqual([Reason.None, Reason.Replayed]);
    expect(e.node.controller?.core.phase).toBe(Phase.Recharging);
  });

  it('keeps a hold by order across a reset', () => {
    const e = new Estate({ slots: BRIEF }).run(HOURS(1));
    e.order(OrderKind.Hold, 86_400 * 3);
    e.run(HOURS(2));
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(HOURS(3));
    expect(e.node.controller?.core.phase).toBe(Phase.Held);
    expect(e.node.controller?.core.reason).toBe(Reason.OrderedHold);
    e.order(OrderKind.Release);
    e.run(HOURS(4));
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(HOURS(5));
    expect(e.node.controller?.core.phase).toBe(Phase.Recharging);
  });
});

describe('worn or full flash', () => {
  it('opens nothing once the flash takes no more writes, and keeps only a short queue meanwhile', () => {
    const e = new Estate({ slots: BRIEF }).run(HOURS(20));
    e.node.flash.worn = true;
    for (let i = 0; i < 30; i++)
      e.node.plant.outages.push({ from: HOURS(20.5) + i * 60_000, to: HOURS(20.5) + i * 60_000 + 20_000 });
    e.run(HOURS(22));
    expect(e.node.controller!.core.outCount).toBeLessThanOrEqual(8);
    e.run(WINDOW_MS + HOURS(5));
    expect(e.node.plant.relay.drivenSince).toBe(0);
    expect(e.watch.violations).toEqual([]);
    e.node.flash.worn = false;
    e.run(WINDOW_MS + HOURS(8));
    expect(e.refused).toEqual([]);
    expect(e.of('outage').length).toBeGreaterThan(0);
  });

  it('refuses to open when a journal that nobody acknowledges is full, and reports why', () => {
    const e = new Estate({ slots: BRIEF });
    e.acknowledges = false;
    const span = HOURS(1) / 200;
    for (let i = 0; i < 2000; i++) {
      const from = 600_000 + i * 2000;
      if (i < 250) e.node.plant.outages.push({ from: from + i * span, to: from + i * span + 3000 });
    }
    e.run(HOURS(2));
    const j = e.node.controller!.journal;
    j.offset = j.fileBytes - 100;
    j.olderLast = j.last;
    e.run(WINDOW_MS + HOURS(4));
    expect(e.node.plant.relay.drivenSince).toBe(0);
    expect(e.node.controller!.core.waiting).toBe(Reason.JournalFull);
    expect(e.state?.waiting).toBe(Reason.JournalFull);
  });
});

/** A brief test with the power failing at the given byte written after the window has opened. */
function cutAt(byte: number): { e: Estate; cut: boolean } {
  const e = new Estate(SMALL).run(WINDOW_MS);
  let cut = false;
  const { node } = e;
  const before = node.flash.bytesWritten;
  node.flash.bytesUntilCut = byte;
  const boot = node.boot.bind(node);
  node.boot = () => {
    cut = true;
    // Nothing holds the coil while the board starts: the relay is at rest or releasing.
    expect(node.plant.relay.driven).toBe(false);
    boot();
    expect(node.plant.relay.driven).toBe(false);
  };
  e.run(WINDOW_MS + 100_000);
  expect(node.plant.relay.open).toBe(false);
  node.flash.bytesUntilCut = Number.POSITIVE_INFINITY;
  e.run(WINDOW_MS + HOURS(1));
  expect(node.flash.bytesWritten).toBeGreaterThan(before);
  return { e, cut };
}

describe('a power cut at every byte of a brief test', () => {
  it('leaves the relay at rest and exactly one result for the intent, void where the power failed', () => {
    let byte = 0;
    let reset = 0;
    let never = 0;
    let count = 0;
    for (; ; byte += sizes.cutEvery, count++) {
      const { e, cut } = cutAt(byte);
      const found = results(e);
      expect(found).toHaveLength(intents(e));
      expect(e.refused).toEqual([]);
      expect(e.watch.violations).toEqual([]);
      expect(e.of().map((r) => r.seq)).toEqual(e.of().map((_, i) => i + 1));
      expect(e.node.controller?.core.drive).toBe(0);
      if (!cut) {
        expect(found[0].end).toBe(Reason.Complete);
        break;
      }
      if (found.length === 0) never++;
      else if (found[0].end === Reason.Reset) {
        reset++;
        expect(found[0].lamps.map((lamp) => lamp.slice(0, 2))).toEqual([
          [Verdict.Void, Reason.Reset],
          [Verdict.Void, Reason.Reset],
        ]);
        expect([found[0].plan, found[0].test, found[0].type]).toEqual([1, 1, TestKind.Brief]);
      } else expect(found[0].end).toBe(Reason.Complete);
      expect(e.of('start').length).toBe(2);
    }
    // Both the intent and the result have been cut at every byte.
    expect(never * sizes.cutEvery).toBeGreaterThan(150);
    expect(reset * sizes.cutEvery).toBeGreaterThan(250);
    expect(count).toBe(never + reset);
  });

  it('and another while the next start writes its own records still leave one result', () => {
    for (let byte = 0; byte < 700; byte += 3 * sizes.cutEvery) {
      const e = new Estate(SMALL).run(WINDOW_MS + 40_000);
      expect(e.node.plant.relay.driven).toBe(true);
      e.node.powerOff();
      e.node.flash.bytesUntilCut = byte;
      try {
        e.node.boot();
      } catch (error) {
        expect(error).toBeInstanceOf(PowerCut);
        e.node.powerOff();
      }
      e.node.flash.bytesUntilCut = Number.POSITIVE_INFINITY;
      if (!e.node.controller) e.node.boot();
      e.fleet.schedule(e.node);
      e.run(WINDOW_MS + HOURS(1));
      expect(results(e).map((r) => r.end)).toEqual([Reason.Reset]);
      expect(e.refused).toEqual([]);
      expect(e.node.plant.relay.open).toBe(false);
    }
  });
});

describe('a tester fault', () => {
  it('survives a reset and is cleared only by a person', () => {
    const e = new Estate({ slots: BRIEF });
    e.node.plant.relay.welds.push({ from: 0, to: WINDOW_MS + 60_000 });
    e.run(WINDOW_MS + 60_000);
    expect(e.node.controller?.core.reason).toBe(Reason.RelayStuckClosed);
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(WINDOW_MS + HOURS(1));
    expect([e.node.controller?.core.phase, e.node.red]).toEqual([Phase.Fault, 1]);
    e.order(OrderKind.ClearFault);
    e.run(WINDOW_MS + HOURS(2));
    e.node.powerOff();
    e.node.boot();
    e.fleet.schedule(e.node);
    e.run(WINDOW_MS + HOURS(3));
    expect([e.node.controller?.core.phase, e.node.red]).toEqual([Phase.Recharging, 0]);
  });
});
