// From lamp currents to verdicts. A lamp is lit when its current, offset removed, is at or above a
// share of the current commissioned on battery. Integer arithmetic only: ma * 100 against percent * base.
import { Reason, TestKind, Verdict } from '../contract/codes';
import { LampColumn, type Mode, ON_MAINS, OnMains } from '../contract/lamps';
import { isTesterFault, Limit } from '../contract/limits';
import { clearCurves, recordCurves } from './curves';
import { applyFindings } from './findings';
import { isUnheard } from './inputs';
import { requiredSec } from './settings';
import type { Core } from './state';

/** What still needs checking on a lamp; one without marks and above its level needs nothing. */
const enum Mark {
  NotEarly = 1,
  NotFull = 2,
  Dip = 4,
  /** Its sensor has not moved yet. */
  Still = 8,
  /** One reading that is none; the higher bits count them. */
  None = 16,
}
/** Readings at the rail before a sensor counts as open or saturated. */
const RAILS_MAX = 3;
/** What `judgeLamp` found. */
const enum Found {
  Nothing = 0,
  NotLit = 1,
  Ended = 2,
  /** The reading proves nothing. */
  NotYet = 3,
}

function column(s: Core, lamp: number, which: LampColumn): number {
  return s.set.lamps[lamp * LampColumn.Count + which];
}

/** Whether a reading is none: its sensor's input is at a rail, or its module was not heard. */
function isNone(raw: number): boolean {
  return raw <= Limit.UnheardLast || raw === Limit.RailHigh;
}

function noneReason(raw: number): Reason {
  return isUnheard(raw) ? raw - Limit.Unheard + Reason.SensorSilent : Reason.SensorRange;
}

/** Discharge a lamp must survive to pass, ms. */
function requiredMs(s: Core, i: number): number {
  if (s.kind === TestKind.Brief) return s.limitMs;
  return requiredSec(s.set, s.kind, column(s, i, LampColumn.Rated)) * 1000;
}

/** Next instant of the discharge at which a lamp still open may pass. */
function findNextEnd(s: Core): void {
  s.nextEndMs = s.limitMs;
  for (let i = 0; i < s.set.lampCount; i++)
    if (s.verdict[i] === Verdict.Open && requiredMs(s, i) < s.nextEndMs) s.nextEndMs = requiredMs(s, i);
}

/** Forgets the last test; called when an opening is prepared. */
export function clearJudgement(s: Core): void {
  s.preCount = 0;
  s.judgedEarly = 0;
  s.judgedFull = 0;
  s.dips = 0;
  s.undecided = s.set.lampCount;
  for (let i = 0; i < Limit.Luminaires; i++) {
    s.verdict[i] = Verdict.Open;
    s.why[i] = Reason.None;
    s.finding[i] = Reason.None;
    s.marks[i] = Mark.NotEarly | Mark.NotFull | Mark.Still;
    // No reading is this high: every lamp is examined closely until it has proven good.
    s.quick[i] = Limit.RailHigh;
    s.litSec[i] = 0;
    s.zero[i] = 0;
    s.sum[i] = 0;
    s.ma[i] = 0;
    s.at5[i] = 0;
    s.at60[i] = 0;
    s.dipAt[i] = 0;
    s.litAt[i] = 0;
  }
  findNextEnd(s);
  clearCurves(s);
}

/** One reading of every lamp on mains, before the relay opens. */
export function lookOnMains(s: Core): void {
  s.preCount++;
  for (let i = 0; i < s.set.lampCount; i++) {
    const raw = s.in.lamp[i];
    // Until the 60 s point is reached, `at60` holds the first reading.
    if (s.preCount === 1) s.at60[i] = raw;
    if (isNone(raw)) s.finding[i] = noneReason(raw);
    else s.sum[i] += raw;
    if (raw !== s.at60[i]) s.marks[i] &= ~Mark.Still;
  }
}

