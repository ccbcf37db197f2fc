// Civil time from the host, compared with the controller's own: IEC 62034 4.2 (title) requires a timing fault
// to be found, whichever clock has it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ClockTrust, OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { clockErrorSec, clockTrust, isClockTrusted, takeTime, utcAt } from '../../../firmware/core/clock';
import { mayOpen } from '../../../firmware/core/permission';
import { takeOrder } from '../../../firmware/core/step';
import { runs } from '../../support/depth';
import { Bench, DAY_MS, HOUR_MS, IN_WINDOW, MINUTE_MS, START, WINDOW } from './bench';

/** An answer of a host whose clock is `offMs` ahead of the bench's. */
const answer = (b: Bench, offMs = 0): number => takeTime(b.s, START * 1000 + b.now + offMs, b.now, b.now);

/** Runs on with an answer every minute; `offMs` gives how far ahead the host is at that instant. */
function answered(b: Bench, until: number, offMs: (now: number) => number): number[] {
  const jumps: number[] = [];
  while (b.now < until) {
    b.run(b.now + MINUTE_MS);
    const jump = answer(b, offMs(b.now));
    if (jump !== 0) jumps.push(jump);
  }
  return jumps;
}

/** An answer at `at`, monotonic ms, of a host that is `offMs` ahead of the bench's first answer. */
const answerAt = (b: Bench, at: number, offMs: number): number =>
  takeTime(b.s, START * 1000 + at + offMs, at, at);

/** How far ahead the clock is of the bench's first answer, ms. */
const lead = (b: Bench): number => b.s.utcBase - START * 1000;

/** Two answers that agree, half a minute apart, the second at `at`. @returns the jump, s. */
function jump(b: Bench, at: number, offMs: number): number {
  answerAt(b, at - Limit.ClockConfirmMs, offMs);
  return answerAt(b, at, offMs);
}

/** Whether jumps at these instants, hours, by this many hours each, are taken for a wrong rate. */
function isFault(jumps: { atMs: number; hours: number }[]): boolean {
  const b = new Bench();
  let off = 0;
  for (const { atMs, hours } of jumps) {
    off += hours * HOUR_MS;
    expect(jump(b, atMs, off)).toBe(hours * 3600);
  }
  return b.s.clockFault === 1;
}

