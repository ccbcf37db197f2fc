// What a restart knows of the time before, beyond what the controller's own test shows.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind } from '../../../firmware/contract/codes';
import { closeLostOpening, newRecovery, recoverRecord } from '../../../firmware/core/recovery';
import { nightOf, SlotState } from '../../../firmware/core/schedule';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, IN_WINDOW, WINDOW } from './bench';

const HOUR_MS = 3_600_000;

/** A controller that finds these records in its journal. */
function restarted(texts: string[], fresh = new Bench()): Bench {
  const recall = newRecovery();
  for (const text of texts) recoverRecord(fresh.s, recall, text);
  closeLostOpening(fresh.s, recall, 0);
  fresh.s.reason = recall.fault;
  fresh.perform();
  return fresh;
}

const head = (kind: string) => `{"boot":3,"utc":${WINDOW.from},"clock":2,"kind":"${kind}"`;

describe('a restart', () => {
  it.each([TestKind.Limited, TestKind.Commissioning])(
    'closes an opening of kind %i with its own kind, void for every lamp',
    (kind) => {
      const b = restarted([`${head('intent')},"plan":1,"test":4,"type":${kind}}`]);
      expect(b.result()).toMatchObject({ plan: 1, test: 4, type: kind, end: Reason.Reset });
      expect(b.broken).toEqual([]);
    },
  );

  it('counts a limited test as what it was', () => {
    const plan = new Bench().plan([
      [4, TestKind.Limited, WINDOW.from, WINDOW.to],
      [5, TestKind.Full, WINDOW.from + 172_800, WINDOW.to + 172_800],
    ]);
    const result = `${head('result')},"plan":1,"test":4,"type":3,"end":19,"lamps":[[1,0,2400,200,200,200,0]]}`;
    const b = restarted([result], plan).run(IN_WINDOW + HOUR_MS);
    expect([b.s.lastLongUtc, b.s.lastBriefUtc]).toEqual([0, WINDOW.from]);
    expect(b.drives).toEqual([]);
  });

  describe('after somebody ordered the restore', () => {
    const order = (reason: Reason) =>
      `${head('order')},"counter":5,"do":${OrderKind.Restore},"arg":0,"reason":${reason}}`;
    const intent = `${head('intent')},"plan":1,"test":4,"type":1}`;
    const planned = () =>
      new Bench().plan([
        [4, TestKind.Brief, WINDOW.from, WINDOW.to],
        [5, TestKind.Brief, WINDOW.from, WINDOW.to],
        [4, TestKind.Brief, WINDOW.from + 172_800, WINDOW.to + 172_800],
      ]);
    const known = (...texts: string[]) => {
      const { s } = restarted(texts, planned());
      return [...s.slotState.slice(0, 3), s.fallbackNight === nightOf(s, WINDOW.from)];
    };

    it('begins no test again in a window and a night in which one was called off before it opened', () => {
      expect(known(order(Reason.None))).toEqual([SlotState.Spent, SlotState.Spent, SlotState.Pending, true]);
    });

    it('takes a refused order for nothing', () => {
      expect(known(order(Reason.NothingToDo))).toEqual([
        SlotState.Pending,
        SlotState.Pending,
        SlotState.Pending,
        false,
      ]);
    });

    it('takes any other order for what it is: it called nothing off', () => {
      const hold = order(Reason.None).replace(`"do":${OrderKind.Restore}`, `"do":${OrderKind.Hold}`);
      expect(known(hold)).toEqual([SlotState.Pending, SlotState.Pending, SlotState.Pending, false]);
    });

    it('leaves it to the result to say which test was under way', () => {
      const result = `${head('result')},"plan":1,"test":4,"type":1,"end":${Reason.OrderedRestore},"lamps":[[3,0,9,0,0,0,0]]}`;
      expect(known(intent, order(Reason.None), result)).toEqual([
        SlotState.Spent,
        SlotState.Pending,
        SlotState.Pending,
        false,
      ]);
    });
  });

  it('counts on from the last order it took, never from one it refused', () => {
    const recall = newRecovery();
    for (const [kind, counter] of [
      ['order', 5],
      ['refused', 4_000_000_000],
    ])
      recoverRecord(
        new Bench().s,
        recall,
        `${head(`${kind}`)},"counter":${counter},"do":2,"arg":60,"reason":1}`,
      );
    expect([recall.counter, recall.holdSec]).toEqual([5, 0]);
  });

  it('takes a relay stuck open for stuck still, tells the return of the supply and never moves the coil', () => {
    const b = restarted([`${head('fault')},"reason":${Reason.RelayStuckOpen},"arg":0}`]);
    b.contact = 'open';
    b.run(HOUR_MS);
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.RelayStuckOpen, 1]);
    expect([b.exercises, b.drives]).toEqual([[], []]);
    b.contact = 'follows';
    b.run(b.now + 5000);
    expect(b.of('supply').map((r) => r.reason)).toEqual([Reason.RelayStuckOpen]);
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
  });

  it('is not misled by reminders, jumps of the clock and an unsteady supply in its journal', () => {
    const b = restarted([
      `${head('reminder')},"reason":24,"arg":86400}`,
      `${head('clock')},"reason":62,"arg":-3600}`,
      `${head('supply')},"reason":80,"arg":6}`,
    ]).run(10_000);
    expect([b.s.phase, b.s.reason, b.s.clockFault]).toEqual([Phase.Recharging, Reason.None, 0]);
  });
});
