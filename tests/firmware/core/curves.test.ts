import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TestKind } from '../../../firmware/contract/codes';
import { CURVE_TOP, type Line, linePercent, readLine } from '../../../firmware/contract/curve';
import { Limit } from '../../../firmware/contract/limits';
import { addToCurve, clearCurves, curveOf, recordCurves } from '../../../firmware/core/curves';
import { takeSettings } from '../../../firmware/core/settings';
import { type Core, newCore } from '../../../firmware/core/state';
import { runs } from '../../support/depth';
import { SETTINGS } from './bench';

interface Reading {
  place: number;
  percent: number;
}

/** The curve of these readings as it is reported, decoded. */
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

/** Readings at rising places, with some left out; `gaps` are the distances between them. */
function placed(percents: number[], gaps: number[]): Reading[] {
  let place = 0;
  return percents.map((percent, i) => {
    place += i === 0 ? gaps[i] - 1 : gaps[i];
    return { place, percent };
  });
}

const anyPercent = fc.double({ min: 0, max: 126, noNaN: true });
const anyGaps = fc.array(fc.integer({ min: 1, max: 3 }), { minLength: 150, maxLength: 150 });
/** A realistic lamp: a slow sag with noise, and a cut-off. */
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

const T0 = 7000;

/** Lamps of 200, 50, 100 and 400 mA in a full test of one hour: a reading for the curves every 10 s. */
function discharging(kind = TestKind.Full): Core {
  const s = newCore(1);
  const lamps = '0,200,0,3600;1,50,300,3600;2,100,300,3600;3,400,0,3600;';
  if (!takeSettings(s.set, { ...SETTINGS, lamps })) throw new Error('The settings are out of bounds.');
  s.kind = kind;
  s.limitMs = 3_600_000;
  s.t0 = T0;
  clearCurves(s);
  return s;
}

/** The readings `ma` of all lamps, taken this long after the supply went off. */
function read(s: Core, elapsed: number, ma: number[]): void {
  s.lastSampleAt = s.t0 + elapsed;
  s.ma.set(ma);
  recordCurves(s);
}

function lineOf(s: Core, i = 0): Line {
  const line = readLine(curveOf(s, i));
  if (!line) throw new Error('That is not a curve.');
  return line;
}

/** The curve of readings [place, percent]. */
function lineThrough(readings: number[][]): Line {
  const s = discharging();
  for (const [place, percent] of readings) addToCurve(s, 0, place, percent);
  return lineOf(s);
}

/** Readings that go up and down between 0 and 100 % at every place, from `from` to `to`. */
function zigzag(from: number, to: number): number[][] {
  return Array.from({ length: to - from + 1 }, (_, k) => [from + k, (from + k) % 2 === 0 ? 100 : 0]);
}

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
        // What a host of the first version accepts.
        expect(text.length).toBeLessThanOrEqual(64);
        for (const r of readings)
          expect(Math.abs(percent[r.place] - r.percent)).toBeLessThanOrEqual(bound + 1e-9);
        const last = readings[readings.length - 1];
        expect(percent).toHaveLength(last.place + 1);
        expect(percent[last.place]).toBe(Math.floor(last.percent + 0.5));
        expect(percent[readings[0].place]).toBe(Math.floor(readings[0].percent + 0.5));
      }),
      { numRuns: runs(300) },
    );
  });
});

