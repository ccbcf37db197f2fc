// The only place on the host that reads a clock, so that a simulated one can replace it.

export interface HostClock {
  /** Civil time, UTC in ms. Somebody may put it forward or back. */
  nowMs(): number;
  /** ms since some instant, never put forward or back; by default the civil time of a clock nobody sets. */
  upMs?(): number;
}

/** This machine's clock. */
export const systemClock: HostClock = { nowMs: () => Date.now(), upMs: () => performance.now() };

/** ms for measuring how long something lasts: whoever sets the civil clock does not change them. */
export function risingMs(clock: HostClock): number {
  return clock.upMs?.() ?? clock.nowMs();
}

/** Whole UTC seconds of a clock. */
export function nowSec(clock: HostClock): number {
  return Math.floor(clock.nowMs() / 1000);
}

/** 2026-01-01 UTC, s: revisions and counters are never lower than the time since then. */
const ORIGIN_SEC = 1767225600;

/**
 * A number that only rises: above `last`, and above every number this machine gave out before, even if the
 * file that remembered them is lost. Controllers ignore a number that is not above the last they saw.
 */
export function risingNumber(last: number, utcSec: number): number {
  return Math.max(last + 1, utcSec - ORIGIN_SEC, 1);
}
