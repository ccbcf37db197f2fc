// Civil time: only to schedule and to stamp. Durations never touch it.
import { ClockTrust } from '../contract/codes';
import { Limit } from '../contract/limits';
import type { Core } from './state';

/** A correction larger than this is told and re-schedules, ms: above the error of one answer. */
const CORRECTION_MS = 5000;

/** UTC second at monotonic `at`, 0 while the clock was never set. */
export function utcAt(s: Core, at: number): number {
  return s.clockSet ? Math.floor((s.utcBase + at) / 1000) : 0;
}

/** Monotonic ms of a UTC second; only with a set clock. */
export function monotonicOf(s: Core, utcSec: number): number {
  return utcSec * 1000 - s.utcBase;
}

/** Possible error of the clock, s: 2 s at synchronisation, then the assumed drift. */
export function clockErrorSec(s: Core, now: number): number {
  return 2 + Math.floor(((now - s.syncAt) * Limit.DriftPpm) / 1000000000);
}

export function clockTrust(s: Core, now: number): ClockTrust {
  if (!s.clockSet) return ClockTrust.NeverSet;
  return now - s.syncAt <= Limit.SyncFreshSec * 1000 ? ClockTrust.Synchronised : ClockTrust.Coasting;
}

/** Whether a test may be started by this clock. */
export function isClockTrusted(s: Core, now: number): boolean {
  return s.clockSet === 1 && clockErrorSec(s, now) <= Limit.ClockErrorSecMax;
}

/** Sets the clock: UTC was `utcMs` when the monotonic counter stood at `upMs`. */
export function takeTime(s: Core, utcMs: number, upMs: number, now: number): void {
  const base = utcMs - upMs;
  // Every state message is answered with the time: only a real correction is news worth telling.
  if (!s.clockSet || Math.abs(base - s.utcBase) > CORRECTION_MS) {
    s.dirty = 1;
    s.wakeAt = now;
  }
  s.utcBase = base;
  s.clockSet = 1;
  s.syncAt = now;
}