/** Conclusions from the readings on mains: zero offsets, and lamps in the wrong state. */
export function concludeMains(s: Core): void {
  for (let i = 0; i < s.set.lampCount; i++) {
    const base = column(s, i, LampColumn.Battery);
    const onMains = ON_MAINS[column(s, i, LampColumn.Mode) as Mode];
    const isRead = s.finding[i] === Reason.None;
    const mean = isRead ? Math.floor(s.sum[i] / s.preCount + 0.5) : 0;
    if (isRead && onMains === OnMains.Dark) {
      if (mean * 100 >= s.set.floorPercent * base) s.finding[i] = Reason.LitOnMains;
      else {
        s.zero[i] = mean;
        if (Math.abs(mean) * 100 > Limit.OffsetPercent * base) s.finding[i] = Reason.SensorOffset;
      }
    } else if (isRead && onMains === OnMains.Lit) {
      if (mean * 100 < s.set.floorPercent * column(s, i, LampColumn.Mains)) s.finding[i] = Reason.DarkOnMains;
    }
    s.sum[i] = mean;
  }
}

function decide(s: Core, i: number, verdict: Verdict, why: Reason, litMs: number): void {
  s.verdict[i] = verdict;
  s.why[i] = why;
  s.litSec[i] = litMs > 0 ? Math.floor(litMs / 1000) : 0;
  // None of its readings from now on needs a closer look.
  s.quick[i] = Limit.UnheardLast + 1;
  s.undecided--;
}

/** Stores each lamp's reading at a point, or the last one before it. */
function notePoint(s: Core, into: Int16Array, isAtPoint: boolean): void {
  for (let i = 0; i < s.set.lampCount; i++) {
    if (isAtPoint && !isNone(s.in.lamp[i])) s.ma[i] = s.in.lamp[i] - s.zero[i];
    into[i] = s.ma[i];
  }
}

/**
 * Clears a lamp's marks that a good reading settles; keeps the last lit and the first dark time of a fall.
 */
function mark(s: Core, i: number, level: number, elapsed: number, now: number, before: number): number {
  const ma = s.ma[i];
  // Until the 60 s point is reached, `at60` holds the first reading.
  const hasMoved = elapsed < Limit.FullPointMs && s.in.lamp[i] !== s.at60[i];
  let marks = s.marks[i] & (Mark.None - 1);
  if (hasMoved) marks &= ~Mark.Still;
  if (elapsed <= Limit.EarlyPointMs && ma >= level) marks &= ~Mark.NotEarly;
  if (elapsed <= Limit.FullPointMs && ma * 100 >= s.set.floorPercent * column(s, i, LampColumn.Battery))
    marks &= ~Mark.NotFull;
  if (ma >= level) {
    marks &= ~Mark.Dip;
    s.dipAt[i] = 0;
  } else if (s.dipAt[i] === 0) {
    // Also before the 5 s point, so that the fall is timed.
    marks |= Mark.Dip;
    s.dipAt[i] = now;
    s.litAt[i] = before;
  }
  s.marks[i] = marks;
  // From here on a reading above its level adds nothing new.
  s.quick[i] = marks === 0 ? level + s.zero[i] : Limit.RailHigh;
  return marks;
}

/**
 * Judges the two points of EN 1838 / IEC 60598-2-22, and the sensor; only for a lamp whose marks from them
 * remain.
 */
