// What a restart makes of the records in its journal.
import { describe, expect, it } from 'vitest';
import { OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { eventRecord, intentRecord, overdueRecord, resultRecord } from '../../../firmware/core/records';
import {
  closeLostOpening,
  newRecovery,
  type Recovery,
  recoverRecord,
  resumeHold,
} from '../../../firmware/core/recovery';
import { dueNow, nightOf, SlotState, tellOverdue } from '../../../firmware/core/schedule';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, DAY_MS, HOUR_MS, IN_WINDOW, START, WINDOW } from './bench';

/** Midnight of the second day, and a minute into its fallback window of 01:00 to 06:00. */
const FALLBACK_MS = DAY_MS + 3_660_000;

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

const NIGHT = 86_400;
/** Test 1 in the standard window and, once more, a night later. */
const TWO_TURNS = [
  [1, TestKind.Brief, WINDOW.from, WINDOW.to],
  [1, TestKind.Brief, WINDOW.from + NIGHT, WINDOW.to + NIGHT],
];

function recalled(texts: string[], rows = TWO_TURNS, revision = 1): { b: Bench; recall: Recovery } {
  const b = new Bench().plan(rows, START + 300 * NIGHT, revision);
  const recall = newRecovery();
  for (const text of texts) recoverRecord(b.s, recall, text);
  return { b, recall };
}

interface Told {
  end: Reason;
  verdicts: Verdict[];
  plan: number;
  utc: number;
}

/** A result of brief test 1, as the controller writes it. */
function result(told: Partial<Told>): string {
  const { end, verdicts, plan, utc } = {
    end: Reason.Complete,
    verdicts: [1, 1, 1, 1],
    plan: 1,
    utc: WINDOW.from + 60,
    ...told,
  };
  const { s } = new Bench();
  Object.assign(s, { testPlan: plan, test: 1, kind: TestKind.Brief, end });
  s.verdict.set(verdicts);
  return `{${resultRecord(s, 400, (utc - START) * 1000)}}`;
}

const event = (kind: string, reason: Reason, arg = 0): string =>
  `{${eventRecord(new Bench().s, kind, reason, arg, 0)}}`;

/** Which slots of test 1 are still usable, asked inside each of them. */
function turns(b: Bench): boolean[] {
  return [0, 1].map((night) => dueNow(b.s, IN_WINDOW + night * NIGHT * 1000).kind !== TestKind.None);
}

