import { expect, it } from 'vitest';
import { OrderKind, Reason, TestKind } from '../../../../firmware/contract/codes';
import { createHistory, doneTests } from '../../../../host/house/history/history';
import { readRecord } from '../../../../host/records/schema';
import { newJournal, resultFields } from '../../logbook/records';
import { inFileOrder } from '../bench';
import { HOUSE } from '../site';

const PASS = [1, 0, 90, 300, 300, 290, 2];
const FAIL = [2, Reason.EndedEarly, 80, 300, 290, 0, 2];
const VOID = [3, 20, 0, 0, 0, 0, 0];

function newHistory() {
  const history = createHistory(HOUSE, inFileOrder(HOUSE));
  let journal = newJournal('demo/a');
  let entry = 0;
  const take = (kind: string, fields: object) => {
    entry++;
    history.take('a', readRecord(journal.next(kind, fields))!, { entry, at: 500 + entry });
  };
  const result = (lamps: number[][], type: TestKind, more: object) =>
    take('result', resultFields(lamps, { type, ...more }));
  const erase = () => {
    journal = newJournal('demo/a', 'second');
  };
  return { history, take, result, erase, a: () => history.of('a') };
}

it('finds the last completed tests and leaves out void ones', () => {
  const { history, take, result, a } = newHistory();
  result([PASS], TestKind.Full, { started: 1000 });
  result([PASS], TestKind.Brief, { started: 2000 });
  result([VOID], TestKind.Full, { started: 3000 });
  take('order', { counter: 1, do: OrderKind.Restore, arg: 0, reason: 0, who: 'Anna' });
  expect(a().last).toEqual({ lastFull: 1000, lastBrief: 2000 });
  expect(history.of('b').last).toEqual({});
});

it('knows which tests of a plan are done, for a bounded number of tests', () => {
  const { result, a } = newHistory();
  for (let test = 1; test <= 300; test++)
    result([test % 2 === 0 ? PASS : VOID], TestKind.Brief, { test, plan: test <= 290 ? 4 : 5 });
  result([PASS], TestKind.Brief, { test: 0, plan: 5 });
  expect(doneTests(a().ends, 5)).toEqual([292, 294, 296, 298, 300]);
  expect(doneTests(a().ends, 6)).toEqual([]);
  expect(a().ends.length).toBe(200);
});

it('keeps the newest completed test, with its entry', () => {
  const { result, a } = newHistory();
  expect(a().complete).toBeUndefined();
  result([PASS, FAIL], TestKind.Brief, { started: 1000 });
  result([VOID], TestKind.Brief, { started: 2000, end: Reason.Outage });
  expect(a().complete).toMatchObject({ entry: 1, at: 1000, lamps: [{ milliampsAt60: 300 }, { litSec: 80 }] });
});

it('keeps a failed long test in force for a luminaire until it passes a long test', () => {
  const { result, a } = newHistory();
  const after = (lamps: number[][], type: TestKind) => {
    result(lamps, type, {});
    return a().failedLong;
  };
  expect(after([FAIL, PASS], TestKind.Brief)).toEqual([false, false]);
  expect(after([FAIL, PASS], TestKind.Full)).toEqual([true, false]);
  expect(after([PASS, FAIL], TestKind.Brief)).toEqual([true, false]);
  expect(after([VOID, VOID], TestKind.Full)).toEqual([true, false]);
  expect(after([PASS, FAIL], TestKind.Limited)).toEqual([false, true]);
});

it('keeps a failed long test in force although a shorter one has failed and passed since', () => {
  for (const long of [TestKind.Limited, TestKind.Full, TestKind.Commissioning]) {
    const { result, a } = newHistory();
    const after = (row: number[], type: TestKind) => {
      result([row, PASS], type, {});
      return a().lamps[0].verdict;
    };
    expect(after(FAIL, long)).toBe('fail');
    expect(after(FAIL, TestKind.Brief)).toBe('fail');
    expect(after(PASS, TestKind.Brief), `${long}`).toBe('fail');
    expect(after(PASS, long)).toBe('pass');
    expect(after(FAIL, TestKind.Brief)).toBe('fail');
    expect(after(PASS, TestKind.Brief)).toBe('pass');
  }
});

it("forgets an extension with the test's result, and a hold reminder with the hold's end", () => {
  const { take, result, a } = newHistory();
  const order = { counter: 1, reason: 0, who: 'Anna' };
  take('order', { ...order, do: OrderKind.Extend, arg: 600 });
  take('order', { ...order, do: OrderKind.Extend, arg: 300 });
  expect(a().extraSec).toBe(900);
  result([PASS, PASS], TestKind.Brief, {});
  expect(a().extraSec).toBe(0);
  take('order', { ...order, do: OrderKind.Hold, arg: 3600 });
  take('held', { reason: Reason.OrderedHold, arg: 3600 });
  take('reminder', { reason: Reason.OrderedHold, arg: 86400 });
  expect(a()).toMatchObject({ held: { who: 'Anna' }, isReminded: true });
  take('released', { reason: Reason.OrderedHold, arg: 90000 });
  expect(a().isReminded).toBe(false);
  take('order', { ...order, do: OrderKind.Hold, arg: 60, reason: Reason.Replayed });
  expect(a().held).toMatchObject({ until: 504 + 3600 });
});