function judgePoints(s: Core, i: number, marks: number, elapsed: number): Found {
  const dark = Limit.DarkPercent * column(s, i, LampColumn.Battery);
  const point = marks & Mark.NotEarly ? Limit.EarlyPointMs : Limit.FullPointMs;
  const asked = s.sampleAt - s.t0;
  const isMissed = elapsed >= point && (marks & (Mark.NotEarly | Mark.NotFull)) !== 0;
  if (isMissed && elapsed - asked >= Limit.LoopMs) {
    // Read one after the other: a lamp that is good now may have been so at the point.
    if (s.dipAt[i] === 0) decide(s, i, Verdict.Void, Reason.SensorSlow, 0);
    // A reading that began before the point may be of the time before it.
    if (s.dipAt[i] === 0 || asked < point) return Found.NotYet;
  }
  if (marks & Mark.NotEarly) {
    const isDark = s.at5[i] * 100 < dark;
    decide(s, i, Verdict.Fail, isDark ? Reason.NotLitAtFiveSeconds : Reason.SlowStart, 0);
    return isDark ? Found.NotLit : Found.Nothing;
  }
  if (elapsed < Limit.FullPointMs) return Found.Nothing;
  // A real sensor moves when the supply goes off. One that shows nothing at all may belong to a dead lamp.
  if (marks & Mark.Still && s.ma[i] * 100 >= dark) decide(s, i, Verdict.Void, Reason.SensorStuck, 0);
  else if (marks & Mark.NotFull) decide(s, i, Verdict.Fail, Reason.NotFullAtSixtySeconds, 0);
  return Found.Nothing;
}

/**
 * End of a lamp in a fall: midway between the last lit and the first dark reading, accurate to half a period.
 */
function decideEnded(s: Core, i: number): void {
  decide(s, i, Verdict.Fail, Reason.EndedEarly, (s.litAt[i] + s.dipAt[i]) / 2 - s.t0);
}

/**
 * A lamp without a reading. A sensor at the rail is void after a few of them; a module is asked again soon,
 * and is void when the gap is too long for continuous evidence.
 */
function judgeNone(s: Core, i: number, now: number): void {
  const why = noneReason(s.in.lamp[i]);
  if (s.marks[i] < Mark.None) s.heardAt[i] = s.lastSampleAt - s.t0;
  if (s.marks[i] < RAILS_MAX * Mark.None) s.marks[i] += Mark.None;
  s.quick[i] = Limit.RailHigh;
  let isLost = s.marks[i] >= RAILS_MAX * Mark.None;
  if (why !== Reason.SensorRange) {
    s.why[i] = why;
    s.dips++;
    isLost = now - s.t0 - s.heardAt[i] > Limit.SampleGapMs;
  }
  if (isLost) decide(s, i, Verdict.Void, why, 0);
}

/** Judges one reading of a lamp for which "still lit" may not be the whole answer. */
function judgeLamp(s: Core, i: number, elapsed: number, now: number): Found {
  const isOpen = s.verdict[i] === Verdict.Open;
  if (isNone(s.in.lamp[i])) {
    if (isOpen) judgeNone(s, i, now);
    return Found.Nothing;
  }
  s.ma[i] = s.in.lamp[i] - s.zero[i];
  if (!isOpen) return Found.Nothing;
  const before = s.marks[i] < Mark.None ? s.lastSampleAt : s.t0 + s.heardAt[i];
  if (s.why[i] > Reason.SensorRange && now - before > Limit.SampleGapMs) {
    decide(s, i, Verdict.Void, s.why[i], 0);
    return Found.Nothing;
  }
  s.why[i] = Reason.None;
  const percent = elapsed < Limit.FullPointMs ? s.set.earlyPercent : s.set.floorPercent;
  const level = Math.ceil((percent * column(s, i, LampColumn.Battery)) / 100);
  const marks = mark(s, i, level, elapsed, now, before);
  if (elapsed < Limit.EarlyPointMs) return Found.Nothing;
  if (marks !== 0 && marks !== Mark.Dip) {
    const found = judgePoints(s, i, marks, elapsed);
    if (s.verdict[i] !== Verdict.Open || found === Found.NotYet) return found;
  }
  // The first sustained fall is the end of duration.
  if (s.dipAt[i] !== 0) {
    if (now - s.dipAt[i] < Limit.DipMs) {
      s.dips++;
    } else {
      decideEnded(s, i);
      return Found.Ended;
    }
  }
  const required = requiredMs(s, i);
  // All of the reading must have been taken after the end.
  if (s.sampleAt - s.t0 < required) return Found.Nothing;
  // A lamp in a dip at its required end is not proven lit and does not pass.
  if (s.dipAt[i] === 0) decide(s, i, Verdict.Pass, Reason.None, required);
  else decideEnded(s, i);
  return Found.Nothing;
}

