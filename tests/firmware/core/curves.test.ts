import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { linePercent, readLine } from '../../../firmware/contract/curve';
import { Limit } from '../../../firmware/contract/limits';
import { addToCurve, clearCurves, curveOf } from '../../../firmware/core/curves';
import { newCore } from '../../../firmware/core/state';

interface Reading {
  place: number;
  percent: number;
}

/** The curve of these readings as it is told, read back. */
function told(
  readings: Reading[],
  lamp = 0,
): { text: string; bound: number; points: number; percent: number[] } {
  const s = newCore(1);
  clearCurves(s);
  for (const { place, percent } of readings) addToCurve(s, lamp, place, Math.floor(percent + 0.5));
  const text = curveOf(s, lamp);
  const line = readLine(text);
  if (!line) throw new Error(`Not a curve: ${text}`);
  return { text, bound: line.bound, points: line.places.length, percent: linePercent(line) };
}

/** Readings at rising places, some left out; `gaps` are the distances between them. */
function placed(percents: number[], gaps: number[]): Reading[] {
  let place = 0;
  return percents.map((percent, i) => {
    place += i === 0 ? gaps[i] - 1 : gaps[i];
    return { place, percent };
  });
}

const anyPercent = fc.double({ min: 0, max: 126, noNaN: true });
const anyGaps = fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 150, maxLength: 150 });
/** A lamp as lamps are: a slow sag with noise, and a cut-off. */
const likeALamp = fc
  .record({
    start: fc.integer({ min: 80, max: 110 }),
    sag: fc.double({ min: 0, max: 20, noNaN: true }),
    noise: fc.array(fc.double({ min: -1.5, max: 1.5, noNaN: true }), { minLength: 150, maxLength: 150 }),
    cut: fc.integer({ min: 1, max: 200 }),
  })
  .map(({ start, sag, noise, cut }) =>
    noise.map((n, i) => (i >= cut ? 0 : Math.max(0, start - sag * (i / 150) ** 2 + n))),
  );

describe.each([
  ['any readings at all', fc.array(anyPercent, { minLength: 1, maxLength: 150 })],
  ['few levels, held for long', fc.array(fc.constantFrom(0, 3, 60, 126), { minLength: 1, maxLength: 150 })],
  ['lamps that sag and are cut off', likeALamp],
])('a curve of %s', (_name, percents) => {
  it('keeps its bound at every reading, its number of points, and its first and last point', () => {
    fc.assert(
      fc.property(percents, anyGaps, (values, gaps) => {
        const readings = placed(values, gaps);
        const { text, bound, points, percent } = told(readings);
        expect(points).toBeLessThanOrEqual(Limit.CurvePoints);
        // What a host of the first version takes.
        expect(text.length).toBeLessThanOrEqual(64);
        for (const r of readings)
          expect(Math.abs(percent[r.place] - r.percent)).toBeLessThanOrEqual(bound + 1e-9);
        const last = readings[readings.length - 1];
        expect(percent).toHaveLength(last.place + 1);
        expect(percent[last.place]).toBe(Math.floor(last.percent + 0.5));
        expect(percent[readings[0].place]).toBe(Math.floor(readings[0].percent + 0.5));
      }),
      { numRuns: 300 },
    );
  });
});

describe('a curve', () => {
  it('of a lamp that sags a little and goes out takes a few points and keeps to 2.5 %', () => {
    const readings = Array.from({ length: 361 }, (_, place) => ({
      place,
      percent: place >= 300 ? 0 : 103 - 8 * (place / 300) ** 2,
    }));
    const { bound, points, percent } = told(readings, 15);
    expect(bound).toBe(2.5);
    expect(points).toBeLessThanOrEqual(7);
    expect([percent[299], percent[300], percent[360]].map(Math.round)).toEqual([95, 0, 0]);
  });

  it('that runs out of points tells a wider bound', () => {
    const readings = Array.from({ length: 361 }, (_, place) => ({ place, percent: (place * 37) % 120 }));
    expect(told(readings).bound).toBeGreaterThan(100);
    const mild = Array.from({ length: 361 }, (_, place) => ({
      place,
      percent: 100 + ((place * 7) % 13) - 6,
    }));
    expect(told(mild).bound).toBeLessThanOrEqual(16.5);
  });

  it.each([
    [3, 4.5],
    [6, 8.5],
    [10, 16.5],
  ])(
    'of a lamp with readings that jump by %i %% keeps points for its end and tells a bound of %f %%',
    (jump, most) => {
      const noise = [0, 1, -1, 0.6, -0.4, 0.9, -0.8];
      const readings = Array.from({ length: 361 }, (_, place) => ({
        place,
        percent: place >= 320 ? 0 : 100 - place / 40 + (jump / 2) * noise[(place * 5) % 7],
      }));
      const { bound, points, percent } = told(readings);
      expect(bound).toBeLessThanOrEqual(most);
      expect(points).toBeLessThan(Limit.CurvePoints);
      expect(Math.abs(percent[319] - readings[319].percent)).toBeLessThanOrEqual(bound);
      expect(percent[320]).toBeLessThanOrEqual(bound);
    },
  );

  it('does not touch its neighbours', () => {
    const s = newCore(1);
    clearCurves(s);
    for (let place = 0; place < 361; place++)
      for (let i = 0; i < Limit.Luminaires; i++) addToCurve(s, i, place, (place * (i + 1) * 37) % 120);
    for (let i = 0; i < Limit.Luminaires; i++) {
      const alone = told(
        Array.from({ length: 361 }, (_, place) => ({ place, percent: (place * (i + 1) * 37) % 120 })),
      );
      expect(curveOf(s, i)).toBe(alone.text);
    }
  });

  it.each(['', 'B', 'BAA', 'BAAAA', 'B***', 'BAB.', 'BAgAAAA'])('is not read from the text %j', (text) => {
    expect(readLine(text)).toBeUndefined();
  });
});
