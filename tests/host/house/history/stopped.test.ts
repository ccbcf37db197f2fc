import { expect, it } from 'vitest';
import { OrderKind, Reason, TestKind } from '../../../../firmware/contract/codes';
import { createHistory, doneTests } from '../../../../host/house/history/history';
import { claimedOverdue } from '../../../../host/house/history/stopped';
import { readRecord } from '../../../../host/records/schema';
import { newJournal, resultFields } from '../../logbook/records';
import { inFileOrder } from '../bench';
import { HOUSE } from '../site';

const PASS = [1, 0, 90, 300, 300, 290, 2];
const unjudged = (reason: Reason) => [3, reason, 0, 300, 0, 0, 2];
const STOPPED = unjudged(Reason.OrderedRestore);

function newHistory() {
  const history = createHistory(HOUSE, inFileOrder(HOUSE));
  const journal = newJournal('demo/a');
  let entry = 0;
  const take = (kind: string, fields: object) => {
    entry++;
    history.take('a', readRecord(journal.next(kind, fields))!, { entry, at: 500 + entry });
  };
  const result = (lamps: number[][], type: TestKind, more: object = {}) =>
    take('result', resultFields(lamps, { type, plan: 4, test: 7, started: 1000, seconds: 30, ...more }));
  const restore = (counter: number, who: string, reason = Reason.None) =>
    take('order', { counter, do: OrderKind.Restore, arg: 0, reason, who });
  const overdue = (test: number, type: TestKind) => take('overdue', { reason: 0, arg: test, plan: 4, type });
  const a = () => history.of('a');
  return { history, result, restore, overdue, a };
}

const shown = ({ lamps }: { lamps: { verdict: string; at: number }[] }) =>
  lamps.map(({ verdict, at }) => `${verdict} ${at}`);

it('a test that was stopped leaves what was known of its luminaires, and is kept as an attempt', () => {
  for (const end of [Reason.OrderedRestore, Reason.OrderedHold, Reason.KeyHold, Reason.StopInput]) {
    const { result, a } = newHistory();
    result([unjudged(end), unjudged(end)], TestKind.Brief, { end });
    expect(shown(a())).toEqual(['untested 0', 'untested 0']);
    result([PASS, PASS], TestKind.Brief, { started: 2000 });
    result([unjudged(end), unjudged(end)], TestKind.Full, { started: 3000, end });
    expect(shown(a())).toEqual(['pass 2000', 'pass 2000']);
    expect(a().lamps[0]).toMatchObject({ attempt: { verdict: 'void', at: 3000 }, voids: { full: 1 } });
    expect(a().last).toEqual({ lastBrief: 2000 });
  }
  // Not so what nobody chose.
  const { result, a } = newHistory();
  result([PASS, PASS], TestKind.Brief);
  result([unjudged(Reason.Outage), PASS], TestKind.Brief, { started: 2000, end: Reason.Outage });
  expect(shown(a())).toEqual(['void 2000', 'pass 2000']);
});

it('says who stopped it and when, with the name as the host has it, until a test has made up for it', () => {
  const { history, result, restore, a } = newHistory();
  history.order('a', { counter: 8, who: 'Zoë Łuk' });
  restore(8, 'Zoe Luk');
  result([STOPPED, STOPPED], TestKind.Full, { end: Reason.OrderedRestore });
  const told = { kind: 'full', at: 1030, by: 'order', who: 'Zoë Łuk', unjudged: 2, luminaires: 2 };
  expect(a().stopped).toMatchObject(told);
  result([PASS, PASS], TestKind.Brief, { started: 2000 });
  expect(a().stopped).toMatchObject(told);
  result([PASS, STOPPED], TestKind.Full, { started: 3000, end: Reason.KeyHold });
  expect(a().stopped).toMatchObject({ at: 3030, by: 'key switch', who: '', unjudged: 1 });
  result([PASS, PASS], TestKind.Full, { started: 4000 });
  expect(a().stopped).toBeNull();
});

it('is owed all the same where a luminaire had failed before somebody stopped it', () => {
  const { result, a } = newHistory();
  const FAIL = [2, Reason.NotLitAtFiveSeconds, 0, 0, 0, 0, 2];
  result([FAIL, STOPPED], TestKind.Full, { end: Reason.OrderedRestore });
  expect(a().stopped).toMatchObject({ unjudged: 1, luminaires: 2 });
  expect(shown(a())).toEqual(['fail 1000', 'untested 0']);
  expect([a().last, a().fullAt, doneTests(a().ends, 4)]).toEqual([{}, 0, []]);
  // It ran to its end: the failed luminaire is tested again after its repair.
  result([FAIL, PASS], TestKind.Full, { started: 2000, test: 8 });
  expect([a().stopped, a().fullAt, doneTests(a().ends, 4)]).toEqual([null, 2000, [8]]);
});

it('blames no order that was refused, or given before the test before', () => {
  const { result, restore, a } = newHistory();
  restore(8, 'Anna');
  result([PASS, PASS], TestKind.Brief);
  restore(9, 'Ben', Reason.Replayed);
  result([STOPPED, STOPPED], TestKind.Full, { end: Reason.OrderedRestore });
  expect(a().stopped).toMatchObject({ by: 'order', who: '' });
  result([unjudged(Reason.Outage), unjudged(Reason.Outage)], TestKind.Full, { end: Reason.Outage });
  expect(a().stopped).toBeNull();
  // A test by order is owed to nobody.
  result([STOPPED, STOPPED], TestKind.Full, { test: 0, plan: 0, end: Reason.OrderedRestore });
  expect(a().stopped).toBeNull();
});

it('calls a stopped test owed, not overdue, while its next try is planned or the plan is being made anew', () => {
  const { result, overdue, a } = newHistory();
  result([STOPPED, STOPPED], TestKind.Full, { end: Reason.OrderedRestore });
  overdue(7, TestKind.Full);
  expect(a().overdueAt).toEqual({ full: 502 });
  expect(claimedOverdue(a(), 90_000, 80_000)).toEqual({});
  expect(claimedOverdue(a(), 0, 1030 + 2 * 86_400 - 1)).toEqual({});
  // Nobody has planned it again: it does not go unsaid.
  expect(claimedOverdue(a(), 0, 1030 + 2 * 86_400)).toEqual({ full: 502 });
  // Another test of the same kind is overdue.
  overdue(9, TestKind.Full);
  expect(claimedOverdue(a(), 90_000, 80_000)).toEqual({ full: 502 });
});

it('hides no test of the same kind that was overdue before, and none of another kind', () => {
  const { result, overdue, a } = newHistory();
  overdue(5, TestKind.Full);
  overdue(6, TestKind.Brief);
  result([STOPPED, STOPPED], TestKind.Full, { end: Reason.OrderedRestore });
  overdue(7, TestKind.Full);
  expect(claimedOverdue(a(), 90_000, 80_000)).toEqual({ full: 501, brief: 502 });
});
