import { afterEach, expect, test } from 'vitest';
import { OrderKind, Reason, TestKind } from '../../../../firmware/contract/codes';
import type { ControllerStatus, LogEntryView } from '../../../../host/api/views';
import {
  type Followed,
  outcomeWords,
  progressWords,
  supplyWords,
} from '../../../../host/page/words/progress';
import { speak } from '../../../support/tongues';
import { controller, entry, underTest } from '../samples';

afterEach(() => speak('en'));

const given: Followed = {
  ...{ circuit: 'a', order: 'test', luminaire: '', kind: 'brief', who: 'Anna', after: 10 },
  ...{ ok: true, unanswered: false, answer: '' },
};
const logged = (n: number, kind: string, body: object): LogEntryView => ({
  ...entry(n),
  ...{ kind, text: `${kind} ${n}.`, body: JSON.stringify({ kind, ...body }) },
});
const result = (n: number, test: number, type = TestKind.Brief) => logged(n, 'result', { test, type });
const THE_TEST = { counter: 7, do: OrderKind.Test, arg: TestKind.Brief, who: 'Anna' };
/** As the host and the controller record an order; a field more says another one. */
const ordered = (n: number, more = {}) => logged(n, 'ordered', { ...THE_TEST, ...more });
const taken = (n: number, more = {}) => logged(n, 'order', { ...THE_TEST, reason: Reason.None, ...more });
const calledOff = (n: number, arg = TestKind.Brief) =>
  logged(n, 'refused', { counter: 0, do: OrderKind.Test, arg, reason: Reason.KeyHold, who: '' });
/** What is said of an order, from entries as they were made. */
const words = (followed: Partial<Followed>, status: ControllerStatus, entries: LogEntryView[] = []) =>
  progressWords({ ...given, ...followed }, status, [...entries].reverse(), 1_000, 'UTC');

test('a test by order is followed from waiting to its own result', () => {
  const key = 'The key switch is set to hold.';
  expect(words({}, controller('a', { waiting: key }))).toBe(`Waiting: ${key}`);
  expect(words({}, underTest('a', { sentence: 'A function test is running.' }))).toBe(
    'So far: A function test is running.',
  );
  const mine = [result(9, 0), ordered(11), taken(12)];
  expect(words({}, controller('a'), mine)).toBe('Waiting for its result.');
  expect(words({}, controller('a'), [...mine, result(13, 4), result(14, 0)])).toBe('Result: result 14.');
  expect(words({}, controller('a'), [...mine, calledOff(13)])).toBe('refused 13.');
});

test('what someone else ordered on the same circuit is not its answer', () => {
  const waits = (...entries: LogEntryView[]) =>
    expect(words({}, controller('a'), entries)).toBe('Waiting for its result.');
  // Another's test that was running, another kind of test, another's refusals.
  waits(result(11, 0), ordered(12), taken(13));
  waits(ordered(11), taken(12), result(13, 0, TestKind.Full), calledOff(14, TestKind.Full));
  waits(ordered(11), taken(12), logged(13, 'refused', { counter: 8, do: 0, arg: 0, who: '' }));
  waits(ordered(11), ordered(12, { counter: 8, who: 'Ben' }), calledOff(13));
  waits(ordered(11), taken(12), taken(13, { counter: 8, who: 'Ben' }), result(14, 0));
  const lost = { ok: false, unanswered: true };
  const ben = [ordered(11, { counter: 8, who: 'Ben' }), taken(12, { counter: 8, who: 'Ben' }), result(13, 0)];
  expect(words(lost, controller('a'), ben)).toMatch(/does not show yet whether/);
  const stale = logged(14, 'refused', { counter: 7, do: 0, arg: 0, reason: Reason.Stale, who: '' });
  expect(words(lost, controller('a'), [ordered(11), ...ben, stale])).toBe('refused 14.');
});

