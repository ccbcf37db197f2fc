import { expect, test } from 'vitest';
import {
  EMPTY_STATE,
  type PageState,
  REPEAT_MS,
  STAY_MS,
  withPress,
} from '../../../../host/page/state/pageState';
import { runningNow } from '../../../../host/page/state/runningNow';
import { controller, underTest } from '../samples';

/** What is shown so long after the press for `a`. */
function shown(ms: number, state: PageState, ...statuses: ReturnType<typeof controller>[]) {
  const { cards, lines, isStill } = runningNow(state, statuses, 1_000 + ms);
  return [cards.map((one) => one.circuit), lines.map((one) => one.circuit), isStill];
}

const pressed = withPress(EMPTY_STATE, 'a', 1_000);
const back = controller('a');
const b = underTest('b');

test('a card stays where it is under the finger that restored its supply, then becomes a line, then leaves', () => {
  expect(shown(0, pressed, back, b)).toEqual([['a', 'b'], [], true]);
  expect(shown(REPEAT_MS - 1, pressed, back, b)).toEqual([['a', 'b'], [], true]);
  expect(shown(REPEAT_MS, pressed, back, b)).toEqual([['b'], ['a'], false]);
  expect(shown(STAY_MS - 1, pressed, back)).toEqual([[], ['a'], false]);
  expect(shown(STAY_MS, pressed, back, b)).toEqual([['b'], [], false]);
});

test('a circuit whose supply is still off keeps its card, however long ago the press was', () => {
  expect(shown(STAY_MS, pressed, underTest('a'), b)).toEqual([['a', 'b'], [], false]);
  expect(shown(0, EMPTY_STATE, controller('a'), controller('b'))).toEqual([[], [], false]);
});

test('circuits whose supply can be restored come before one whose supply is coming back', () => {
  const restoring = underTest('a', { phase: 'restoring' });
  expect(shown(REPEAT_MS, pressed, restoring, b)).toEqual([['b', 'a'], [], false]);
  expect(shown(0, pressed, restoring, b)).toEqual([['a', 'b'], [], true]);
});

test('the lamps of several running tests stand below all their cards, those of a single one in its card', () => {
  const below = (ms: number, state: PageState, ...statuses: ReturnType<typeof controller>[]) =>
    runningNow(state, statuses, 1_000 + ms).below.map((one) => one.circuit);
  expect(below(0, EMPTY_STATE, underTest('a'), b)).toEqual(['a', 'b']);
  expect(below(0, EMPTY_STATE, b, controller('c'))).toEqual([]);
  expect(below(0, pressed, underTest('a'), b)).toEqual(['b']);
  expect(below(REPEAT_MS, pressed, back, b)).toEqual([]);
});
