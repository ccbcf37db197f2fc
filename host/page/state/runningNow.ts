// What stands under "Running now", and in which order. Pure.
import type { ControllerStatus } from '../../api/views';
import { isTesting } from '../words/tone';
import { isJustRestored, isRunningHere, type PageState, REPEAT_MS } from './pageState';

export interface RunningNow {
  /** Circuits with a card, those whose supply can be restored first. */
  cards: ControllerStatus[];
  /** Those whose lamps stand below all the cards: on a phone they would push the next button off the first screen. */
  below: ControllerStatus[];
  /** Circuits just restored from this page, each on one line. */
  lines: ControllerStatus[];
  /** True so soon after a press that nothing may come under the finger: no card moves, nothing is put above them. */
  isStill: boolean;
}

/** True while "Restore supply" does something for a circuit that it has not done yet. */
function hasButton(status: ControllerStatus): boolean {
  return isTesting(status) && status.phase !== 'restoring';
}

/** @param nowMs reading of this browser's steady clock, ms */
export function runningNow(
  state: PageState,
  statuses: readonly ControllerStatus[],
  nowMs: number,
): RunningNow {
  const isStill = (one: ControllerStatus) => isJustRestored(state, one.circuit, REPEAT_MS, nowMs);
  const all = statuses.filter((one) => isRunningHere(state, one, nowMs));
  const cards = all.filter((one) => isTesting(one) || isStill(one));
  const lines = all.filter((one) => !cards.includes(one));
  const below = cards.length > 1 ? cards.filter((one) => isTesting(one) && !isStill(one)) : [];
  if (cards.some(isStill)) return { cards, below, lines, isStill: true };
  const [first, rest] = [cards.filter(hasButton), cards.filter((one) => !hasButton(one))];
  return { cards: [...first, ...rest], below, lines, isStill: false };
}
