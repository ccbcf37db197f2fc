// From lamp currents to verdicts. A lamp is lit when its current, offset removed, is at or above a
// share of the current commissioned on battery. Integer arithmetic only: ma * 100 against percent * base.
import { Reason, TestKind, Verdict } from '../contract/codes';
import { LampColumn } from '../contract/lamps';
import { isTesterFault, Limit } from '../contract/limits';
import { clearCurves, recordCurves } from './curves';
import { applyFindings } from './findings';
import { isUnheard } from './inputs';
import { requiredSec } from './settings';
import type { Core } from './state';

/**
 * What still needs checking on a lamp, and what was seen in its latest fall. The higher bits count readings
 * that are none.
 */
export const enum Mark {
  NotEarly = 1,
  /** The 60 s point is to come; it has come, and the lamp is yet to prove full. */
  Before = 2,
  NotFull = 4,
  /** Its sensor has not moved yet. */
  Still = 8,
  /** In this fall a reading below half the level, and after it one at or above the level. */
  Low = 16,
  Back = 32,
  None = 64,
  /** With one of these a good reading may still add something. */
  Pending = NotEarly | NotFull | Still,
}
/** More than any sum of readings may be: nothing is proven yet. */
const UNPROVEN = 65535;
/** Readings at the rail before a sensor counts as open or saturated. */
const RAILS_MAX = 3;

/** What the settings say of a lamp. */
export function column(s: Core, lamp: number, which: LampColumn): number {
  return s.set.lamps[lamp * LampColumn.Count + which];
}

/** Whether a reading is none: its sensor's input is at a rail, or its module was not heard. */
export function isNone(raw: number): boolean {
  return raw <= Limit.UnheardLast || raw === Limit.RailHigh;
}

