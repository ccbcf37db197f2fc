// The battery-backed clock chip as third witness of the time, beside signed answers and the board's own
// counter. Signed time alone sets it. After a start it stands in until an answer comes; while running, chip and
// counter watch each other.
import { ClockTrust, Reason } from '../contract/codes';
import { Limit } from '../contract/limits';
import { clockErrorSec, clockTrust, DAY_MS, utcAt } from './clock';
import { eventRecord, queueRecord } from './records';
import type { Core } from './state';

/** Possible error of the chip this long after it was set, s. */
function driftSec(sinceSec: number): number {
  return Limit.ChipErrorSec + Math.ceil((sinceSec * Limit.ChipDriftPpm) / 1000000);
}

/**
 * At the start: the clock runs on from the chip, if the journal says that it was set, and its time is neither
 * before the newest record nor absurd. It then coasts, with the chip's error since it was set.
 * @param chipUtc as from `BoardPort.chipTime`
 * @param setUtc when it was set, by the journal, UTC s; 0 not, or found wrong since
 * @param newestUtc time of the newest record, UTC s
 */
export function startFromChip(
  s: Core,
  chipUtc: number,
  setUtc: number,
  newestUtc: number,
  now: number,
): void {
  if (chipUtc < 0) return;
  s.chipAt = now + Limit.ChipCheckMs;
  const error = driftSec(chipUtc - setUtc);
  const isPlausible = chipUtc >= Limit.ChipUtcMin && chipUtc <= Limit.ChipUtcMax;
  if (setUtc === 0 || !isPlausible || chipUtc + error < newestUtc) return;
  s.chipSetUtc = setUtc;
  s.chipErrorSec = error;
  s.clockSet = 1;
  s.utcBase = chipUtc * 1000 - now;
  s.syncAt = now;
  s.anchorBase = s.utcBase;
  s.anchorAt = now;
}

/** By how many seconds the chip is ahead of the clock. */
function lead(s: Core, chipUtc: number, now: number): number {
  return chipUtc - utcAt(s, now);
}

/** Whether chip and clock differ by more than both may be wrong. */
function isApart(s: Core, chipUtc: number, now: number): boolean {
  const since = s.chipSetUtc > 0 ? utcAt(s, now) - s.chipSetUtc : DAY_MS / 1000;
  return Math.abs(lead(s, chipUtc, now)) > driftSec(since) + clockErrorSec(s, now);
}

function tell(s: Core, reason: Reason, leadSec: number, now: number): void {
  queueRecord(s, eventRecord(s, 'chip', reason, leadSec, now));
}

/** Whether a signed answer is so recent that the clock is nearly right. */
function isSigned(s: Core, now: number): boolean {
  return clockTrust(s, now) === ClockTrust.Synchronised && clockErrorSec(s, now) < Limit.ChipErrorSec;
}

/**
 * Compares the chip with the clock, at rest. Against signed time the chip is wrong, and is corrected; without
 * any, nobody knows which of the two is, so no duration can be trusted.
 * @param chipUtc as from `BoardPort.chipTime`
 * @returns whether the chip is to be set to the clock's time, and `chipSet` told how that went
 */
export function compareChip(s: Core, chipUtc: number, now: number): boolean {
  s.chipAt = now + Limit.ChipCheckMs;
  if (!s.clockSet) return false;
  const isWrong = chipUtc > 0 && isApart(s, chipUtc, now);
  if (!isSigned(s, now)) {
    if (!isWrong || s.chipSetUtc === 0) return false;
    s.clockFault = 1;
    s.wakeAt = now;
    return false;
  }
  if (isWrong) {
    // Once a day at most, and trusted again only when it has kept time for that day.
    s.chipAt = now + DAY_MS;
    s.chipSetUtc = 0;
    tell(s, Reason.ClockFault, lead(s, chipUtc, now), now);
    return true;
  }
  return chipUtc === 0 || s.chipSetUtc === 0 || utcAt(s, now) - s.chipSetUtc >= Limit.ChipSetSec;
}

/** The chip was set, and read back right (1) or not (0). */
export function chipSet(s: Core, ok: number, now: number): void {
  // It was found wrong in this comparison, and that is recorded already.
  if (s.chipAt > now + Limit.ChipCheckMs) return;
  s.chipSetUtc = ok ? utcAt(s, now) : 0;
  if (!ok) s.chipAt = now + DAY_MS;
  tell(s, ok ? Reason.None : Reason.ClockFault, 0, now);
}
