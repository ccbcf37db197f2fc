// Civil time from the host, held against the controller's own: IEC 62034 4.2 (title) asks that a fault of
// timing is found, which of the two clocks may have it.
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ClockTrust, OrderKind, Phase, Reason, TestKind, Verdict } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import { clockTrust, isClockTrusted, takeTime, utcAt } from '../../../firmware/core/clock';
import { mayOpen } from '../../../firmware/core/permission';
import { takeOrder } from '../../../firmware/core/step';
import { Bench, DAY_MS, IN_WINDOW, START, WINDOW } from './bench';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;

/** An answer of a host whose clock is `offMs` ahead of the bench's. */
const answer = (b: Bench, offMs = 0): number => takeTime(b.s, START * 1000 + b.now + offMs, b.now, b.now);

/** Runs on with an answer every minute; `offMs` tells how far ahead the host is at that instant. */
function answered(b: Bench, until: number, offMs: (now: number) => number): number[] {
  const jumps: number[] = [];
  while (b.now < until) {
    b.run(b.now + MINUTE_MS);
    const jump = answer(b, offMs(b.now));
    if (jump !== 0) jumps.push(jump);
  }
  return jumps;
}

describe('an answer with the time', () => {
  it('sets a clock that was never set at once, whatever it says', () => {
    const b = new Bench({}, false).run(10_000);
    expect(answer(b, 9 * DAY_MS)).toBe(0);
    expect([utcAt(b.s, b.now), isClockTrusted(b.s, b.now)]).toEqual([START + 10 + 9 * 86_400, true]);
  });

  it('is taken when honest clocks explain its error, also after a year of coasting', () => {
    const b = new Bench().run(10_000);
    expect(answer(b, 3900)).toBe(0);
    expect(b.s.utcBase).toBe(START * 1000 + 3900);
    b.now = 365 * DAY_MS;
    // 100 parts per million of a year are 3,153 s.
    expect(answer(b, 3_150_000)).toBe(0);
    expect([b.s.utcBase, isClockTrusted(b.s, b.now)]).toEqual([START * 1000 + 3_150_000, true]);
  });

  it('that contradicts the clock changes nothing, and no test starts on either word', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    expect(answer(b, HOUR_MS)).toBe(0);
    expect(b.s.utcBase).toBe(START * 1000);
    expect(mayOpen(b.s, TestKind.Brief, WINDOW.to, b.now)).toBe(Reason.ClockUntrusted);
    expect(clockTrust(b.s, b.now)).toBe(ClockTrust.Coasting);
  });

  it('that agrees with one half a minute before it is believed, and the jump is told', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    answer(b, HOUR_MS);
    b.run(b.now + 29_750);
    expect(answer(b, HOUR_MS)).toBe(0);
    b.run(b.now + 250);
    expect(answer(b, HOUR_MS + 1500)).toBe(3602);
    expect(b.s.utcBase).toBe(START * 1000 + HOUR_MS + 1500);
    expect(isClockTrusted(b.s, b.now)).toBe(true);
  });

  it('that agrees with the clock again puts an end to the doubt', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    answer(b, -HOUR_MS);
    b.run(b.now + MINUTE_MS);
    answer(b);
    expect(isClockTrusted(b.s, b.now)).toBe(true);
    b.run(b.now + MINUTE_MS);
    expect(answer(b, -HOUR_MS)).toBe(0);
    expect(b.s.utcBase).toBe(START * 1000);
  });

  it('from two hosts that contradict each other is never believed against the own clock', () => {
    const b = new Bench().plan([]).run(IN_WINDOW);
    for (let i = 0; i < 200; i++) {
      expect(answer(b, i % 2 === 0 ? HOUR_MS : -HOUR_MS)).toBe(0);
      b.run(b.now + MINUTE_MS);
    }
    expect(b.s.utcBase).toBe(START * 1000);
    expect(isClockTrusted(b.s, b.now)).toBe(false);
  });

  it('that nobody confirms keeps tests from starting for an hour, not for ever', () => {
    const b = new Bench().planned(TestKind.Brief).run(IN_WINDOW - MINUTE_MS);
    answer(b, HOUR_MS);
    b.run(b.now + HOUR_MS - 10_000);
    expect([b.drives.length, b.s.waiting]).toEqual([0, Reason.ClockUntrusted]);
    b.run(b.now + 300_000);
    expect(b.result().end).toBe(Reason.Complete);
  });

  it('cannot lead the clock away in small steps without being told', () => {
    fc.assert(
      fc.property(fc.integer({ min: 100, max: 3000 }), (stepMs) => {
        const b = new Bench().plan([]).run(DAY_MS);
        const jumps = answered(b, b.now + 4 * HOUR_MS, (now) => ((now - DAY_MS) / MINUTE_MS) * stepMs);
        const told = jumps.reduce((sum, jump) => sum + Math.abs(jump), 0) * 1000;
        const led = b.s.utcBase - START * 1000;
        expect(led - told).toBeLessThan(2 * Limit.TimeAnswerMs + 4 * 360 + 500 * (jumps.length + 1));
      }),
      { numRuns: 20 },
    );
  });
});

describe('a rate that is wrong', () => {
  it('shows as three jumps the same way within a day and is a fault of the tester', () => {
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

  it('within what a crystal may have is none, however long it lasts', () => {
    for (const partsPerMillion of [-100, -50, 50, 100]) {
      const b = new Bench().plan([]).run(DAY_MS);
      expect(answered(b, b.now + 3 * DAY_MS, (now) => ((now - DAY_MS) * partsPerMillion) / 1e6)).toEqual([]);
      expect(b.s.phase).toBe(Phase.Charged);
    }
  });

  it('makes a running test void for every lamp, since its durations prove nothing', () => {
    const b = new Bench().planned(TestKind.Full).runToDischarge();
    answered(b, b.now + 40 * MINUTE_MS, (now) => (now - IN_WINDOW) / 20);
    expect(b.result().end).toBe(Reason.ClockFault);
    expect(b.result().lamps.every((lamp) => lamp[0] === Verdict.Void)).toBe(true);
    expect(b.s.phase).toBe(Phase.Fault);
    expect(b.broken).toEqual([]);
  });

  it('is not seen in jumps that go both ways, or that lie days apart', () => {
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
