// Which test is due now: by the host's plan, otherwise by the fallback schedule: tests never stop silently
// (I9).
import { Reason, TestKind } from '../contract/codes';
import { Limit } from '../contract/limits';
import { clockErrorSec, monotonicOf, utcAt } from './clock';
import { Column, draftPlan, fillSlots, type PlanDraft, type PlanText, readSlots } from './draft';
import { overdueRecord, queueRecord } from './records';
import { requiredSec, sinceNoon } from './settings';
import { type Core, wakeBy } from './state';

/** State of a plan slot. */
export const enum SlotState {
  Pending = 0,
  Satisfied = 1,
  Overdue = 2,
  /** Used up tonight (ordered off, key, stop): the next slot of the same test is used instead. */
  Spent = 3,
  /** Over before this plan arrived, so not this plan's duty; or a window without a test. */
  Past = 4,
}

/** Number of the night a UTC second belongs to; it changes at local noon. */
export function nightOf(s: Core, utcSec: number): number {
  return Math.floor((utcSec - s.set.noon) / 86400);
}

/** Number of a slot's test. */
export function testOf(s: Core, slot: number): number {
  return s.slots[slot * Column.Count] >> 3;
}

/** Kind of a slot's test. */
export function kindOf(s: Core, slot: number): TestKind {
  return s.slots[slot * Column.Count] & 7;
}

function isOwnNight(s: Core, night: number): boolean {
  return (night - s.set.residue) % s.set.cycle === 0;
}

/** Whether own hours of a night are this circuit's, even if it is no own night. */
function isSharedNight(s: Core, night: number): boolean {
  return s.set.sharedCycle > 0 && (night - s.set.sharedResidue) % s.set.sharedCycle === 0;
}

/** Start of own hours in a shared night, else of the fallback window, UTC s. */
function hoursStart(s: Core, night: number, shared: boolean): number {
  return night * 86400 + s.set.noon + sinceNoon(shared ? s.set.hoursFrom : s.set.fallbackFrom, s.set.noon);
}

/** When a test by the fallback schedule must be over that may start from `start` on, UTC s. */
function hoursEnd(s: Core, start: number, shared: boolean): number {
  return start + (shared ? s.set.hoursSec - s.set.briefRechargeSec : s.set.fallbackSec);
}

/**
 * I7: why the time from `utc` until the batteries are recharged, `chargedUtc`, is not this circuit's own for a
 * test of this kind, None when it is. So a test never meets a neighbour's, with no network at all.
 */
export function notOwnReason(
  s: Core,
  kind: TestKind,
  utc: number,
  chargedUtc: number,
  error: number,
): Reason {
  const night = nightOf(s, utc);
  if (isOwnNight(s, night)) return Reason.None;
  if (kind !== TestKind.Brief || !isSharedNight(s, night)) return Reason.NotOwnNight;
  const start = hoursStart(s, night, true);
  const isInside = utc >= start + error && chargedUtc + error <= start + s.set.hoursSec;
  return isInside ? Reason.None : Reason.OutsideOwnHours;
}

/**
 * Begins to replace the plan by a draft whose rows are all valid. Until it is adopted nothing is due, and no
 * order finds a window.
 */
export function replacePlan(s: Core, d: PlanDraft): void {
  s.slotCount = 0;
  fillSlots(d, s.slots);
}

/**
 * Puts a plan into force whose rows have been read into the slots; in a `fresh` one (1: just received) the
 * slots already over do not count as missed.
 */
export function adoptPlan(s: Core, d: PlanDraft, fresh: number, now: number): void {
  s.slotCount = d.count;
  s.planRevision = d.revision;
  s.planUntil = d.until;
  s.overdue = 0;
  const utc = utcAt(s, now);
  for (let k = 0; k < d.count; k++) {
    const at = k * Column.Count;
    // A window without a test obliges nobody: it is only looked up when an order asks for it.
    const isPast = kindOf(s, k) === TestKind.None || (fresh && utc > s.slots[at + Column.End]);
    s.slotState[k] = isPast ? SlotState.Past : SlotState.Pending;
  }
  s.dirty = 1;
  s.wakeAt = now;
}

/**
 * Puts a whole plan into force at once (see `adoptPlan`). @returns false, with nothing changed, when it is
 * malformed.
 */
export function takePlan(s: Core, m: PlanText, fresh: number, now: number): boolean {
  const d = draftPlan(m);
  if (d === undefined || !readSlots(d, Limit.PlanSlots + 1)) return false;
  replacePlan(s, d);
  readSlots(d, Limit.PlanSlots);
  adoptPlan(s, d, fresh, now);
  return true;
}

