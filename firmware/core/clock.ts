// Civil time: only for schedules and time stamps. Durations never use it.
import { ClockTrust } from '../contract/codes';
import { Limit } from '../contract/limits';
import type { Core } from './state';

export const DAY_MS = 86400000;

/** UTC second at monotonic `at`, 0 if the clock was never set. */
export function utcAt(s: Core, at: number): number {
  return s.clockSet ? Math.floor((s.utcBase + at) / 1000) : 0;
}

/** Monotonic ms of a UTC second; only when the clock is set. */
export function monotonicOf(s: Core, utcSec: number): number {
  return utcSec * 1000 - s.utcBase;
}

/** Possible error of the clock, s: 2 s at synchronisation, or the clock chip's, then the assumed drift. */
export function clockErrorSec(s: Core, now: number): number {
  return (s.chipErrorSec || 2) + Math.floor(((now - s.syncAt) * Limit.DriftPpm) / 1000000000);
}

/** Whether an answer contradicted the clock recently and this is not settled yet. */
function isDoubted(s: Core, now: number): boolean {
  return s.doubtAt > 0 && now - s.doubtAt < Limit.ClockDoubtMs;
}

export function clockTrust(s: Core, now: number): ClockTrust {
  if (!s.clockSet) return ClockTrust.NeverSet;
  const isFresh = s.chipErrorSec === 0 && now - s.syncAt <= Limit.SyncFreshSec * 1000 && !isDoubted(s, now);
  return isFresh ? ClockTrust.Synchronised : ClockTrust.Coasting;
}

/** Whether the clock is good enough to start a test. */
export function isClockTrusted(s: Core, now: number): boolean {
  if (!s.clockSet || s.clockFault || isDoubted(s, now)) return false;
  return clockErrorSec(s, now) <= Limit.ClockErrorSecMax;
}

/** Most that two honest answers this many ms apart may differ, ms. */
function honestMs(apartMs: number): number {
  return 2 * Limit.TimeAnswerMs + (apartMs * Limit.DriftPpm) / 1000000;
}

/** Whether a contradiction is confirmed: a later answer agrees with the first that contradicted. */
function isConfirmed(s: Core, base: number, now: number): boolean {
  const agrees = s.doubtAt > 0 && Math.abs(base - s.doubtBase) <= honestMs(now - s.doubtAt);
  if (agrees) return now - s.doubtAt >= Limit.ClockConfirmMs;
  s.doubtBase = base;
  s.doubtAt = now;
  return false;
}

/** Jumps in the same direction again and again within a day: our clock or the host's runs at a wrong rate. */
function countJump(s: Core, direction: number, now: number): void {
  const isSame = s.jumps * direction > 0 && now - s.jumpsAt < DAY_MS;
  if (!isSame) s.jumpsAt = now;
  s.jumps = isSame ? s.jumps + direction : direction;
  if (s.jumps * direction < Limit.ClockJumps) return;
  s.jumps = 0;
  s.clockFault = 1;
}

/**
 * The host says that UTC was `utcMs` when the monotonic counter was `upMs`. The first answer sets the clock.
 * Later ones are compared with it: a difference that honest clocks explain is accepted, anything else only
 * when a second answer agrees.
 * @returns seconds by which the clock jumped, negative for backwards; 0 when it did not
 */
export function takeTime(s: Core, utcMs: number, upMs: number, now: number): number {
  const base = utcMs - upMs;
  const off = base - s.anchorBase;
  const isNear = s.clockSet === 1 && Math.abs(off) <= honestMs(now - s.anchorAt) + s.chipErrorSec * 1000;
  if (s.clockSet && !isNear && !isConfirmed(s, base, now)) return 0;
  const hasJumped = s.clockSet === 1 && !isNear;
  s.clockSet = 1;
  s.utcBase = base;
  s.syncAt = now;
  s.doubtAt = 0;
  // What came from the chip is no anchor for the answers that follow.
  const wasChip = s.chipErrorSec > 0;
  s.chipErrorSec = 0;
  if (isNear && !wasChip && now - s.anchorAt < Limit.ClockAnchorMs) return 0;
  s.anchorBase = base;
  s.anchorAt = now;
  if (isNear && !wasChip) return 0;
  // Signed time after a time without: the chip gets it at once.
  if (s.chipAt > 0) s.chipAt = now;
  // Every state message is answered with the time: only a real correction is worth reporting.
  s.dirty = 1;
  s.wakeAt = now;
  if (!hasJumped) return 0;
  countJump(s, off > 0 ? 1 : -1, now);
  return Math.round(off / 1000);
}
