// From lamp currents to verdicts. A lamp is lit when its current, offset removed, is at or above a
// share of the current commissioned on battery. Integer arithmetic only: ma * 100 against percent * base.
import { Mode, Reason, TestKind, Verdict } from '../contract/codes';
import { curveStep } from '../contract/curve';
import { Limit } from '../contract/limits';
import { Column, requiredSec } from './settings';
import type { Core } from './state';

const REACHED_EARLY = 1;
const REACHED_FULL = 2;
/** Readings at the rail before a sensor is called open or saturated. */
const RAILS_MAX = 3;

function column(s: Core, lamp: number, which: Column): number {
  return s.set.lamps[lamp * Column.Count + which];
}

function isDarkOnMains(mode: Mode): boolean {
  return mode === Mode.NonMaintained || mode === Mode.Combined;
}

function isRail(raw: number): boolean {
  return raw === Limit.RailLow || raw === Limit.RailHigh;
}

/** Forgets the last test; called when an opening is prepared. */
export function clearJudgement(s: Core): void {
  s.preCount = 0;
  s.judgedEarly = 0;
  s.judgedFull = 0;
  s.dips = 0;
  s.curveCount = 0;
  s.undecided = s.set.lampCount;
  for (let i = 0; i < Limit.Luminaires; i++) {
    s.verdict[i] = Verdict.Open;
    s.why[i] = Reason.None;
    s.finding[i] = Reason.None;
    s.reached[i] = 0;
    s.rails[i] = 0;
    s.litSec[i] = 0;
    s.zero[i] = 0;
    s.sum[i] = 0;
    s.ma[i] = 0;
    s.at5[i] = 0;
    s.at60[i] = 0;
    s.dipAt[i] = 0;
    s.litAt[i] = 0;
  }
}

/** One reading of every lamp on mains, before the relay opens. */
export function lookOnMains(s: Core): void {
  s.preCount++;
  for (let i = 0; i < s.set.lampCount; i++) {
    if (isRail(s.in.lamp[i])) s.rails[i]++;
    else s.sum[i] += s.in.lamp[i];
  }
}

/** What the readings on mains say: zero offsets, and lamps that are in the wrong state. */
export function concludeMains(s: Core): void {
  for (let i = 0; i < s.set.lampCount; i++) {
    const base = column(s, i, Column.Battery);
    const mode = column(s, i, Column.Mode);
    const mean = Math.floor(s.sum[i] / s.preCount + 0.5);
    if (s.rails[i] > 0) s.finding[i] = Reason.SensorRange;
    else if (isDarkOnMains(mode)) {
      if (mean * 100 >= s.set.floorPercent * base) s.finding[i] = Reason.LitOnMains;
      else {
        s.zero[i] = mean;
        if (Math.abs(mean) * 100 > Limit.OffsetPercent * base) s.finding[i] = Reason.SensorOffset;
      }
    } else if (mode === Mode.Maintained && mean * 100 < s.set.floorPercent * column(s, i, Column.Mains)) {
      s.finding[i] = Reason.DarkOnMains;
    }
    s.rails[i] = 0;
    s.sum[i] = mean;
  }
}

/**
 * A dark lamp's sensor that reads as lit: when the reading rises by a lamp's worth on battery, the lamp was
 * dark and the sensor has drifted; when it does not, the lamp was lit.
 */
function isDrift(s: Core, i: number): boolean {
  return (s.at5[i] - s.sum[i]) * 100 >= s.set.earlyPercent * column(s, i, Column.Battery);
}

function decide(s: Core, i: number, verdict: Verdict, why: Reason, litMs: number): void {
  s.verdict[i] = verdict;
  s.why[i] = why;
  s.litSec[i] = litMs > 0 ? Math.floor(litMs / 1000) : 0;
  s.undecided--;
}

/** Discharge a lamp must survive to pass, ms. */
function requiredMs(s: Core, i: number): number {
  if (s.kind === TestKind.Brief) return s.limitMs;
  return requiredSec(s.set, s.kind, column(s, i, Column.Rated)) * 1000;
}

/** Readings up to the 60 s point: remembers what was reached and the evidence. */
function collectEarly(s: Core, i: number, scaled: number, base: number, elapsed: number): void {
  if (elapsed <= Limit.EarlyPointMs) {
    s.at5[i] = s.ma[i];
    if (scaled >= s.set.earlyPercent * base) s.reached[i] |= REACHED_EARLY;
  }
  s.at60[i] = s.ma[i];
  if (scaled >= s.set.floorPercent * base) s.reached[i] |= REACHED_FULL;
}

/** The two points of EN 1838 / IEC 60598-2-22. @returns true when the lamp was decided here. */
function judgePoints(s: Core, i: number, base: number, early: boolean, full: boolean): boolean {
  if (early && (s.reached[i] & REACHED_EARLY) === 0) {
    const dark = s.at5[i] * 100 < Limit.DarkPercent * base;
    decide(s, i, Verdict.Fail, dark ? Reason.NotLitAtFiveSeconds : Reason.SlowStart, 0);
    return true;
  }
  if (full && (s.reached[i] & REACHED_FULL) === 0) {
    decide(s, i, Verdict.Fail, Reason.NotFullAtSixtySeconds, 0);
    return true;
  }
  return false;
}

/** Keeps the last lit and the first dark reading of a fall; also before the 5 s point, so that it is timed. */
function noteDip(s: Core, i: number, isBelow: boolean, now: number): void {
  if (!isBelow) s.dipAt[i] = 0;
  else if (s.dipAt[i] === 0) {
    s.dipAt[i] = now;
    s.litAt[i] = s.lastSampleAt;
  }
}

