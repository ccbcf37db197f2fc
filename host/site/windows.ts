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

/** Minutes at which one night ends and the next begins: noon in standard time, and as summer time shows it. */
const NOONS = [720, 780];
const DAY_MINUTES = 1440;

/** Length of the pieces that noon leaves of a window, s. */
function piecesSec(window: TestWindow, noon: number): number[] {
  const cuts = [noon, noon + DAY_MINUTES].filter((cut) => cut > window.from && cut < endMinute(window));
  const edges = [window.from, ...cuts, endMinute(window)];
  return edges.slice(1).map((edge, i) => (edge - edges[i]) * 60);
}

/** The longest that a window leaves for one test on a night without a clock change, s. */
export function windowSec(window: TestWindow): number {
  return Math.max(...NOONS.flatMap((noon) => piecesSec(window, noon)));
}

/** Whether a window is open across noon, so that it counts as two, one before and one after. */
export function spansNoon(window: TestWindow): boolean {
  return piecesSec(window, NOONS[0]).length > 1;
}

/** Why a window may hold less than its length. */
export const NOON_WORDS = 'a night lasts from noon to noon, so a window across noon counts as two';

/** Time a test needs in a slot, s. */
export function slotNeedSec(testSec: number): number {
  return testSec + SLOT_MARGIN_SEC;
}