describe('an answer with the time', () => {
  it('sets a clock that was never set at once, whatever it says', () => {
    const b = new Bench({}, false).run(10_000);
    expect(answer(b, 9 * DAY_MS)).toBe(0);
    expect([utcAt(b.s, b.now), isClockTrusted(b.s, b.now)]).toEqual([START + 10 + 9 * 86_400, true]);
  });

  it('is accepted when honest clocks explain its error, even after a year of coasting', () => {
    const b = new Bench().run(10_000);
    expect(answer(b, 3900)).toBe(0);
    expect(b.s.utcBase).toBe(START * 1000 + 3900);
    b.now = 365 * DAY_MS;
    // 100 parts per million of a year are 3,153 s.
    expect(answer(b, 3_150_000)).toBe(0);
    expect([b.s.utcBase, isClockTrusted(b.s, b.now)]).toEqual([START * 1000 + 3_150_000, true]);
  });

  it('that contradicts the clock changes nothing, and no test starts on either time', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    expect(answer(b, HOUR_MS)).toBe(0);
    expect(b.s.utcBase).toBe(START * 1000);
    expect(mayOpen(b.s, TestKind.Brief, WINDOW.to, b.now)).toBe(Reason.ClockUntrusted);
    expect(clockTrust(b.s, b.now)).toBe(ClockTrust.Coasting);
  });

  it('that agrees with one half a minute before it is believed, and the jump is reported', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    answer(b, HOUR_MS);
    b.run(b.now + 29_750);
    expect(answer(b, HOUR_MS)).toBe(0);
    b.run(b.now + 250);
    expect(answer(b, HOUR_MS + 1500)).toBe(3602);
    expect(b.s.utcBase).toBe(START * 1000 + HOUR_MS + 1500);
    expect(isClockTrusted(b.s, b.now)).toBe(true);
  });

  it('that agrees with the clock again ends the doubt', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    answer(b, -HOUR_MS);
    b.run(b.now + MINUTE_MS);
    answer(b);
    expect(isClockTrusted(b.s, b.now)).toBe(true);
    b.run(b.now + MINUTE_MS);
    expect(answer(b, -HOUR_MS)).toBe(0);
    expect(b.s.utcBase).toBe(START * 1000);
  });

  it("from two hosts that contradict each other is never believed over the controller's own clock", () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    for (let i = 0; i < 200; i++) {
      expect(answer(b, i % 2 === 0 ? HOUR_MS : -HOUR_MS)).toBe(0);
      b.run(b.now + MINUTE_MS);
    }
    expect(b.s.utcBase).toBe(START * 1000);
    expect(isClockTrusted(b.s, b.now)).toBe(false);
  });

  it('that is never confirmed keeps tests from starting for an hour, not forever', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - MINUTE_MS);
    answer(b, HOUR_MS);
    b.run(b.now + HOUR_MS - 10_000);
    expect([b.drives.length, b.s.waiting]).toEqual([0, Reason.ClockUntrusted]);
    b.run(b.now + 300_000);
    expect(b.result().end).toBe(Reason.Complete);
  });

  it('cannot lead the clock away in small steps without being reported', () => {
    fc.assert(
      fc.property(fc.integer({ min: 100, max: 3000 }), (stepMs) => {
        const b = new Bench().plan([]).run(DAY_MS);
        const jumps = answered(b, b.now + 4 * HOUR_MS, (now) => ((now - DAY_MS) / MINUTE_MS) * stepMs);
        const told = jumps.reduce((sum, jump) => sum + Math.abs(jump), 0) * 1000;
        const led = b.s.utcBase - START * 1000;
        expect(led - told).toBeLessThan(2 * Limit.TimeAnswerMs + 4 * 360 + 500 * (jumps.length + 1));
      }),
      { numRuns: runs(20) },
    );
  });

  it('is honest up to four seconds and what both clocks may have drifted, and not a millisecond more', () => {
    for (const sign of [1, -1]) {
      const b = new Bench();
      // In 40 s a clock drifts 4 ms.
      answerAt(b, 40_000, sign * 4005);
      expect([lead(b), b.s.doubtAt]).toEqual([0, 40_000]);
      const c = new Bench();
      answerAt(c, 40_000, sign * 4004);
      expect([lead(c), c.s.doubtAt]).toEqual([sign * 4004, 0]);
    }
  });

  it('confirms a contradiction as far as two honest answers may differ, however late in the life of the clock', () => {
    const b = new Bench();
    answerAt(b, DAY_MS, HOUR_MS);
    expect(answerAt(b, DAY_MS + 40_000, HOUR_MS + 4005)).toBe(0);
    expect(lead(b)).toBe(0);
    expect(answerAt(b, DAY_MS + 80_000, HOUR_MS + 4005 + 4004)).toBe(3608);
    expect(lead(b)).toBe(HOUR_MS + 8009);
  });

  it('is compared with one of six hours before, and from then on becomes the reference', () => {
    const b = new Bench();
    answerAt(b, 6 * HOUR_MS, 3000);
    answerAt(b, 6 * HOUR_MS + 60_000, 7000);
    expect(lead(b)).toBe(7000);
    const c = new Bench();
    answerAt(c, 6 * HOUR_MS - 1, 3000);
    answerAt(c, 6 * HOUR_MS + 60_000, 7000);
    expect(lead(c)).toBe(3000);
  });

  it('is not news when it says what was expected, but is when it sets the clock, whatever it says', () => {
    const b = new Bench();
    answerAt(b, 7 * HOUR_MS, 0);
    expect(b.s.dirty).toBe(0);
    const unset = new Bench({}, false);
    expect(takeTime(unset.s, 1000, 1000, 1000)).toBe(0);
    expect([unset.s.dirty, unset.s.clockSet]).toEqual([1, 1]);
  });
});