function satisfySlots(s: Core, test: number, kind: TestKind): void {
  for (let i = 0; i < s.slotCount; i++) {
    const isMeant = s.slots[i * Column.Count] === test * 8 + kind;
    if (isMeant && s.slotState[i] !== SlotState.Overdue) s.slotState[i] = SlotState.Satisfied;
  }
}

/** The long test of this circuit: a limited one where the building is never empty. */
function longKind(s: Core): TestKind {
  return s.set.limited ? TestKind.Limited : TestKind.Full;
}

/** Remembers that a test of this plan revision was completed at `utcSec`. */
export function satisfied(s: Core, plan: number, test: number, kind: TestKind, utcSec: number): void {
  if (kind === TestKind.Full || kind === longKind(s)) s.lastLongUtc = utcSec;
  // Any longer test shows what a brief test would have shown; a limited test never counts as a full one.
  s.lastBriefUtc = utcSec;
  s.fallbackTold = 0;
  if (test > 0 && plan > 0 && plan === s.planRevision) satisfySlots(s, test, kind);
}

/** Remembers that an overdue test has been reported, so that a restart does not report it again. */
export function toldOverdue(s: Core, test: number): void {
  for (let i = 0; i < s.slotCount; i++) {
    if (testOf(s, i) === test) s.slotState[i] = SlotState.Overdue;
  }
  s.overdue++;
}

/** The slot, or the fallback schedule's night, is used up: the next one follows, not this one again. */
export function spendSlot(s: Core): void {
  if (s.slot < 0 && s.test > 0) s.fallbackNight = s.test;
  if (s.slot >= 0 && s.slotState[s.slot] === SlotState.Pending) s.slotState[s.slot] = SlotState.Spent;
}

/** The same after a restart: the slot in which a test (0: any) was ordered off at `utcSec`. */
export function spendSlotAt(s: Core, plan: number, test: number, utcSec: number): void {
  if (plan !== s.planRevision) return;
  for (let i = 0; i < s.slotCount; i++) {
    const at = i * Column.Count;
    const isIn = s.slots[at + Column.Start] <= utcSec && utcSec <= s.slots[at + Column.End];
    if ((test === 0 || testOf(s, i) === test) && isIn && s.slotState[i] === SlotState.Pending)
      s.slotState[i] = SlotState.Spent;
  }
}

/** Whether a test has another slot to come. */
export function hasLaterSlot(s: Core, test: number, utcSec: number): boolean {
  for (let i = 0; i < s.slotCount; i++) {
    const at = i * Column.Count;
    if (testOf(s, i) === test && s.slotState[i] === SlotState.Pending && s.slots[at + Column.End] >= utcSec)
      return true;
  }
  return false;
}

/** Whether a slot is over or used up without satisfying its test. */
export function isMissed(s: Core, slot: number, utcSec: number): boolean {
  return (
    s.slotState[slot] === SlotState.Spent ||
    (s.slotState[slot] === SlotState.Pending && s.slots[slot * Column.Count + Column.End] < utcSec)
  );
}

/** Without a clock nobody can say which test is overdue, but that none is made is recorded again and again. */
function tellUntimed(s: Core, now: number): void {
  if (now < s.untimedAt || s.set.revision === 0) return;
  s.untimedAt = now + Limit.UntimedAgainMs;
  queueRecord(s, overdueRecord(s, 0, TestKind.None, now));
}

/**
 * Reports every test whose last slot has passed without a result, once each; one per step, to keep `out`
 * short.
 */
export function tellOverdue(s: Core, now: number): void {
  const utc = utcAt(s, now);
  if (utc === 0) {
    tellUntimed(s, now);
    return;
  }
  for (let i = 0; i < s.slotCount; i++) {
    const test = testOf(s, i);
    if (isMissed(s, i, utc) && !hasLaterSlot(s, test, utc)) {
      toldOverdue(s, test);
      queueRecord(s, overdueRecord(s, test, kindOf(s, i), now));
      s.dirty = 1;
      wakeBy(s, now + Limit.LoopMs);
      return;
    }
  }
}

/** What the schedule wants now. */
export interface Due {
  kind: TestKind;
  plan: number;
  test: number;
  /** Index of the slot, -1 under the fallback schedule. */
  slot: number;
  endUtc: number;
}

const due: Due = { kind: TestKind.None, plan: 0, test: 0, slot: -1, endUtc: 0 };

function dueByPlan(s: Core, utc: number, error: number): void {
  for (let i = 0; i < s.slotCount; i++) {
    const at = i * Column.Count;
    if (s.slotState[i] === SlotState.Pending) {
      const start = s.slots[at + Column.Start] + error;
      if (utc >= start && utc < s.slots[at + Column.End]) {
        due.kind = kindOf(s, i);
        due.plan = s.planRevision;
        due.test = testOf(s, i);
        due.slot = i;
        due.endUtc = s.slots[at + Column.End];
        return;
      }
      if (utc < start) {
        wakeBy(s, monotonicOf(s, start));
        return;
      }
    }
  }
}