export function noneReason(raw: number): Reason {
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
  s.noise = 0;
  s.judgedEarly = 0;
  s.judgedFull = 0;
  s.dips = 0;
  s.from = 0;
  s.undecided = s.set.lampCount;
  for (let i = 0; i < Limit.Luminaires; i++) {
    s.verdict[i] = Verdict.Open;
    s.why[i] = Reason.None;
    s.finding[i] = Reason.None;
    s.marks[i] = Mark.NotEarly | Mark.Before | Mark.Still;
    // No reading is this high: every lamp is examined closely until it has proven good.
    s.quick[i] = Limit.RailHigh;
    s.litSec[i] = 0;
    s.zero[i] = 0;
    s.sum[i] = 0;
    s.ma[i] = 0;
    s.at5[i] = 0;
    s.at60[i] = 0;
    s.fall[i] = UNPROVEN;
    s.fallAt[i] = 0;
  }
  findNextEnd(s);
  clearCurves(s);
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

function lateReason(s: Core, i: number): Reason {
  return s.at5[i] * 100 < Limit.DarkPercent * column(s, i, LampColumn.Battery)
    ? Reason.NotLitAtFiveSeconds
    : Reason.SlowStart;
}

/**
 * A lamp in a fall has ended, midway between the last reading before the fall and the first in it; or it was never
 * full, if it was lit at the 60 s point, but not enough.
 */
function decideEnded(s: Core, i: number, level: number): void {
  const marks = s.marks[i];
  const at = s.at60[i];
  const isDark = at * 100 < Limit.DarkPercent * column(s, i, LampColumn.Battery);
  if (marks & Mark.NotFull && at < level && !isDark)
    decide(s, i, Verdict.Fail, Reason.NotFullAtSixtySeconds, 0);
  else
    decide(
      s,
      i,
      Verdict.Fail,
      marks & Mark.Back ? Reason.Flickers : Reason.EndedEarly,
      s.fallAt[i] * Limit.LoopMs,
    );
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
 * Adds a reading to what the others say of a lamp, and decides what they decide together: a sum of what they lack
 * to a level, less what they exceed it. At 0 the lamp is good, at `most` it is not. It begins at `most`; at the
 * 60 s point, where the level becomes the floor, it begins again in the middle.
 * @returns whether it has ended
 */
function weigh(s: Core, i: number, elapsed: number, before: number, now: number): boolean {
  const base = column(s, i, LampColumn.Battery);
  const level = Math.ceil(((s.judgedFull ? s.set.floorPercent : s.set.earlyPercent) * base) / 100);
  const ma = s.ma[i];
  let marks = s.marks[i] & (Mark.None - 1);
  let had = s.fall[i];
  let lack = level - ma || -1;
  let most = level * Limit.FallReadings;
  if (s.judgedFull === 0) {
    // Until the 60 s point is reached, `at60` holds the first reading.
    if (marks & Mark.Still && s.in.lamp[i] !== s.at60[i]) marks &= ~Mark.Still;
  } else if (marks & (Mark.Before | Mark.NotFull)) most = level * Limit.FullReadings;
  if (most < Limit.FallMilliamps) most = Limit.FallMilliamps;
  if (s.judgedFull && marks & (Mark.Before | Mark.NotFull)) {
    // From the middle too, darkness takes `DipMs` to be an end.
    if (lack * 2 * (Limit.FallReadings - 1) > most) lack = most / 2 / (Limit.FallReadings - 1);
    if (marks & Mark.Before) {
      // A real sensor moves when the supply goes off. One that shows nothing at all may belong to a dead lamp.
      if (marks & Mark.Still && ma * 100 >= Limit.DarkPercent * base) {
        decide(s, i, Verdict.Void, Reason.SensorStuck, 0);
        return false;
      }
      marks = Mark.NotFull;
      if (had === 0) s.fallAt[i] = elapsed / Limit.LoopMs;
      had = most / 2;
    }
  }
  let sum = (had > most ? most : had) + lack * s.weight;
  if (sum < 0) sum = 0;
  else if (sum > most) sum = most;
  s.fall[i] = sum;
  if (sum === 0) marks &= ~(Mark.NotEarly | Mark.NotFull);
  else if (marks & Mark.NotEarly) {
    if (elapsed >= Limit.EarlyPointMs && (elapsed === Limit.EarlyPointMs ? sum : had) >= most) {
      // A reading that takes a while, lamp by lamp, cannot tell when a lamp came that is good in it, and one that began
      // before the point may be of the time before it.
      const asked = s.sampleAt - s.t0;
      const isSlow = elapsed - asked >= Limit.LoopMs;
      if (isSlow && sum < most) decide(s, i, Verdict.Void, Reason.SensorSlow, 0);
      else if (!isSlow || asked >= Limit.EarlyPointMs) {
        // Unless it was clearly dark at the point, one more reading has to say the same.
        if (s.at5[i] * 2 < level || (marks & Mark.Low && sum >= most))
          decide(s, i, Verdict.Fail, lateReason(s, i), 0);
        marks |= Mark.Low;
      }
    }
  } else {
    if (had === 0 || (marks & Mark.NotFull && lack < 0)) {
      s.fallAt[i] = ((had === 0 ? (before + now) / 2 : now) - s.t0) / Limit.LoopMs;
      marks &= ~(Mark.Low | Mark.Back);
    }
    if (ma * 2 < level) marks |= Mark.Low;
    else if (lack <= 0 && marks & Mark.Low) marks |= Mark.Back;
    // A beginning fall is followed closely; what is within the noise of the sensors is not.
    if (marks & Mark.NotFull || sum * 8 >= Limit.FallMilliamps) s.dips++;
  }
  s.marks[i] = marks;
  // From here on a reading above its level adds nothing new.
  s.quick[i] = sum > 0 || marks & Mark.Pending ? Limit.RailHigh : level + s.zero[i];
  if (s.verdict[i] !== Verdict.Open || marks & Mark.NotEarly || elapsed < Limit.EarlyPointMs) return false;
  if (sum >= most) {
    decideEnded(s, i, level);
    return true;
  }
  if (!isLampEnd(s, s.sampleAt - s.t0)) return false;
  // All of the reading must have been taken after the end.
  const required = requiredMs(s, i);
  const past = s.sampleAt - s.t0 - required;
  if (past < 0) return false;
  // A lamp in a fall has yet to show what it is, and is given the time to be dark for long enough.
  if (sum > 0 && past < Limit.DipMs) s.dips++;
  else if (sum * 2 > most) decideEnded(s, i, level);
  else decide(s, i, Verdict.Pass, Reason.None, required);
  return false;
}

/** Judges one reading of a lamp for which "still lit" may not be the whole answer. */
function judgeLamp(s: Core, i: number, elapsed: number, now: number): boolean {
  const isOpen = s.verdict[i] === Verdict.Open;
  if (isNone(s.in.lamp[i])) {
    if (isOpen) judgeNone(s, i, now);
    return false;
  }
  s.ma[i] = s.in.lamp[i] - s.zero[i];
  if (!isOpen) {
    s.quick[i] = Limit.UnheardLast + 1;
    return false;
  }
  const before = s.marks[i] < Mark.None ? s.lastSampleAt : s.t0 + s.heardAt[i];
  if (s.why[i] > Reason.SensorRange && now - before > Limit.SampleGapMs) {
    decide(s, i, Verdict.Void, s.why[i], 0);
    return false;
  }
  s.why[i] = Reason.None;
  return weigh(s, i, elapsed, before, now);
}

/** Whether at least one lamp passed or failed; a test that is void for all of them does not count. */
export function isAnyJudged(s: Core): boolean {
  for (let i = 0; i < s.set.lampCount; i++) {
    if (s.verdict[i] === Verdict.Pass || s.verdict[i] === Verdict.Fail) return true;
  }
  return false;
}

/** Whether this many lamps failing at once point to the tester. */
function isTogether(failed: number, before: number): boolean {
  return failed >= Limit.TogetherCount && failed * 2 >= before;
}

/**
 * What ends a test after a lamp has ended, or with every lamp decided; None if nothing does. Lamps whose falls
 * began together, or that all stayed dark, point to the tester.
 * @param ended a lamp that ended in this reading, -1 for none
 */
function concluded(s: Core, ended: number): Reason {
  let together = 0;
  let late = 0;
  let dark = 0;
  for (let i = 0; i < s.set.lampCount; i++) {
    const why = s.why[i];
    if (why === Reason.NotLitAtFiveSeconds) dark++;
    else if (why === Reason.SlowStart) late++;
    else if (ended >= 0 && (why === Reason.EndedEarly || why === Reason.Flickers))
      if (Math.abs(s.fallAt[i] - s.fallAt[ended]) * Limit.LoopMs <= Limit.SampleSlowMs) together++;
  }
  if (isTogether(together, s.undecided + together)) return Reason.Simultaneous;
  if (s.undecided > 0) return Reason.None;
  if (dark + late === s.set.lampCount && isTogether(dark, s.set.lampCount)) return Reason.NoneLit;
  // No lamp could be judged: that is no test of the lamps.
  return isAnyJudged(s) ? Reason.AllDark : s.why[0];
}

/**
 * Judges one reading of every lamp, taken now. A healthy lamp costs one comparison: it is examined closely
 * only in a fall, until it is proven lit and full, and at one of the ends.
 * @returns None, AllDark when no lamp is left to judge, or the tester fault that makes the test void.
 */
export function judgeSample(s: Core, now: number): Reason {
  const elapsed = now - s.t0;
  const early = isEarlyPoint(s, elapsed);
  const lamp = s.in.lamp;
  const quick = s.quick;
  const zero = s.zero;
  const ma = s.ma;
  let ended = -1;
  if (isFullPoint(s, elapsed)) {
    // Only noted: the readings after it prove every lamp full, or not, and one turn cannot do both.
    notePoint(s, s.at60, elapsed === Limit.FullPointMs);
    for (let i = 0; i < s.set.lampCount; i++) quick[i] = Limit.RailHigh;
    s.judgedFull = 1;
    s.dips = 1;
    return Reason.None;
  }
  if (early) notePoint(s, s.at5, elapsed === Limit.EarlyPointMs);
  const end = isLampEnd(s, s.sampleAt - s.t0);
  if (!early && !end && s.dips <= Limit.CloseLooks / 2) recordCurves(s);
  // A reading that takes several turns counts for some of them.
  s.weight = Math.min(1 + Math.floor((now - s.sampleAt) / Limit.LoopMs), Limit.WeightMost);
  s.dips = 0;
  // From one side and from the other by turns, because not all lamps can be looked at closely in one turn.
  const n = s.set.lampCount;
  const step = s.from === 0 ? 1 : -1;
  let i = s.from;
  let room: number = Limit.CloseLooks;
  s.from = n - 1 - i;
  for (let k = n; k > 0; k--) {
    const raw = lamp[i];
    if (raw >= quick[i] && raw < Limit.RailHigh) {
      ma[i] = raw - zero[i];
      if (end && s.verdict[i] === Verdict.Open && s.sampleAt - s.t0 >= requiredMs(s, i))
        decide(s, i, Verdict.Pass, Reason.None, requiredMs(s, i));
    } else if (room-- > 0) {
      if (judgeLamp(s, i, elapsed, now)) ended = i;
    } else s.dips++;
    i += step;
  }
  if (early) s.judgedEarly = 1;
  if (end) findNextEnd(s);
  s.lastSampleAt = now;
  return ended >= 0 || s.undecided === 0 ? concluded(s, ended) : Reason.None;
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
