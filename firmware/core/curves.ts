// Discharge curves as a few straight lines, by a swinging door (the door hinges at a stored reading and
// closes with every reading of the grid; Bristol's compression, common practice). Whole percent of the
// commissioned current. Every stored point is a reading, and no reading on the grid is further from the lines
// than the door is wide. When points are used up faster than time passes, the readings are unsteady: the door
// widens, to save some points for the end of the discharge. The last point is always kept.
import { TestKind } from '../contract/codes';
import { CURVE_SHIFT, CURVE_TOP, lineText } from '../contract/curve';
import { LampColumn } from '../contract/lamps';
import { Limit } from '../contract/limits';
import type { Core } from './state';

/** Scale of the slopes: whole numbers, rounded towards the inside of the door. */
const SCALE = 65536;
const WIDE = 1073741824;

/** Initial and largest half width of the door, %. */
const enum Door {
  First = 2,
  Last = 16,
}

/** Forgets the last curves. */
export function clearCurves(s: Core): void {
  s.curveGridSec = Math.ceil(s.limitMs / 1000 / Limit.CurveGrid);
  s.curveNext = 0;
  for (let i = 0; i < Limit.Luminaires; i++) {
    s.curveSettled[i] = 0;
    s.curveDoor[i] = Door.First;
  }
}

/**
 * Narrows the door so that the line can still reach this reading, or settles the reading before. @returns
 * points settled now.
 */
function swing(s: Core, i: number, settled: number, reading: number): number {
  const newest = s.curve[i * Limit.CurvePoints + settled];
  let hinge = s.curve[i * Limit.CurvePoints + settled - 1];
  let run = (reading >> 7) - (hinge >> 7);
  let rise = ((reading & 127) - (hinge & 127)) * SCALE;
  if (rise < s.doorLow[i] * run || rise > s.doorHigh[i] * run) {
    // The line to this reading would miss an earlier one: the reading before becomes a point.
    settled++;
    if (settled > Limit.CurveEarly + (reading >> 7) / Limit.CurvePlaces && s.curveDoor[i] < Door.Last)
      s.curveDoor[i] *= 2;
    hinge = newest;
    run = (reading >> 7) - (hinge >> 7);
    rise = ((reading & 127) - (hinge & 127)) * SCALE;
    s.doorLow[i] = -WIDE;
    s.doorHigh[i] = WIDE;
  }
  if (settled === Limit.CurveSettled) {
    // Only the last point is left: from here on the doors hold the lowest and the highest reading.
    s.doorLow[i] = hinge & 127;
    s.doorHigh[i] = hinge & 127;
    return settled;
  }
  const half = s.curveDoor[i] * SCALE;
  // Multiplied first: most readings leave the door as it is.
  if (rise - half > s.doorLow[i] * run) s.doorLow[i] = Math.ceil((rise - half) / run);
  if (rise + half < s.doorHigh[i] * run) s.doorHigh[i] = Math.floor((rise + half) / run);
  return settled;
}

/** Adds the reading `percent`, 0 to 126, at the next `place`; it follows the settled points. */
export function addToCurve(s: Core, i: number, place: number, percent: number): void {
  const reading = place * CURVE_SHIFT + percent;
  let settled = s.curveSettled[i];
  if (settled === 0) {
    s.curve[i * Limit.CurvePoints] = reading;
    s.doorLow[i] = -WIDE;
    s.doorHigh[i] = WIDE;
    settled = 1;
  } else if (settled < Limit.CurveSettled) settled = swing(s, i, settled, reading);
  if (settled === Limit.CurveSettled) {
    if (percent < s.doorLow[i]) s.doorLow[i] = percent;
    if (percent > s.doorHigh[i]) s.doorHigh[i] = percent;
  }
  s.curveSettled[i] = settled;
  s.curve[i * Limit.CurvePoints + settled] = reading;
}

/** Whether a reading this far into the discharge is the first for a place of the curves. */
export function isPlaceDue(s: Core, elapsed: number): boolean {
  return (
    s.kind !== TestKind.Brief &&
    elapsed >= s.curveNext * s.curveGridSec * 1000 &&
    elapsed >= Limit.EarlyPointMs
  );
}

/**
 * Adds the last reading of every lamp when the grid asks for one. Called one reading late, and not at a
 * reading at which every lamp is judged: a turn of the loop must stay short.
 */
export function recordCurves(s: Core): void {
  const elapsed = s.lastSampleAt - s.t0;
  if (s.t0 === 0 || !isPlaceDue(s, elapsed)) return;
  const place = Math.floor(elapsed / (s.curveGridSec * 1000));
  for (let i = 0; i < s.set.lampCount; i++) {
    const percent = Math.floor(
      (s.ma[i] * 100) / s.set.lamps[i * LampColumn.Count + LampColumn.Battery] + 0.5,
    );
    addToCurve(s, i, place, percent < 0 ? 0 : percent > CURVE_TOP ? CURVE_TOP : percent);
  }
  s.curveNext = place + 1;
}

/** The curve of a lamp as text, with its error bound. */
export function curveOf(s: Core, i: number): string {
  const settled = s.curveSettled[i];
  const tail = settled === Limit.CurveSettled ? s.doorHigh[i] - s.doorLow[i] : 0;
  const error = s.curveDoor[i];
  return lineText(s.curve, i * Limit.CurvePoints, settled + 1, tail > error ? tail : error);
}
