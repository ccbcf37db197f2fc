// The only place on the host that reads the civil clock, so that a simulated clock can replace it.

export interface HostClock {
  /** Civil time, UTC in ms. */
  nowMs(): number;
}

/** This machine's clock. */
export const systemClock: HostClock = { nowMs: () => Date.now() };

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