/** Whether at least one lamp passed or failed; a test that is void for all of them does not count. */
export function isAnyJudged(s: Core): boolean {
  for (let i = 0; i < s.set.lampCount; i++) {
    if (s.verdict[i] === Verdict.Pass || s.verdict[i] === Verdict.Fail) return true;
  }
  return false;
}

/** Whether this many lamps failing in the same reading point to the tester. */
function isTogether(failed: number, before: number): boolean {
  return failed >= Limit.TogetherCount && failed * 2 >= before;
}

/** Whether a reading this far into the discharge is that of the 5 s point, the 60 s point or a lamp's end. */
export function isEarlyPoint(s: Core, elapsed: number): boolean {
  return s.judgedEarly === 0 && elapsed >= Limit.EarlyPointMs;
}

export function isFullPoint(s: Core, elapsed: number): boolean {
  return s.judgedFull === 0 && elapsed >= Limit.FullPointMs;
}

export function isLampEnd(s: Core, elapsed: number): boolean {
  return elapsed >= s.nextEndMs;
}

/**
 * Judges one reading of every lamp, taken now. A healthy lamp costs one comparison: it is examined closely
 * only in a fall, until the points it has yet to reach, and at one of the ends.
 * @returns None, AllDark when no lamp is left to judge, or the tester fault that makes the test void.
 */
export function judgeSample(s: Core, now: number): Reason {
  const elapsed = now - s.t0;
  const early = isEarlyPoint(s, elapsed);
  const full = isFullPoint(s, elapsed);
  const before = s.undecided;
  const lamp = s.in.lamp;
  const quick = s.quick;
  const zero = s.zero;
  const ma = s.ma;
  let notLit = 0;
  let ended = 0;
  let top: number = Limit.RailHigh;
  if (early) notePoint(s, s.at5, elapsed === Limit.EarlyPointMs);
  if (full) notePoint(s, s.at60, elapsed === Limit.FullPointMs);
  const end = isLampEnd(s, s.sampleAt - s.t0);
  if (early || full || end) top = Limit.RailLow;
  else recordCurves(s);
  s.dips = 0;
  for (let i = 0, n = s.set.lampCount; i < n; i++) {
    const raw = lamp[i];
    if (raw >= quick[i] && raw < top) ma[i] = raw - zero[i];
    else {
      const found = judgeLamp(s, i, elapsed, now);
      if (found === Found.NotLit) notLit++;
      else if (found === Found.Ended) ended++;
    }
  }
  if (early) s.judgedEarly = 1;
  if (full) s.judgedFull = 1;
  if (end) findNextEnd(s);
  s.lastSampleAt = now;
  if (notLit === s.set.lampCount && isTogether(notLit, before)) return Reason.NoneLit;
  if (isTogether(ended, before)) return Reason.Simultaneous;
  if (s.undecided > 0) return Reason.None;
  // No lamp could be judged: that is no test of the lamps.
  return isAnyJudged(s) ? Reason.AllDark : s.why[0];
}

/**
 * Closes every verdict at the end of a test. Lamps already failed or passed keep their verdict, unless the
 * tester itself is in doubt; then all are void. Findings on mains are applied last.
 */
export function closeJudgement(s: Core, end: Reason): void {
  const testerFault = isTesterFault(end);
  // The test ended before the points were reached: use the last readings instead.
  if (s.judgedEarly === 0) notePoint(s, s.at5, false);
  if (s.judgedFull === 0) notePoint(s, s.at60, false);
  for (let i = 0; i < s.set.lampCount; i++) {
    if (testerFault || s.verdict[i] === Verdict.Open) {
      s.verdict[i] = Verdict.Void;
      // Still open at the full time: there is a reason why its last readings were none.
      if (end !== Reason.Complete) s.why[i] = end;
      else if (s.why[i] === Reason.None) s.why[i] = s.in.read ? Reason.SensorRange : Reason.SensorSlow;
    }
  }
  applyFindings(s);
}