/** Whether the window of the fallback schedule can hold the long test; without a plan it has no other. */
function holdsLong(s: Core): boolean {
  return requiredSec(s.set, longKind(s), s.set.ratedSec) + Limit.OpenGraceSec <= s.set.fallbackSec;
}

/**
 * Kind of test the fallback schedule wants, from the age of the last satisfied tests. One dated in the future
 * was recorded with a wrong clock: better one test too many than none until that date.
 */
function fallbackKind(s: Core, utc: number, shared: boolean): TestKind {
  const long = utc - s.lastLongUtc;
  const brief = utc - s.lastBriefUtc;
  if (!shared && holdsLong(s) && (long < 0 || long >= s.set.fullDays * 86400)) return longKind(s);
  return brief < 0 || brief >= s.set.briefDays * 86400 ? TestKind.Brief : TestKind.None;
}

/** Two nights for function tests past the interval without one: overdue, reported once. */
function tellFallbackOverdue(s: Core, utc: number, now: number): void {
  const last = s.lastBriefUtc > s.planUntil && s.lastBriefUtc <= utc ? s.lastBriefUtc : s.planUntil;
  // If nothing was ever planned or tested, counted from this start.
  const age = last > 0 ? utc - last : Math.floor(now / 1000);
  const shared = s.set.sharedCycle;
  const cycle = shared > 0 && shared < s.set.cycle ? shared : s.set.cycle;
  if (s.fallbackTold || age <= (s.set.briefDays + 2 * cycle) * 86400) return;
  s.fallbackTold = 1;
  s.overdue++;
  queueRecord(s, overdueRecord(s, 0, TestKind.Brief, now));
  s.dirty = 1;
}

function dueByFallback(s: Core, utc: number, error: number, now: number): void {
  const night = nightOf(s, utc);
  const shared = !isOwnNight(s, night) && isSharedNight(s, night);
  const start = hoursStart(s, night, shared);
  const end = hoursEnd(s, start, shared);
  wakeBy(s, now + 3600000);
  if (utc < start + error) wakeBy(s, monotonicOf(s, start + error));
  if (utc < start + error || utc >= end || s.fallbackNight === night) return;
  if (!shared && !isOwnNight(s, night)) return;
  due.kind = fallbackKind(s, utc, shared);
  due.plan = 0;
  due.test = due.kind === TestKind.None ? 0 : night;
  due.slot = -1;
  due.endUtc = end;
}

/** Whether the host's plan no longer covers this moment. */
export function isPlanOver(s: Core, utc: number): boolean {
  return utc >= s.planUntil;
}

/**
 * The test whose window is open now (kind None when there is none). The returned object is reused. A window
 * counts as open only after the possible clock error has passed, so that a slow or fast clock stays inside.
 */
export function dueNow(s: Core, now: number): Due {
  due.kind = TestKind.None;
  const utc = utcAt(s, now);
  if (utc === 0 || s.set.revision === 0) return due;
  const error = clockErrorSec(s, now);
  if (isPlanOver(s, utc)) {
    tellFallbackOverdue(s, utc, now);
    dueByFallback(s, utc, error, now);
  } else {
    wakeBy(s, monotonicOf(s, s.planUntil));
    dueByPlan(s, utc, error);
  }
  return due;
}

/** The test that will be due at `at`, monotonic ms, as far as known now. The same object as of `dueNow`. */
export function dueAt(s: Core, at: number): Due {
  const wakeAt = s.wakeAt;
  const utc = utcAt(s, at);
  due.kind = TestKind.None;
  if (isPlanOver(s, utc)) dueByFallback(s, utc, clockErrorSec(s, at), at);
  else dueByPlan(s, utc, clockErrorSec(s, at));
  s.wakeAt = wakeAt;
  return due;
}

/** End of the permitted window that is open now, UTC s; 0 when none is. For tests by order. */
export function openWindowEnd(s: Core, now: number): number {
  const utc = utcAt(s, now);
  const error = clockErrorSec(s, now);
  if (isPlanOver(s, utc)) {
    const night = nightOf(s, utc);
    const shared = !isOwnNight(s, night) && isSharedNight(s, night);
    const start = hoursStart(s, night, shared);
    const end = hoursEnd(s, start, shared);
    return utc >= start + error && utc < end ? end : 0;
  }
  for (let i = 0; i < s.slotCount; i++) {
    const at = i * Column.Count;
    if (utc >= s.slots[at + Column.Start] + error && utc < s.slots[at + Column.End])
      return s.slots[at + Column.End];
  }
  return 0;
}
