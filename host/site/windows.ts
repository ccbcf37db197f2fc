import type { TestWindow } from './model';

/**
 * Margin a slot leaves around a test, s: readings before the relay opens, proof of opening and of restored
 * supply, and a small clock error (common practice, no source).
 */
export const SLOT_MARGIN_SEC = 300;

/** Minute of the starting day at which a window ends, up to 2880. */
export function endMinute(window: TestWindow): number {
  return window.to > window.from ? window.to : window.to + 1440;
}

/** Length of a window on a night without a clock change, s. */
export function windowSec(window: TestWindow): number {
  return (endMinute(window) - window.from) * 60;
}

/** Time a test needs in a slot, s. */
export function slotNeedSec(testSec: number): number {
  return testSec + SLOT_MARGIN_SEC;
}
