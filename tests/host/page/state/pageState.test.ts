import { expect, test } from 'vitest';
import type { LiveReading } from '../../../../host/api/views';
import {
  EMPTY_STATE,
  isJustRestored,
  siteNow,
  withClock,
  withController,
  withLive,
  withOutcome,
  withPress,
  withStatus,
} from '../../../../host/page/state/pageState';
import type { Followed } from '../../../../host/page/words/progress';
import { controller, status, underTest } from '../samples';

const live: LiveReading = { circuit: 'a', test: 4, kind: 'full', t: 10, ma: [140], verdict: ['open'] };

test("site time runs on between messages at the site's speed", () => {
  const state = withClock(EMPTY_STATE, { now: 1_000, speed: 60 }, 5_000);
  expect(siteNow(state, 5_000)).toBe(1_000);
  expect(siteNow(state, 6_500)).toBe(1_090);
});

test('simulated time never runs backwards when the pace changes or a message is late', () => {
  const fast = withClock(EMPTY_STATE, { now: 1_000, speed: 240 }, 5_000);
  const slow = withClock(fast, { now: 1_072, speed: 8 }, 5_300);
  const late = withStatus(slow, { ...status([]), now: 1_060, speed: 8 }, 5_400);
  const shown = [
    ...[5_000, 5_200, 5_299].map((ms) => siteNow(fast, ms)),
    ...[5_300, 5_399].map((ms) => siteNow(slow, ms)),
    ...[5_400, 6_000, 7_400].map((ms) => siteNow(late, ms)),
  ];
  expect(shown).toEqual([...shown].sort((a, b) => a - b));
  expect(shown.at(-1)).toBeCloseTo(1_076);
  // A simulation that was started again begins anew, and a real clock may be set.
  expect(siteNow(withClock(late, { now: 500, speed: 8 }, 6_000), 6_000)).toBe(500);
  const real = withClock(EMPTY_STATE, { now: 1_000, speed: 1 }, 5_000);
  expect(siteNow(withClock(real, { now: 995, speed: 1 }, 6_000), 6_000)).toBe(995);
});

test('site time stops while the stream is down', () => {
  const state = { ...withClock(EMPTY_STATE, { now: 1_000, speed: 1 }, 5_000), linkUp: false, heardMs: 6_000 };
  expect(siteNow(state, 60_000)).toBe(1_001);
});

test('a pushed status replaces only that circuit', () => {
  const before = withStatus(EMPTY_STATE, status([controller('a'), controller('b')]), 0);
  const after = withController(before, controller('b', { phase: 'fault' }));
  expect(after.status?.controllers.map((c) => c.phase)).toEqual(['charged', 'fault']);
  const grown = withController(after, controller('c'));
  expect(grown.status?.controllers.map((c) => c.circuit)).toEqual(['a', 'b', 'c']);
});

test('a reading becomes the newest of its circuit and a point of its curve', () => {
  const before = withStatus(EMPTY_STATE, status([underTest('a')]), 0);
  const after = withLive(before, live);
  expect(after.status?.controllers[0].live).toEqual(live);
  expect(after.traces.a.t).toEqual([10]);
});

test('a status without a reading keeps the reading of a test still running', () => {
  const running = withLive(withStatus(EMPTY_STATE, status([underTest('a')]), 0), live);
  const still = withController(running, underTest('a', { sentence: 'Still running.' }));
  expect(still.status?.controllers[0].live).toEqual(live);
  const over = withController(running, controller('a', { phase: 'recharging' }));
  expect(over.status?.controllers[0].live).toBeNull();
});

const restored: Followed = {
  ...{ circuit: 'a', order: 'restore', luminaire: '', kind: '', who: 'Anna', after: 10 },
  ...{ ok: true, unanswered: false, nothingToDo: false, answer: '', givenMs: 1_000 },
};

test('the late answer to a first press does not replace that to a second, which keeps the result of the first', () => {
  const second = { ...restored, ok: false, nothingToDo: true, after: 12, givenMs: 5_000 };
  const both = withOutcome(withOutcome(EMPTY_STATE, restored), second);
  expect(both.outcome).toEqual({ ...second, after: 10 });
  const lost = { ...restored, ok: false, unanswered: true };
  expect(withOutcome(both, lost)).toEqual(both);
  // Nor does a refusal, of one that came after the second for instance.
  expect(withOutcome(both, { ...restored, ok: false })).toEqual(both);
  expect(withOutcome(both, { ...lost, circuit: 'b' }).outcome?.circuit).toBe('b');
});

test('a press is remembered for its circuit for a time, and not if it was refused', () => {
  const pressed = withPress(EMPTY_STATE, 'a', 1_000);
  expect(isJustRestored(pressed, 'a', 4_000, 4_999)).toBe(true);
  expect(isJustRestored(pressed, 'a', 4_000, 5_000)).toBe(false);
  expect(isJustRestored(pressed, 'b', 4_000, 1_000)).toBe(false);
  const refused = withOutcome(pressed, { ...restored, ok: false });
  expect(isJustRestored(refused, 'a', 4_000, 1_001)).toBe(false);
  expect(isJustRestored(withOutcome(pressed, restored), 'a', 4_000, 1_001)).toBe(true);
});
