// The clock at the very millisecond in which it believes, doubts or distrusts.
import { describe, expect, it } from 'vitest';
import { ClockTrust } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { clockErrorSec, clockTrust, isClockTrusted, takeTime, utcAt } from '../../../firmware/core/clock';
import { Bench, DAY_MS, START } from './bench';

const HOUR_MS = 3_600_000;

/** An answer at `at`, monotonic ms, of a host that is `offMs` ahead of the bench's first answer. */
const answer = (b: Bench, at: number, offMs: number): number =>
  takeTime(b.s, START * 1000 + at + offMs, at, at);

/** How far ahead the clock runs of the bench's first answer, ms. */
const lead = (b: Bench): number => b.s.utcBase - START * 1000;

/** Two answers that agree, half a minute apart, the second at `at`. @returns the jump, s. */
function jump(b: Bench, at: number, offMs: number): number {
  answer(b, at - Limit.ClockConfirmMs, offMs);
  return answer(b, at, offMs);
}

/** Whether jumps at these instants, hours, by so many hours each, are taken for a wrong rate. */
function isFault(jumps: { atMs: number; hours: number }[]): boolean {
  const b = new Bench();
  let off = 0;
  for (const { atMs, hours } of jumps) {
    off += hours * HOUR_MS;
    expect(jump(b, atMs, off)).toBe(hours * 3600);
  }
  return b.s.clockFault === 1;
}

describe('the trust in the clock', () => {
  it('is none before the first answer', () => {
    const b = new Bench({}, false);
    expect([clockTrust(b.s, 1000), isClockTrusted(b.s, 1000), utcAt(b.s, 1000)]).toEqual([
      ClockTrust.NeverSet,
      false,
      0,
    ]);
  });

  it('is that of a synchronised clock for two days after the last answer, to the millisecond', () => {
    const b = new Bench();
    answer(b, 3 * DAY_MS, 0);
    const last = 3 * DAY_MS + Limit.SyncFreshSec * 1000;
    expect(clockTrust(b.s, last)).toBe(ClockTrust.Synchronised);
    expect(clockTrust(b.s, last + 1)).toBe(ClockTrust.Coasting);
    expect(isClockTrusted(b.s, last + 1)).toBe(true);
  });

  it('lasts until the clock may be an hour wrong', () => {
    const b = new Bench();
    // 100 parts per million: a second in 10,000, and 2 s from the beginning.
    const last = 3599 * 10_000_000 - 1;
    expect([clockErrorSec(b.s, last), isClockTrusted(b.s, last)]).toEqual([3600, true]);
    expect([clockErrorSec(b.s, last + 1), isClockTrusted(b.s, last + 1)]).toEqual([3601, false]);
  });

  it('comes back in the millisecond in which a doubt is an hour old', () => {
    const b = new Bench();
    answer(b, DAY_MS, HOUR_MS);
    expect(isClockTrusted(b.s, DAY_MS + HOUR_MS - 1)).toBe(false);
    expect(clockTrust(b.s, DAY_MS + HOUR_MS - 1)).toBe(ClockTrust.Coasting);
    expect(isClockTrusted(b.s, DAY_MS + HOUR_MS)).toBe(true);
    expect(clockTrust(b.s, DAY_MS + HOUR_MS)).toBe(ClockTrust.Synchronised);
  });
});

describe('an answer with the time', () => {
  it('is honest up to four seconds and what both clocks may have drifted, and not a millisecond more', () => {
    for (const sign of [1, -1]) {
      const b = new Bench();
      // In 40 s a clock drifts 4 ms.
      answer(b, 40_000, sign * 4005);
      expect([lead(b), b.s.doubtAt]).toEqual([0, 40_000]);
      const c = new Bench();
      answer(c, 40_000, sign * 4004);
      expect([lead(c), c.s.doubtAt]).toEqual([sign * 4004, 0]);
    }
  });

  it('confirms a contradiction as far as two honest answers may differ, however late in the life of the clock', () => {
    const b = new Bench();
    answer(b, DAY_MS, HOUR_MS);
    expect(answer(b, DAY_MS + 40_000, HOUR_MS + 4005)).toBe(0);
    expect(lead(b)).toBe(0);
    expect(answer(b, DAY_MS + 80_000, HOUR_MS + 4005 + 4004)).toBe(3608);
    expect(lead(b)).toBe(HOUR_MS + 8009);
  });

  it('is held against one of six hours before, and from then on against itself', () => {
    const b = new Bench();
    answer(b, 6 * HOUR_MS, 3000);
    answer(b, 6 * HOUR_MS + 60_000, 7000);
    expect(lead(b)).toBe(7000);
    const c = new Bench();
    answer(c, 6 * HOUR_MS - 1, 3000);
    answer(c, 6 * HOUR_MS + 60_000, 7000);
    expect(lead(c)).toBe(3000);
  });

  it('is no news where it says what was expected, and is where it sets the clock, whatever it says', () => {
    const b = new Bench();
    answer(b, 7 * HOUR_MS, 0);
    expect(b.s.dirty).toBe(0);
    const unset = new Bench({}, false);
    expect(takeTime(unset.s, 1000, 1000, 1000)).toBe(0);
    expect([unset.s.dirty, unset.s.clockSet]).toEqual([1, 1]);
  });
});

describe('a wrong rate', () => {
  const at = (hours: number, hoursOff = 1, ms = 0) => ({ atMs: hours * HOUR_MS + ms, hours: hoursOff });

  it('shows in the third jump the same way, forwards as backwards, and not in the second', () => {
    for (const way of [1, -1]) {
      expect(isFault([at(1, way), at(2, way)])).toBe(false);
      expect(isFault([at(1, way), at(2, way), at(3, way)])).toBe(true);
    }
  });

  it('shows in three jumps that follow on one the other way', () => {
    expect(isFault([at(1, -1), at(2), at(3)])).toBe(false);
    expect(isFault([at(1, -1), at(2), at(3), at(4)])).toBe(true);
  });

  it('shows only where the third comes within a day of the first, not of the second', () => {
    expect(isFault([at(1), at(13), at(25, 1, -1)])).toBe(true);
    expect(isFault([at(1), at(13), at(25)])).toBe(false);
  });

  it('counts the day from the first jump, not from the start', () => {
    expect(isFault([at(20), at(30), at(40)])).toBe(true);
  });
});