describe('a curve', () => {
  it('of a lamp that sags a little and goes out takes a few points and stays within 2.5 %', () => {
    const readings = Array.from({ length: 361 }, (_, place) => ({
      place,
      percent: place >= 300 ? 0 : 103 - 8 * (place / 300) ** 2,
    }));
    const { bound, points, percent } = told(readings, 15);
    expect(bound).toBe(2.5);
    expect(points).toBeLessThanOrEqual(7);
    expect([percent[299], percent[300], percent[360]].map(Math.round)).toEqual([95, 0, 0]);
  });

  it('that runs out of points reports a wider bound', () => {
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
    'of a lamp with readings that jump by %i %% keeps points for its end and reports a bound of %f %%',
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

  it.each(['', 'B', 'BAA', 'BAAAA', 'B***', 'BAB.', 'BAgAAAA'])('is not decoded from the text %j', (text) => {
    expect(readLine(text)).toBeUndefined();
  });
});

describe('readings for the curves', () => {
  it.each([
    [3_600_000, 10],
    [3_600_001, 11],
    [120_000, 1],
    [10_800_000, 30],
  ])('of a test of %i ms are %i s apart', (limitMs, sec) => {
    const s = newCore(1);
    s.limitMs = limitMs;
    clearCurves(s);
    expect(s.curveGridSec).toBe(sec);
  });

  it('begin at the 5 s point and not a millisecond before', () => {
    const s = discharging();
    read(s, Limit.EarlyPointMs - 1, [200, 50, 100, 400]);
    expect(s.curveSettled[0]).toBe(0);
    read(s, Limit.EarlyPointMs, [200, 50, 100, 400]);
    expect(lineOf(s)).toMatchObject({ places: [0], percents: [100] });
  });

  it('are taken once for each place, as soon as its time has come', () => {
    const s = discharging();
    read(s, 5000, [200, 50, 100, 400]);
    const first = curveOf(s, 0);
    read(s, 7000, [20, 5, 10, 40]);
    read(s, 9999, [20, 5, 10, 40]);
    expect(curveOf(s, 0)).toBe(first);
    read(s, 10_000, [180, 45, 90, 360]);
    const second = curveOf(s, 0);
    expect(lineOf(s)).toMatchObject({ places: [0, 1], percents: [100, 90] });
    read(s, 10_250, [20, 5, 10, 40]);
    read(s, 19_999, [20, 5, 10, 40]);
    expect(curveOf(s, 0)).toBe(second);
  });

  it('that come late are at the place of their own time, and the next one follows it', () => {
    const s = discharging();
    read(s, 5000, [200, 50, 100, 400]);
    read(s, 39_999, [190, 45, 90, 360]);
    const late = curveOf(s, 0);
    expect(lineOf(s)).toMatchObject({ places: [0, 3], percents: [100, 95] });
    read(s, 39_999, [0, 0, 0, 0]);
    expect(curveOf(s, 0)).toBe(late);
    read(s, 40_000, [0, 0, 0, 0]);
    expect(lineOf(s).places).toEqual([0, 3, 4]);
  });

  it('are percent of each lamp’s own battery current, halves rounded up', () => {
    const s = discharging();
    read(s, 5000, [199, 47, 93, 250]);
    expect([0, 1, 2, 3].map((i) => lineOf(s, i).percents)).toEqual([[100], [94], [93], [63]]);
    expect(lineOf(s, 1).places).toEqual([0]);
    const under = discharging();
    read(under, 5000, [198, 0, 1, 249]);
    expect([0, 1, 2, 3].map((i) => lineOf(under, i).percents)).toEqual([[99], [0], [1], [62]]);
  });

  it('below zero count as zero and those above the top as the top', () => {
    const s = discharging();
    read(s, 10_000, [-1, -2, -1, -400]);
    expect([0, 1, 2, 3].map((i) => lineOf(s, i))).toMatchObject([
      { places: [1], percents: [0] },
      { places: [1], percents: [0] },
      { places: [1], percents: [0] },
      { places: [1], percents: [0] },
    ]);
    const high = discharging();
    read(high, 10_000, [252, 63, 127, 1600]);
    expect([0, 1, 2, 3].map((i) => lineOf(high, i).percents)).toEqual([
      [CURVE_TOP],
      [CURVE_TOP],
      [CURVE_TOP],
      [CURVE_TOP],
    ]);
    expect(lineOf(high, 3).places).toEqual([1]);
  });

  it('are not taken in a brief test, nor before the supply went off', () => {
    const brief = discharging(TestKind.Brief);
    read(brief, 60_000, [200, 50, 100, 400]);
    expect([brief.curveSettled[0], brief.curveNext]).toEqual([0, 0]);
    const waiting = discharging();
    waiting.t0 = 0;
    read(waiting, 60_000, [200, 50, 100, 400]);
    expect([waiting.curveSettled[0], waiting.curveNext]).toEqual([0, 0]);
    const limited = discharging(TestKind.Limited);
    read(limited, 60_000, [200, 50, 100, 400]);
    expect(lineOf(limited).places).toEqual([6]);
  });

  it('of the last test are forgotten, along with the width that they used', () => {
    const s = discharging();
    for (const [place, percent] of zigzag(0, 30)) addToCurve(s, 15, place, percent);
    expect(lineOf(s, 15).bound).toBeGreaterThan(2.5);
    s.curveNext = 31;
    clearCurves(s);
    expect(s.curveNext).toBe(0);
    addToCurve(s, 15, 4, 80);
    expect(lineOf(s, 15)).toEqual({ bound: 2.5, places: [4], percents: [80] });
  });
});

describe('the line of a curve', () => {
  it.each([
    [104, 105],
    [96, 95],
  ])('accepts a reading of %i %% on the very edge of its door, and none of %i %%', (edge, beyond) => {
    const flat = [
      [0, 100],
      [1, 100],
    ];
    expect(lineThrough([...flat, [2, edge]])).toEqual({ bound: 2.5, places: [0, 2], percents: [100, edge] });
    expect(lineThrough([...flat, [2, beyond]])).toEqual({
      bound: 2.5,
      places: [0, 1, 2],
      percents: [100, 100, beyond],
    });
  });

  it('never opens its door again: the narrowest edges of all readings count', () => {
    // Two readings leave -1 to +1 % a place; the third would allow more, but the fourth must still obey that.
    const readings = [
      [0, 100],
      [2, 100],
      [3, 102],
    ];
    expect(lineThrough([...readings, [6, 106]]).places).toEqual([0, 6]);
    expect(lineThrough([...readings, [6, 107]]).places).toEqual([0, 3, 6]);
    expect(lineThrough([...readings, [6, 99]]).places).toEqual([0, 3, 6]);
  });

  it('widens its door when a fifth point comes before place 24, and not at that place', () => {
    expect(lineThrough([...zigzag(0, 4), [24, 0]])).toMatchObject({
      bound: 2.5,
      places: [0, 1, 2, 3, 4, 24],
    });
    expect(lineThrough([...zigzag(0, 4), [23, 0]])).toMatchObject({
      bound: 4.5,
      places: [0, 1, 2, 3, 4, 23],
    });
  });

  it('doubles the width of its door up to 16 % and no further', () => {
    expect([4, 5, 6, 7, 8, 12].map((to) => lineThrough(zigzag(0, to)).bound)).toEqual([
      2.5, 4.5, 8.5, 16.5, 16.5, 16.5,
    ]);
  });

  it('that has run out of points reports how far apart its last readings are, where that is wider', () => {
    // The reading that settles the last point is at place 19; the point itself, at 18, has 100 %.
    const full = zigzag(0, 18);
    expect(lineThrough(full).bound).toBe(16.5);
    const tail = (percents: number[]) => lineThrough([...full, ...percents.map((p, k) => [19 + k, p])]);
    expect(tail([60]).bound).toBe(40.5);
    expect(tail([60, 20, 90]).bound).toBe(80.5);
    expect(tail([60, 120, 70]).bound).toBe(60.5);
    expect(tail([60, 20, 90])).toMatchObject({ places: [...full.map(([place]) => place), 21] });
    const line = tail([60, 20, 90]);
    expect(linePercent(line)[21]).toBe(90);
  });

  it('that has run out of points keeps the width of its door where its last readings are closer', () => {
    // Slower than the pace allows, so that the door has stayed narrow throughout.
    const slow = Array.from({ length: 19 }, (_, k) => [k * 24, k % 2 === 0 ? 100 : 0]);
    const tail = (percents: number[]) => lineThrough([...slow, ...percents.map((p, k) => [433 + k, p])]);
    expect(lineThrough(slow).bound).toBe(2.5);
    // From 100 % at the last point: 20 % apart, in either direction.
    expect(tail([120, 100, 110]).bound).toBe(20.5);
    expect(tail([119, 120, 119]).bound).toBe(20.5);
  });
});