describe('a wrong rate in answers', () => {
  it('shows as three jumps the same way within a day and is a tester fault', () => {
    const b = new Bench().plan([]).run(DAY_MS);
    // One in a thousand: 3.6 s an hour.
    const jumps = answered(b, b.now + DAY_MS / 2, (now) => (now - DAY_MS) / 1000);
    expect(jumps.length).toBeGreaterThanOrEqual(3);
    expect([b.s.phase, b.s.reason, b.s.red]).toEqual([Phase.Fault, Reason.ClockFault, 1]);
    expect(b.of('fault')).toHaveLength(1);
    expect(mayOpen(b.s, TestKind.Brief, WINDOW.to, b.now)).toBe(Reason.Busy);
    expect(takeOrder(b.s, OrderKind.ClearFault, 0, b.now)).toBe(Reason.None);
    b.run(b.now + 10_000);
    expect(b.s.phase).toBe(Phase.Charged);
    expect(b.broken).toEqual([]);
  });

  it("within a crystal's tolerance is not a fault, however long it lasts", () => {
    for (const partsPerMillion of [-100, -50, 50, 100]) {
      const b = new Bench().plan([]).run(DAY_MS);
      expect(answered(b, b.now + 3 * DAY_MS, (now) => ((now - DAY_MS) * partsPerMillion) / 1e6)).toEqual([]);
      expect(b.s.phase).toBe(Phase.Charged);
    }
  });

  it('voids a running test for every lamp, since its durations prove nothing', () => {
    const b = new Bench().planned(TestKind.Full).runToDischarge();
    answered(b, b.now + 40 * MINUTE_MS, (now) => (now - IN_WINDOW) / 20);
    expect(b.result().end).toBe(Reason.ClockFault);
    expect(b.result().lamps.every((lamp) => lamp[0] === Verdict.Void)).toBe(true);
    expect(b.s.phase).toBe(Phase.Fault);
    expect(b.broken).toEqual([]);
  });

  it('is not seen in jumps that go both ways, or that are days apart', () => {
    const b = new Bench().plan([]).run(DAY_MS);
    const jump = (offMs: number) => {
      answer(b, offMs);
      b.run(b.now + MINUTE_MS);
      return answer(b, offMs);
    };
    for (const hours of [1, -1, 1, -1, 1]) expect(jump(hours * HOUR_MS)).not.toBe(0);
    expect(jump(2 * HOUR_MS)).toBe(3600);
    b.run(b.now + 2 * DAY_MS);
    expect(jump(3 * HOUR_MS)).toBe(3600);
    b.run(b.now + DAY_MS + HOUR_MS);
    expect(jump(4 * HOUR_MS)).toBe(3600);
    b.run(b.now + 10_000);
    expect(b.of('fault')).toHaveLength(0);
  });
});

describe('trust in the clock', () => {
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
    answerAt(b, 3 * DAY_MS, 0);
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

  it('returns in the millisecond in which a doubt is an hour old', () => {
    const b = new Bench();
    answerAt(b, DAY_MS, HOUR_MS);
    expect(isClockTrusted(b.s, DAY_MS + HOUR_MS - 1)).toBe(false);
    expect(clockTrust(b.s, DAY_MS + HOUR_MS - 1)).toBe(ClockTrust.Coasting);
    expect(isClockTrusted(b.s, DAY_MS + HOUR_MS)).toBe(true);
    expect(clockTrust(b.s, DAY_MS + HOUR_MS)).toBe(ClockTrust.Synchronised);
  });
});

describe('a wrong rate', () => {
  const at = (hours: number, hoursOff = 1, ms = 0) => ({ atMs: hours * HOUR_MS + ms, hours: hoursOff });

  it('shows at the third jump the same way, forwards or backwards, and not at the second', () => {
    for (const way of [1, -1]) {
      expect(isFault([at(1, way), at(2, way)])).toBe(false);
      expect(isFault([at(1, way), at(2, way), at(3, way)])).toBe(true);
    }
  });

  it('shows in three jumps that follow one the other way', () => {
    expect(isFault([at(1, -1), at(2), at(3)])).toBe(false);
    expect(isFault([at(1, -1), at(2), at(3), at(4)])).toBe(true);
  });

  it('shows only when the third comes within a day of the first, not of the second', () => {
    expect(isFault([at(1), at(13), at(25, 1, -1)])).toBe(true);
    expect(isFault([at(1), at(13), at(25)])).toBe(false);
  });

  it('counts the day from the first jump, not from the start', () => {
    expect(isFault([at(20), at(30), at(40)])).toBe(true);
  });
});
