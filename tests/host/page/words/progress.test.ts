import { expect, test } from 'vitest';
import type { ControllerStatus, LogEntryView } from '../../../../host/api/views';
import { type Followed, outcomeWords, progressWords } from '../../../../host/page/words/progress';
import { controller, entry, underTest } from '../samples';

const given: Followed = {
  ...{ circuit: 'a', order: 'test', luminaire: '', after: 10 },
  ...{ ok: true, unanswered: false, answer: '' },
};
const result = (n: number, test: number): LogEntryView => ({
  ...entry(n),
  ...{ text: `Result ${n}.`, body: JSON.stringify({ kind: 'result', test }) },
});
const words = (followed: Partial<Followed>, status: ControllerStatus, entries: LogEntryView[] = []) =>
  progressWords({ ...given, ...followed }, status, entries, 1_000, 'UTC');

test('a test by order is followed from waiting to its own result', () => {
  const key = 'The key switch is set to hold.';
  expect(words({}, controller('a', { waiting: key }))).toBe(`Waiting: ${key}`);
  expect(words({}, underTest('a', { sentence: 'A function test is running.' }))).toBe(
    'So far: A function test is running.',
  );
  expect(words({}, controller('a'), [result(9, 0)])).toBe('Waiting for its result.');
  expect(words({}, controller('a'), [result(12, 0), result(11, 4), result(9, 0)])).toBe('Result: Result 12.');
  const off = { ...entry(11), kind: 'refused', text: 'It was called off.' };
  expect(words({}, controller('a'), [off])).toBe('It was called off.');
});

test('nothing is claimed of an order while the controller is silent, or has not answered', () => {
  expect(words({}, controller('a', { contact: 'silent' }))).toMatch(/not known: the controller is silent/);
  const lost = { ok: false, unanswered: true };
  expect(outcomeWords({ ...given, ...lost })).toBe('no answer to the order.');
  expect(words(lost, controller('a'))).toMatch(/does not show yet whether/);
  expect(words(lost, controller('a'), [{ ...entry(11), kind: 'order' }])).toBe('Waiting for its result.');
  expect(words({ ok: false }, controller('a'))).toBe('');
});

test('a restored supply is said to be back only when it is, and then the result follows', () => {
  const restore = { order: 'restore' } as const;
  expect(words(restore, underTest('a'))).toBe('The supply is not back yet.');
  expect(words(restore, controller('a', { supplyAfter: null }))).toBe('The supply is not back yet.');
  expect(words(restore, controller('a'))).toMatch(/^The supply is back\./);
  expect(words(restore, controller('a'), [result(11, 4)])).toBe('Result: Result 11.');
});

test('hold, release, fault and repair each end in what the controller or the plan then says', () => {
  const held = { phase: 'held', held: { who: 'Anna', until: 4600 } };
  expect(words({ order: 'hold' }, controller('a'))).toBe('Not on hold yet.');
  expect(words({ order: 'hold' }, controller('a', held))).toBe('Done: Held by Anna until 01:16.');
  expect(words({ order: 'release' }, controller('a', held))).toBe('Still on hold.');
  expect(words({ order: 'release' }, controller('a'))).toBe('Done. Batteries charged.');
  expect(words({ order: 'clear fault' }, controller('a', { phase: 'fault' }))).toMatch(/not cleared/);
  const repaired = { order: 'repaired', luminaire: 'A1' } as const;
  expect(words(repaired, controller('a', { retests: [{ luminaire: 'A1', at: 3600 }] }))).toBe(
    'The retest is planned for Thu 1 Jan 1970, 01:00.',
  );
  expect(words(repaired, controller('a'))).toMatch(/^It has been tested since/);
  expect(words({ order: 'accept', luminaire: 'A1' }, controller('a'))).toBe('');
});