it('knows since when a trouble has lasted, from its first record to the one that ends it', () => {
  const { take, result, a } = newHistory();
  const none = { fault: 0, outage: 0, held: 0, overdue: 0 };
  take('fault', { reason: Reason.RelayStuckOpen, arg: 0 });
  take('fault', { reason: Reason.RelayStuckOpen, arg: 0 });
  take('outage', { reason: Reason.Outage, arg: 0 });
  take('supply', { reason: Reason.UnsteadySupply, arg: 3 });
  take('held', { reason: Reason.KeyHold, arg: 0 });
  take('overdue', { reason: 0, arg: 7, plan: 1, type: TestKind.Brief });
  result([VOID], TestKind.Brief, {});
  expect(a().troubleAt).toEqual({ fault: 501, outage: 503, held: 505, overdue: 506 });
  take('cleared', { reason: Reason.RelayStuckOpen, arg: 0 });
  take('supply', { reason: Reason.Outage, arg: 600 });
  take('released', { reason: Reason.KeyHold, arg: 60 });
  result([PASS], TestKind.Brief, {});
  expect(a().troubleAt).toEqual(none);
});

it('keeps an overdue test until one that shows as much has been completed', () => {
  const [Brief, Full, Limited] = [TestKind.Brief, TestKind.Full, TestKind.Limited];
  const due = (type: TestKind | undefined, arg: number, reason = Reason.None) => {
    const { take, result, a } = newHistory();
    take('overdue', { reason, arg, plan: 1, ...(type === undefined ? {} : { type }) });
    return (...done: TestKind[]) => {
      for (const kind of done) result([PASS, PASS], kind, {});
      return a().troubleAt.overdue;
    };
  };
  expect([due(Brief, 7)(Brief), due(Brief, 0)(Brief), due(Brief, 7)(Full)]).toEqual([0, 0, 0]);
  expect([due(Full, 7)(Brief, Limited, TestKind.Commissioning), due(Full, 7)(Full)]).toEqual([501, 0]);
  expect([due(Limited, 7)(Brief), due(Limited, 7)(Limited), due(Limited, 7)(Full)]).toEqual([501, 0, 0]);
  // Without a clock no test is made at all; which one is owed nobody knows.
  expect(due(TestKind.None, 0, Reason.ClockUntrusted)(Brief)).toBe(0);
  // Older firmware did not say which test it is, except that its own schedule looks after function tests.
  expect([due(undefined, 7)(Brief), due(undefined, 7)(Full), due(undefined, 0)(Brief)]).toEqual([501, 0, 0]);
});

it('keeps an overdue duration test beside a function test that was made up for', () => {
  const { take, result, a } = newHistory();
  take('overdue', { reason: 0, arg: 7, plan: 1, type: TestKind.Brief });
  take('overdue', { reason: 0, arg: 8, plan: 1, type: TestKind.Full });
  expect(a().overdueAt).toEqual({ brief: 501, full: 502 });
  result([PASS, PASS], TestKind.Brief, {});
  expect([a().overdueAt, a().troubleAt.overdue]).toEqual([{ full: 502 }, 502]);
});

it('lets troubles of an erased or replaced controller begin again, except for an overdue test', () => {
  const { take, erase, a } = newHistory();
  const start = { cause: 0, firmware: '0.1.0' };
  const fault = { reason: Reason.RelayStuckOpen, arg: 0 };
  take('start', start);
  take('fault', fault);
  take('outage', { reason: Reason.Outage, arg: 0 });
  take('held', { reason: Reason.KeyHold, arg: 0 });
  take('overdue', { reason: 0, arg: 7 });
  take('start', start);
  expect(a().troubleAt).toEqual({ fault: 502, outage: 503, held: 504, overdue: 505 });
  erase();
  take('start', start);
  expect(a().troubleAt).toEqual({ fault: 0, outage: 0, held: 0, overdue: 505 });
  take('fault', fault);
  expect(a().troubleAt.fault).toBe(508);
});

it('knows a controller that began another journal, until it has completed a test', () => {
  const { take, result, erase, a } = newHistory();
  const start = { cause: 0, firmware: '0.1.0' };
  take('start', start);
  take('start', start);
  expect(a().anewAt).toBe(0);
  erase();
  take('start', start);
  result([VOID, VOID], TestKind.Brief, {});
  take('start', start);
  expect(a().anewAt).toBe(503);
  result([PASS, PASS], TestKind.Brief, {});
  expect(a().anewAt).toBe(0);
});
