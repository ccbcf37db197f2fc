import type { TestWindow } from './model';

/**
 * Room a slot leaves around a test, s: readings before the opening, proof of opening and of restore,
 * and a clock that is off by a little (common practice, no source).
 */
export const SLOT_MARGIN_SEC = 300;

/** Minute of the starting day at which a window ends, up to 2880. */
export function endMinute(window: TestWindow): number {
  return window.to > window.from ? window.to : window.to + 1440;
}

/** Length of a window on a night without a change of the clocks, s. */
export function windowSec(window: TestWindow): number {
  return (endMinute(window) - window.from) * 60;
}

/** A test's need of time in a slot, s. */
export function slotNeedSec(testSec: number): number {
  return testSec + SLOT_MARGIN_SEC;
}