test('nothing is claimed of an order while the controller is silent, or has not answered', () => {
  expect(words({}, controller('a', { contact: 'silent' }))).toMatch(/not known: the controller is silent/);
  const lost = { ok: false, unanswered: true };
  expect(outcomeWords({ ...given, ...lost })).toBe('no answer to the order.');
  expect(words(lost, controller('a'))).toMatch(/does not show yet whether/);
  expect(words(lost, controller('a'), [taken(11)])).toBe('Waiting for its result.');
  expect(words({ ok: false }, controller('a'))).toBe('');
});

test('a restored supply is said to be back only when it is, and then the result follows', () => {
  const restore = { order: 'restore', kind: '' } as const;
  const given = { do: OrderKind.Restore, arg: 0 };
  expect(words(restore, underTest('a'))).toBe('The supply is not back yet.');
  expect(words(restore, controller('a', { supplyAfter: null }))).toBe('The supply is not back yet.');
  expect(words(restore, controller('a'))).toMatch(/^The supply is back\./);
  const ended = [result(11, 3), ordered(12, given), taken(13, given)];
  expect(words(restore, controller('a'), ended)).toMatch(/^The supply is back\./);
  expect(words(restore, controller('a'), [...ended, result(14, 4)])).toBe('Result: result 14.');
});

test('a repair is recorded, not accepted as an order, and says nothing of supply and relay', () => {
  const repaired = { ...given, order: 'repaired', kind: '', luminaire: 'A1' } as const;
  expect(outcomeWords(repaired)).toBe('repair recorded.');
  expect(outcomeWords({ ...repaired, ok: false })).toBe('repair not recorded.');
  expect(supplyWords(repaired, controller('a'))).toBe('');
  expect(outcomeWords(given)).toBe('order accepted.');
  expect(supplyWords(given, controller('a'))).toBe('Supply after relay: on. Relay: closed.');
});

test('hold, release, fault and repair each end in what the controller or the plan then says', () => {
  const held = { phase: 'held', held: { who: 'Anna', until: 4600 } };
  expect(words({ order: 'hold' }, controller('a'))).toBe('Not on hold yet.');
  expect(words({ order: 'hold' }, controller('a', held))).toBe('Done: Held by Anna until 01:16.');
  expect(words({ order: 'release' }, controller('a', held))).toBe('Still on hold.');
  expect(words({ order: 'release' }, controller('a'))).toBe('Done. Batteries charged.');
  expect(words({ order: 'clear fault' }, controller('a', { phase: 'fault' }))).toMatch(/not cleared/);
  const repaired = { order: 'repaired', kind: '', luminaire: 'A1' } as const;
  expect(words(repaired, controller('a', { retests: [{ luminaire: 'A1', at: 3600 }] }))).toBe(
    'The retest is planned for Thu 1 Jan 1970, 01:00.',
  );
  // The state may be older than the repair.
  expect(words(repaired, controller('a'))).toBe('The retest is being planned.');
  const after = (mark: LogEntryView['mark']) => [{ ...result(11, 4), mark }];
  expect(words(repaired, controller('a'), after('void'))).toBe('The retest is being planned.');
  expect(words(repaired, controller('a'), after('pass'))).toMatch(/^It has been tested since/);
  expect(words({ order: 'accept', luminaire: 'A1' }, controller('a'))).toBe('');
});

test.each([
  ['fr', /^Résultat\s: Essai d’autonomie 12 terminé/],
  ['de', /^Ergebnis: Betriebsdauertest 12 endete/],
  ['it', /^Risultato: Prova di autonomia 12/],
] as const)('in %s the result of an order has one language', (tongue, begins) => {
  speak(tongue);
  const text = 'Duration test 12 ended after 90 s: 1 of 4 luminaires failed.';
  const ended = { ...result(13, 0), text };
  const said = words({}, controller('a'), [ordered(11), taken(12), ended]);
  expect(said).toMatch(begins);
  expect(said).not.toMatch(/test 12 ended|luminaires failed/);
  const refused = { ...calledOff(13), text: 'The controller refused to start a function test.' };
  expect(words({}, controller('a'), [ordered(11), taken(12), refused])).not.toMatch(/refused/);
});
