import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type BoardPlant,
  boardMs,
  hostClockErrorMs,
  newBoardPlant,
  restartCounter,
  settleBoard,
  simulatedAt,
} from '../../../simulator/plant/board';

/** What happens to the board, settled at every change that it announces. */
function fate(prepare: (b: BoardPlant) => void): [number, string][] {
  const b = newBoardPlant();
  prepare(b);
  b.changeAt = 0;
  const seen: [number, string][] = [];
  while (b.changeAt < Number.POSITIVE_INFINITY) {
    const now = b.changeAt;
    const change = settleBoard(b, now);
    if (change !== 'none') seen.push([now, change]);
  }
  return seen;
}

describe('a board', () => {
  it('powers off, comes back, hangs and restarts at the planted instants', () => {
    const seen = fate((b) => {
      b.off.push({ from: 10, to: 20 });
      b.hangs.push({ from: 30, to: 40 });
      b.resets.push(50, 51);
    });
    expect(seen).toEqual([
      [10, 'off'],
      [20, 'boot'],
      [30, 'hang'],
      [40, 'boot'],
      [50, 'boot'],
      [51, 'boot'],
    ]);
  });

  it('does not restart without power, and is freed from a hang by a reset', () => {
    const seen = fate((b) => {
      b.off.push({ from: 10, to: 20 });
      b.hangs.push({ from: 12, to: 25 }, { from: 30, to: 40 });
      b.resets.push(15, 35);
    });
    expect(seen.filter(([, change]) => change !== 'off')).toEqual([
      [20, 'boot'],
      [30, 'hang'],
      [35, 'boot'],
    ]);
  });

  it('counts time by its crystal, never backwards, and the simulation can find the instant of every count', () => {
    const ppm = fc.integer({ min: -500, max: 500 });
    const fault = fc.tuple(fc.integer({ min: 0, max: 1e9 }), fc.integer({ min: 1, max: 1e9 }), ppm);
    fc.assert(
      fc.property(
        fc.array(fault, { maxLength: 3 }),
        fc.array(fc.integer({ min: 1, max: 1e8 })),
        (faults, steps) => {
          const b = newBoardPlant();
          for (const [from, lasts, rate] of faults)
            b.crystalFaults.push({ from, to: from + lasts, ppm: rate });
          b.changeAt = 0;
          let [now, last] = [0, 0];
          for (const step of steps) {
            const to = now + step;
            while (b.changeAt <= to) settleBoard(b, b.changeAt);
            now = to;
            const ms = boardMs(b, now);
            expect(Number.isInteger(ms)).toBe(true);
            expect(Math.abs(ms - last - step)).toBeLessThanOrEqual(step * 5e-4 + 1);
            expect(boardMs(b, simulatedAt(b, ms + 250))).toBeGreaterThanOrEqual(ms + 250);
            expect(boardMs(b, simulatedAt(b, ms + 250) - 1)).toBeLessThan(ms + 250);
            last = ms;
          }
        },
      ),
    );
  });

  it('counts exactly, to the last millionth', () => {
    const b = newBoardPlant();
    b.crystalFaults.push({ from: 0, to: 1e12, ppm: -1 });
    restartCounter(b, 0);
    settleBoard(b, 0);
    expect([1, 2, 1_000_000, 1_000_001].map((now) => boardMs(b, now))).toEqual([0, 1, 999_999, 999_999]);
    expect([1, 999_999].map((ms) => simulatedAt(b, ms))).toEqual([2, 1_000_000]);
    expect(simulatedAt(b, Number.POSITIVE_INFINITY)).toBe(Number.POSITIVE_INFINITY);
  });

  it('whose crystal runs 100 ppm fast gains 8.64 s a day', () => {
    const b = newBoardPlant();
    b.crystalFaults.push({ from: 0, to: 1e12, ppm: 100 });
    restartCounter(b, 5000);
    settleBoard(b, 5000);
    expect(boardMs(b, 5000 + 86_400_000)).toBe(86_408_640);
  });

  it('is given a wrong time, or none, while that is planted', () => {
    const b = newBoardPlant();
    b.hostClock.push({ from: 10, to: 30, offsetMs: 7000 });
    b.silences.push({ from: 20, to: 40 });
    expect([5, 10, 20, 39, 40].map((now) => hostClockErrorMs(b, now))).toEqual([
      ...[0, 7000],
      undefined,
      undefined,
      0,
    ]);
  });
});