/** The first sustained fall is the end of duration. @returns true when it was confirmed now. */
function judgeDip(s: Core, i: number, now: number): boolean {
  if (s.dipAt[i] === 0) return false;
  if (now - s.dipAt[i] < Limit.DipMs) {
    s.dips++;
    return false;
  }
  // Between the last lit and the first dark reading: the middle is right to half a sample period.
  decide(s, i, Verdict.Fail, Reason.EndedEarly, (s.litAt[i] + s.dipAt[i]) / 2 - s.t0);
  return true;
}

/** A lamp in a dip at its required end is not proven lit and does not pass. */
function judgeEnd(s: Core, i: number, elapsed: number): void {
  const required = requiredMs(s, i);
  if (elapsed < required) return;
  if (s.dipAt[i] === 0) decide(s, i, Verdict.Pass, Reason.None, required);
  else decide(s, i, Verdict.Fail, Reason.EndedEarly, (s.litAt[i] + s.dipAt[i]) / 2 - s.t0);
}

function recordCurve(s: Core, elapsed: number): void {
  if (s.kind === TestKind.Brief || s.curveCount >= Limit.CurvePoints) return;
  if (elapsed < s.curveCount * s.curveStepSec * 1000 || elapsed < Limit.EarlyPointMs) return;
  for (let i = 0; i < s.set.lampCount; i++) {
    const percent = (s.ma[i] * 100) / column(s, i, Column.Battery);
    s.curve[i * Limit.CurvePoints + s.curveCount] = curveStep(percent);
  }
  s.curveCount++;
}

/** Whether at least one lamp passed or failed; a test that is void for all of them was none. */
export function isAnyJudged(s: Core): boolean {
  for (let i = 0; i < s.set.lampCount; i++) {
    if (s.verdict[i] === Verdict.Pass || s.verdict[i] === Verdict.Fail) return true;
  }
  return false;
}

/** Tells whether this many lamps failing in one and the same reading point to the tester. */
function isTogether(failed: number, before: number): boolean {
  return failed >= Limit.TogetherCount && failed * 2 >= before;
}

/**
 * Judges one reading of every lamp, taken now.
 * @returns None, AllDark when no lamp is left to judge, or the tester fault that makes the test void.
 */
export function judgeSample(s: Core, now: number): Reason {
  const elapsed = now - s.t0;
  const early = s.judgedEarly === 0 && elapsed >= Limit.EarlyPointMs;
  const full = s.judgedFull === 0 && elapsed >= Limit.FullPointMs;
  const floor = elapsed >= Limit.FullPointMs ? s.set.floorPercent : s.set.earlyPercent;
  const before = s.undecided;
  let notLit = 0;
  let ended = 0;
  s.dips = 0;
  for (let i = 0; i < s.set.lampCount; i++) {
    const raw = s.in.lamp[i];
    const base = column(s, i, Column.Battery);
    if (isRail(raw)) {
      if (s.verdict[i] === Verdict.Open && ++s.rails[i] >= RAILS_MAX)
        decide(s, i, Verdict.Void, Reason.SensorRange, 0);
    } else {
      s.rails[i] = 0;
      s.ma[i] = raw - s.zero[i];
      const scaled = s.ma[i] * 100;
      if (elapsed <= Limit.FullPointMs) collectEarly(s, i, scaled, base, elapsed);
      if (s.verdict[i] === Verdict.Open) noteDip(s, i, scaled < floor * base, now);
      if (s.verdict[i] === Verdict.Open && elapsed >= Limit.EarlyPointMs) {
        if (judgePoints(s, i, base, early, full)) {
          if (s.why[i] === Reason.NotLitAtFiveSeconds) notLit++;
        } else if (judgeDip(s, i, now)) ended++;
        else judgeEnd(s, i, elapsed);
      }
    }
  }
  if (elapsed >= Limit.EarlyPointMs) s.judgedEarly = 1;
  if (elapsed >= Limit.FullPointMs) s.judgedFull = 1;
  recordCurve(s, elapsed);
  s.lastSampleAt = now;
  if (notLit === s.set.lampCount && isTogether(notLit, before)) return Reason.NoneLit;
  if (isTogether(ended, before)) return Reason.Simultaneous;
  if (s.undecided > 0) return Reason.None;
  // Not one lamp could be judged: that is no test of the lamps.
  return isAnyJudged(s) ? Reason.AllDark : Reason.SensorRange;
}

/**
 * Closes every verdict at the end of a test. Lamps already failed or passed keep their verdict, unless
 * the tester itself is in doubt; then all are void. What was seen on mains weighs in last.
 */
export function closeJudgement(s: Core, end: Reason): void {
  const testerFault = end >= Limit.TesterFaultFirst && end <= Limit.TesterFaultLast;
  for (let i = 0; i < s.set.lampCount; i++) {
    if (testerFault || s.verdict[i] === Verdict.Open) {
      s.verdict[i] = Verdict.Void;
      // Still open at the full time: its last readings were at the rail.
      s.why[i] = end === Reason.Complete ? Reason.SensorRange : end;
    }
    let finding = s.finding[i];
    if (finding === Reason.LitOnMains && isDrift(s, i)) finding = Reason.SensorOffset;
    if (finding === Reason.SensorOffset || finding === Reason.SensorRange) {
      s.verdict[i] = Verdict.Void;
      s.why[i] = finding;
    } else if (finding !== Reason.None && s.verdict[i] === Verdict.Pass) {
      s.verdict[i] = Verdict.Fail;
      s.why[i] = finding;
    }
  }
}
