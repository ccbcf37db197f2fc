import { afterEach, expect, test } from 'vitest';
import { OrderKind, Reason, TestKind, Verdict } from '../../../../firmware/contract/codes';
import type { ControllerStatus, LogEntryView } from '../../../../host/api/views';
import {
  type Followed,
  headlineOf,
  newestBefore,
  progressWords,
  supplyWords,
} from '../../../../host/page/words/progress';
import { reasonSentence } from '../../../../host/words/codes';
import { speak } from '../../../support/tongues';
import { controller, entry, underTest } from '../samples';

afterEach(() => speak('en'));

const given: Followed = {
  ...{ circuit: 'a', order: 'test', luminaire: '', kind: 'brief', who: 'Anna', after: 10 },
  ...{ ok: true, unanswered: false, nothingToDo: false, answer: '', givenMs: 0 },
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

/** Its first line, with entries as they were made. */
const head = (followed: Partial<Followed>, status = controller('a'), entries: LogEntryView[] = []) =>
  headlineOf({ ...given, ...followed }, status, [...entries].reverse());

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
  expect(head(lost)).toEqual({ words: 'no answer to the order.', tone: 'busy' });
  expect(words(lost, controller('a'))).toMatch(/does not show yet whether/);
  expect(words(lost, controller('a'), [taken(11)])).toBe('Waiting for its result.');
  expect(words({ ok: false }, controller('a'))).toBe('');
});

const RESTORE = { order: 'restore', kind: '' } as const;

test('the first line about a restore is the supply, and green only when it is back', () => {
  const waits = { words: 'waiting for the supply to come back…', tone: 'idle' };
  const notBack = { words: 'the supply is NOT back.', tone: 'fault' };
  expect(head(RESTORE, underTest('a'))).toEqual(waits);
  expect(head(RESTORE, controller('a', { supplyAfter: null }))).toEqual(waits);
  expect(head(RESTORE, controller('a', { relayOpen: true }))).toEqual(waits);
  expect(head(RESTORE)).toEqual({ words: 'supply is back on.', tone: 'good' });
  for (const phase of ['fault', 'outage'] as const)
    expect(head(RESTORE, underTest('a', { phase, kind: '' }))).toEqual(notBack);
  expect(head(RESTORE, controller('a', { contact: 'silent' }))).toMatchObject({ tone: 'busy' });
  // The next test has cut it since.
  const restored = { words: 'supply was restored.', tone: 'idle' };
  expect(head(RESTORE, underTest('a'), [result(9, 3)])).toEqual(waits);
  expect(head(RESTORE, underTest('a'), [result(11, 3)])).toEqual(restored);
});

test('a second press finds the supply on and is good news, but hides no supply that is off', () => {
  const second = { ...RESTORE, ok: false, nothingToDo: true };
  expect(head(second)).toEqual({ words: 'supply is already back on.', tone: 'good' });
  expect(head(second, underTest('a', { phase: 'restoring' }))).toMatchObject({ tone: 'idle' });
  expect(head(second, underTest('a', { phase: 'fault', kind: '' }))).toMatchObject({ tone: 'fault' });
  expect(words(second, controller('a'))).toBe('');
});

test('an order to restore that was refused or has no answer is not said to be done', () => {
  expect(head({ ...RESTORE, ok: false })).toEqual({ words: 'order not accepted.', tone: 'fault' });
  const lost = { ...RESTORE, ok: false, unanswered: true };
  expect(head(lost, underTest('a'))).toEqual({ words: 'no answer to the order.', tone: 'busy' });
  expect(head(lost)).toEqual({ words: 'supply is back on.', tone: 'good' });
  // The relay is about to open: that the supply is on still shows nothing.
  const opening = controller('a', { phase: 'opening', kind: 'full' });
  expect(head(lost, opening)).toEqual({ words: 'no answer to the order.', tone: 'busy' });
});