const VOID = [Verdict.Void, Verdict.Void, Verdict.Void, Verdict.Void];

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

  describe('after someone ordered the restore', () => {
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

    it('does not start a test again in a window and a night in which one was called off before it opened', () => {
      expect(known(order(Reason.None))).toEqual([SlotState.Spent, SlotState.Spent, SlotState.Pending, true]);
    });

    it('ignores a refused order', () => {
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

    it('leaves it to the result to say which test was running', () => {
      const result = `${head('result')},"plan":1,"test":4,"type":1,"end":${Reason.OrderedRestore},"lamps":[[3,0,9,0,0,0,0]]}`;
      expect(known(intent, order(Reason.None), result)).toEqual([
        SlotState.Spent,
        SlotState.Pending,
        SlotState.Pending,
        false,
      ]);
    });
  });

  it('continues from the last order accepted, never from one refused', () => {
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

  it('treats a relay stuck open as still stuck, reports the return of the supply and never moves the coil', () => {
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

  it('is not misled by reminders, clock jumps and an unsteady supply in its journal', () => {
    const b = restarted([
      `${head('reminder')},"reason":24,"arg":86400}`,
      `${head('clock')},"reason":62,"arg":-3600}`,
      `${head('supply')},"reason":80,"arg":6}`,
    ]).run(10_000);
    expect([b.s.phase, b.s.reason, b.s.clockFault]).toEqual([Phase.Recharging, Reason.None, 0]);
  });
});

describe('a result found in the journal', () => {
  it.each([
    ['an order to restore', Reason.OrderedRestore],
    ['the stop input', Reason.StopInput],
    ['the key', Reason.KeyHold],
    ['an order to hold', Reason.OrderedHold],
  ])('of a test ended by %s uses up its slot, and only that one', (_name, end) => {
    expect(turns(recalled([result({ end, verdicts: VOID })]).b)).toEqual([false, true]);
  });

  it.each([
    ['an outage', Reason.Outage],
    ['people in the area', Reason.Occupied],
    ['a reset', Reason.Reset],
    ['a relay that fell back', Reason.RelayFellBack],
  ])('of a test ended by %s leaves every slot usable, whatever lamps had shown', (_name, end) => {
    expect(turns(recalled([result({ end, verdicts: [1, 2, 3, 3] })]).b)).toEqual([true, true]);
  });

  it.each([
    ['one lamp that passed', Reason.Complete, [3, 3, 3, 1]],
    ['one lamp that failed', Reason.Complete, [3, 3, 3, 2]],
    ['every lamp gone dark', Reason.AllDark, [2, 2, 2, 2]],
  ])('of a test that ran to its end with %s uses up all its slots', (_name, end, verdicts) => {
    expect(turns(recalled([result({ end, verdicts })]).b)).toEqual([false, false]);
  });

  it.each([1, 2])('of a complete test of plan %i that is void for every lamp satisfies nothing', (plan) => {
    const { b } = recalled([result({ verdicts: VOID, plan })], TWO_TURNS, plan);
    expect(turns(b)).toEqual([true, true]);
    expect([b.s.lastBriefUtc, b.s.lastLongUtc]).toEqual([0, 0]);
  });

  it('of an earlier plan neither uses up nor satisfies a slot of this one', () => {
    for (const end of [Reason.Complete, Reason.OrderedRestore])
      expect(turns(recalled([result({ plan: 1, end })], TWO_TURNS, 2).b)).toEqual([true, true]);
  });

  it.each([
    [WINDOW.from - 1, [true, true]],
    [WINDOW.from, [false, true]],
    [WINDOW.to, [false, true]],
    [WINDOW.to + 1, [true, true]],
    [WINDOW.from + NIGHT - 1, [true, true]],
    [WINDOW.from + NIGHT, [true, false]],
    [WINDOW.to + NIGHT, [true, false]],
    [WINDOW.to + NIGHT + 1, [true, true]],
  ])('of a test ordered off at %i uses up the slot that holds that second', (utc, left) => {
    expect(turns(recalled([result({ end: Reason.OrderedRestore, utc })]).b)).toEqual(left);
  });

  it("of a test ordered off does not touch another test's slot in the same window", () => {
    const rows = [
      [1, TestKind.Brief, WINDOW.from, WINDOW.to],
      [2, TestKind.Brief, WINDOW.from, WINDOW.to],
    ];
    const { b } = recalled([result({ end: Reason.StopInput })], rows);
    expect(dueNow(b.s, IN_WINDOW)).toMatchObject({ test: 2, slot: 1 });
  });

  it('of a test ordered off does not undo one that was done', () => {
    const rows = [[1, TestKind.Brief, WINDOW.from, WINDOW.to]];
    const { b } = recalled([result({}), result({ end: Reason.OrderedRestore })], rows);
    tellOverdue(b.s, (WINDOW.to + 1 - START) * 1000);
    expect(b.s.outCount).toBe(0);
  });
});

describe('an overdue test found in the journal', () => {
  const overdue = (test: number, revision: number): string => {
    const { s } = new Bench().plan([], START + NIGHT, revision);
    return `{${overdueRecord(s, test, TestKind.Brief, 0)}}`;
  };

  it('counts, and is neither reported again nor done', () => {
    const { b } = recalled([overdue(1, 1)]);
    expect(b.s.overdue).toBe(1);
    b.run(IN_WINDOW + 4 * NIGHT * 1000);
    expect([b.of('overdue').length, b.of('intent').length]).toEqual([0, 0]);
    expect(b.s.overdue).toBe(1);
  });

  it("says nothing about a later plan, nor about this plan's tests if it was the fallback schedule's", () => {
    for (const text of [overdue(1, 3), overdue(0, 1)]) {
      const { b } = recalled([text]);
      expect(b.s.overdue).toBe(0);
      expect(turns(b)).toEqual([true, true]);
    }
  });
});

describe('a journal', () => {
  it('gives the boot number of its newest record, even where that one has none', () => {
    const text = event('start', Reason.None);
    expect(recalled([text]).recall.boot).toBe(1);
    expect(recalled([text.replace('"boot":1', '"boot":41'), '{"kind":"odd"}']).recall.boot).toBe(41);
  });

  it('gives a fault until it was cleared, and one that came after that', () => {
    const first = event('fault', Reason.RelayFellBack);
    const cleared = event('cleared', Reason.RelayFellBack);
    const second = event('fault', Reason.ClockFault);
    expect(recalled([first]).recall.fault).toBe(Reason.RelayFellBack);
    expect(recalled([first, cleared]).recall.fault).toBe(Reason.None);
    expect(recalled([first, cleared, second]).recall.fault).toBe(Reason.ClockFault);
  });

  it('gives a hold from its entry to its end, whatever reminders came meanwhile', () => {
    const held = event('held', Reason.OrderedHold, 600);
    const reminder = event('reminder', Reason.OrderedHold, 86_400);
    expect(recalled([held]).recall.holdSec).toBe(600);
    expect(recalled([held, reminder]).recall.holdSec).toBe(600);
    expect(recalled([held, event('released', Reason.OrderedHold, 600)]).recall.holdSec).toBe(0);
    expect(recalled([event('held', Reason.KeyHold, 600)]).recall.holdSec).toBe(0);
  });
});

describe('after a restart', () => {
  it('a hold restarts with its whole length, and none begins where there was none', () => {
    const { b, recall } = recalled([event('held', Reason.OrderedHold, 600)]);
    resumeHold(b.s, recall, 5000);
    expect(b.s.holdUntil).toBe(605_000);
    const none = recalled([event('held', Reason.OrderedHold, 600), event('released', Reason.OrderedHold)]);
    resumeHold(none.b.s, none.recall, 5000);
    expect(none.b.s.holdUntil).toBe(0);
  });

  it('an opening without a result gets one, void for each lamp and with no evidence', () => {
    const { s } = new Bench();
    Object.assign(s, { testPlan: 7, test: 9, kind: TestKind.Full });
    const { b, recall } = recalled([`{${intentRecord(s, 0)}}`]);
    closeLostOpening(b.s, recall, 0);
    expect(b.s.kind).toBe(TestKind.None);
    b.perform();
    expect(b.result()).toMatchObject({ plan: 7, test: 9, type: TestKind.Full, settings: 1, started: 0 });
    expect(b.result()).toMatchObject({ seconds: 0, end: Reason.Reset, openMs: -1, restoreMs: -1 });
    expect(b.result().lamps).toEqual([0, 1, 2, 3].map(() => [Verdict.Void, Reason.Reset, 0, 0, 0, 0, 0]));
  });

  it('an opening with its result, or none at all, gets no other', () => {
    const { s } = new Bench();
    Object.assign(s, { testPlan: 1, test: 1, kind: TestKind.Brief });
    for (const texts of [[], [`{${intentRecord(s, 0)}}`, result({})]]) {
      const { b, recall } = recalled(texts);
      closeLostOpening(b.s, recall, 0);
      expect(b.s.outCount).toBe(0);
    }
  });

  it('what the controller itself wrote about a night keeps the stopped test from that night', () => {
    const before = new Bench().plan(TWO_TURNS).runToDischarge();
    expect(takeOrder(before.s, OrderKind.Restore, 0, before.now)).toBe(Reason.None);
    before.run(before.now + 10_000);
    expect(before.s.phase).toBe(Phase.Recharging);
    const { b, recall } = recalled(before.records.map((body) => JSON.stringify(body)));
    expect(recall).toMatchObject({ boot: 1, isOpen: 0, plan: 1, test: 1, kind: TestKind.Brief, fault: 0 });
    expect(turns(b)).toEqual([false, true]);
  });
});

describe("the fallback schedule's attempt of a night", () => {
  const fallback = () => new Bench().plan([], START + 3600).run(FALLBACK_MS - 60_000);

  it('is used up by a restore that comes before the relay has opened', () => {
    const b = fallback();
    b.runTo(() => b.s.phase === Phase.Opening, FALLBACK_MS + 60_000);
    expect(b.s.drive).toBe(0);
    expect(takeOrder(b.s, OrderKind.Restore, 0, b.now)).toBe(Reason.None);
    b.run(DAY_MS + 22_000_000);
    expect([b.drives.length, b.of('intent').length]).toEqual([0, 0]);
    b.run(FALLBACK_MS + DAY_MS + 10_000_000);
    expect(b.of('result').map((r) => [r.plan, r.type])).toEqual([[0, TestKind.Full]]);
  });

  it('is not given again after a restart', () => {
    const night = Math.floor((START + FALLBACK_MS / 1000 - 43_200) / 86_400);
    const intent = (plan: number, test: number) =>
      `${head('intent')},"plan":${plan},"test":${test},"type":2}`;
    expect(recalled([intent(0, night)]).b.s.fallbackNight).toBe(night);
    // Neither by a planned test nor by an ordered one.
    expect(recalled([intent(1, night)]).b.s.fallbackNight).toBe(-1);
    expect(recalled([intent(0, 0)]).b.s.fallbackNight).toBe(-1);
  });
});

it('a tester fault that survives a restart checks the supply at once, and reports an outage', () => {
  const b = new Bench();
  b.s.reason = Reason.AuxDisagrees;
  b.change({ mains: 0 }).run(2000);
  expect(b.s.phase).toBe(Phase.Fault);
  expect(b.of('outage')).toHaveLength(1);
});