test('a restored supply is followed by who stopped the test, and what it showed until then', () => {
  const BY_ORDER = reasonSentence(Reason.OrderedRestore);
  const given = { do: OrderKind.Restore, arg: 0 };
  expect(words(RESTORE, underTest('a'))).toBe('');
  expect(words(RESTORE, controller('a'))).toBe('Waiting for the result of the test.');
  const ended = [result(11, 3), ordered(12, given), taken(13, given)];
  expect(words(RESTORE, controller('a'), ended)).toBe('Waiting for the result of the test.');
  const lamps = (...verdicts: Verdict[]) => verdicts.map((verdict) => [verdict, Reason.OrderedRestore]);
  const at = { kind: 'full', at: 14, by: 'order', who: 'Anna', unjudged: 2, luminaires: 2 } as const;
  const owed = (nextAt: number) => controller('a', { stopped: { ...at, nextAt } });
  const stoppedAt = (status: ControllerStatus, test: number, ...verdicts: Verdict[]) =>
    words(RESTORE, status, [
      ...ended,
      {
        ...logged(14, 'result', { test, lamps: lamps(...verdicts), end: Reason.OrderedRestore }),
        text: `Duration test ended after 3 min: void for 1 luminaire, 2 passed. ${BY_ORDER}`,
      },
    ]);
  const stopped = (test: number, ...verdicts: Verdict[]) => stoppedAt(controller('a'), test, ...verdicts);
  const said = 'Anna stopped the test at 00:00. Nothing was judged.';
  expect(stopped(4, Verdict.Void, Verdict.Void)).toBe(`${said} The test will be made again.`);
  expect(stoppedAt(owed(0), 4, Verdict.Void)).toBe(`${said} The test will be made again.`);
  expect(stoppedAt(owed(90_000), 4, Verdict.Void)).toBe(
    `${said} The test will be made again on Fri 2 Jan 1970, 01:00.`,
  );
  // Ordered by hand: nobody repeats it.
  expect(stopped(0, Verdict.Void)).toBe(said);
  const partly = () => stopped(4, Verdict.Void, Verdict.Pass, Verdict.Pass);
  expect(partly()).toBe(
    'Result: Duration test ended after 3 min: void for 1 luminaire, 2 passed. Anna stopped the test at 00:00.',
  );
  speak('de');
  expect(partly()).toMatch(/^Ergebnis: .+ Anna hat den Test um 00:00 beendet\.$/);
});

test('a result that is in the log book before anybody asked is still that of the restore', () => {
  const mine = { do: OrderKind.Restore, arg: 0 };
  const earlier = [ordered(5, { ...mine, counter: 3 }), taken(6, { ...mine, counter: 3 }), result(7, 2)];
  const now = [ordered(20, mine), taken(21, mine), result(22, 4)];
  const newest = (...entries: LogEntryView[]) => [...entries].reverse();
  expect(newestBefore(newest(...earlier, ...now), 'Anna', 18)).toBe(19);
  expect(newestBefore(newest(...earlier), 'Anna', 18)).toBe(7);
  expect(newestBefore(newest(...earlier, ...now), 'Ben', 18)).toBe(22);
  expect(newestBefore([], 'Anna', 18)).toBe(0);
});

test('a repair is recorded, not accepted as an order, and says nothing of supply and relay', () => {
  const repaired = { ...given, order: 'repaired', kind: '', luminaire: 'A1' } as const;
  expect(head(repaired)).toEqual({ words: 'repair recorded.', tone: 'good' });
  expect(head({ ...repaired, ok: false })).toEqual({ words: 'repair not recorded.', tone: 'fault' });
  expect(supplyWords(repaired, controller('a'))).toBe('');
  expect(head({})).toEqual({ words: 'order accepted.', tone: 'good' });
  expect(supplyWords(given, controller('a'))).toBe('Supply after relay: on. Relay: closed.');
  expect(supplyWords({ order: 'restore' }, controller('a'))).toBe('');
  expect(supplyWords({ order: 'restore' }, underTest('a'))).toBe('Supply after relay: off. Relay: open.');
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
  ['fr', /^Résultat\s: Essai d’autonomie terminé/],
  ['de', /^Ergebnis: Betriebsdauertest endete/],
  ['it', /^Risultato: Prova di autonomia /],
] as const)('in %s the result of an order has one language', (tongue, begins) => {
  speak(tongue);
  const text = 'Duration test ended after 90 s: 1 of 4 luminaires failed.';
  const ended = { ...result(13, 0), text };
  const said = words({}, controller('a'), [ordered(11), taken(12), ended]);
  expect(said).toMatch(begins);
  expect(said).not.toMatch(/test ended|luminaires failed/);
  const refused = { ...calledOff(13), text: 'The controller refused to start a function test.' };
  expect(words({}, controller('a'), [ordered(11), taken(12), refused])).not.toMatch(/refused/);
});
