// The slot of a test in one night: the cheapest free start, with room to begin a little late.
import { TestKind } from '../../../firmware/contract/codes';
import { hoursFrom, type Lengths, type NightStarts, secondsOf } from '../cost/starts';
import type { Span } from '../nights/calendar';
import type { Night } from '../nights/nights';
import type { Attempt } from './attempts';
import { type CircuitWork, isFullWhenDoorsOpen, lengthsOf, type Placing } from './circuitWork';

/**
 * How much later than its start a test may begin in its slot, s: a lamp bus that answers late, a person who
 * holds the key for a moment (our choice, no source). It is given up where nothing else fits.
 */
export const LATE_START_SEC = 900;
/** Exposure that outweighs this room, hours (our choice, no source). */
const ROOM_WORTH = 0.02;

export interface Choice extends Attempt {
  /** Exposure of a test that begins with the slot, hours. */
  hours: number;
}

interface Asked {
  placing: Placing;
  work: CircuitWork;
  kind: TestKind;
  night: Night;
  /** Within which the slot lies: the window, or what of it is the circuit's own hours. */
  within: Span;
  lengths: Lengths;
  table: NightStarts;
  /** Index of the cheapest start, and its exposure, hours. */
  cheapest: number;
  least: number;
}

/** Where a slot may lie in a night; undefined where the circuit may make no test of the kind. */
function withinOf(work: CircuitWork, kind: TestKind, night: Night, place: number, lengths: Lengths) {
  const hours = work.hoursAt.get(place);
  if (!hours) return night;
  if (kind !== TestKind.Brief) return undefined;
  return {
    start: Math.max(night.start, hours.start),
    end: Math.min(night.end, hours.end - lengths.rechargeSec),
  };
}

/** Index of the cheapest start, the earliest of equal ones. */
function cheapestOf({ at, sec, best: known }: NightStarts, work: CircuitWork): number {
  if (known >= 0) return known;
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let k = 0; k < at.length; k++) {
    const seconds = secondsOf(work.burden, sec, k);
    if (seconds >= least - 1e-6) continue;
    least = seconds;
    best = k;
  }
  return best;
}

/** Whether a slot lies where it may, with full batteries in time. */
function isRight({ placing, kind, within }: Asked, start: number, length: number): boolean {
  const end = start + length;
  return start >= within.start && end <= within.end && isFullWhenDoorsOpen(placing, kind, { start, end });
}

/** The cheapest free slot of that length. */
function slotOf(asked: Asked, length: number): Choice | undefined {
  const wished = asked.table.at[asked.cheapest];
  if (
    asked.placing.calendar.firstFrom(asked.night, wished, length) === wished &&
    isRight(asked, wished, length)
  )
    return { kind: asked.kind, start: wished, end: wished + length, hours: asked.least };
  return otherSlot(asked, length);
}

/** The same where the cheapest start is not free. */
function otherSlot(asked: Asked, length: number): Choice | undefined {
  const { placing, work, night, within, lengths, table } = asked;
  const { calendar } = placing;
  let best: Choice | undefined;
  const consider = (start: number) => {
    if (!Number.isFinite(start) || !isRight(asked, start, length)) return;
    const hours = hoursFrom(work.burden, start, lengths);
    if (best && (hours > best.hours + 1e-9 || (hours > best.hours - 1e-9 && start >= best.start))) return;
    best = { kind: asked.kind, start, end: start + length, hours };
  };
  const starts = within === night ? table.at : [within.start, ...table.at, within.end - length];
  for (const near of starts) {
    consider(calendar.firstFrom(night, near, length));
    consider(calendar.lastBy(night, near, length));
    // No later one is cheaper than the cheapest.
    if (best && best.hours <= asked.least + 1e-9) break;
  }
  return best;
}

/** Whether another test of the circuit leaves no time to recharge before or after a longer one. */
function isTooNear({ nights, spacing }: Placing, work: CircuitWork, kind: TestKind, place: number): boolean {
  if (work.taken.size === 0) return false;
  for (const step of [-1, 1])
    for (let other = place + step; nights[other]; other += step) {
      if (Math.abs(nights[other].night - nights[place].night) >= spacing) break;
      const made = work.taken.get(other)?.kind ?? TestKind.None;
      if (made !== TestKind.None && (made !== TestKind.Brief || kind !== TestKind.Brief)) return true;
    }
  return false;
}

/** The slot a circuit's test would get in a night beside what is there; undefined where none fits. */
export function chooseSlot(
  placing: Placing,
  work: CircuitWork,
  kind: TestKind,
  place: number,
  lengths = lengthsOf(work.circuit, kind, placing.profile),
): Choice | undefined {
  const night = placing.nights[place];
  if (night.start < work.notBefore || work.taken.has(place) || isTooNear(placing, work, kind, place))
    return undefined;
  const table = placing.starts.in(place, work.burden, lengths);
  if (table.at.length === 0) return undefined;
  const within = withinOf(work, kind, night, place, lengths);
  if (!within || within.end - within.start < lengths.needSec) return undefined;
  const cheapest = cheapestOf(table, work);
  const least = secondsOf(work.burden, table.sec, cheapest) / 3600;
  const asked: Asked = { placing, work, kind, night, within, lengths, table, cheapest, least };
  const length = Math.min(lengths.needSec + LATE_START_SEC, within.end - within.start);
  const roomy = slotOf(asked, length);
  if (length === lengths.needSec) return roomy;
  if (roomy && roomy.hours <= least + ROOM_WORTH) return roomy;
  const tight = slotOf(asked, lengths.needSec);
  if (roomy && tight && tight.hours > roomy.hours - ROOM_WORTH) return roomy;
  return tight ?? roomy;
}

/** Whether a night can hold a circuit's test beside what is there, with full batteries in time. */
export function fitsNight(placing: Placing, work: CircuitWork, kind: TestKind, place: number): boolean {
  return chooseSlot(placing, work, kind, place) !== undefined;
}

/**
 * Whether a test certainly has a slot in a night, seen without looking for it. One that has not may fit all the same.
 */
export function surelyFits(
  placing: Placing,
  work: CircuitWork,
  kind: TestKind,
  place: number,
  { needSec }: Lengths,
): boolean {
  const night = placing.nights[place];
  if (placing.profile.fullBeforeOpening?.value || work.hoursAt.size > 0) return false;
  if (night.start < work.notBefore || work.taken.has(place) || isTooNear(placing, work, kind, place))
    return false;
  return placing.calendar.surelyHolds(night, needSec);
}

/** Puts an attempt at a test on a night, in the slot that was chosen for it. */
export function take(placing: Placing, work: CircuitWork, place: number, choice: Choice): void {
  placing.calendar.add(placing.nights[place], choice.kind, choice);
  work.taken.set(place, choice);
}

/** Puts an attempt at a test on a night if it fits there. @returns whether it does */
export function takeIfFree(placing: Placing, work: CircuitWork, kind: TestKind, place: number): boolean {
  const choice = chooseSlot(placing, work, kind, place);
  if (choice) take(placing, work, place, choice);
  return choice !== undefined;
}

/** Puts an attempt at a test on a night in which it fits. */
export function takeNight(placing: Placing, work: CircuitWork, kind: TestKind, place: number): void {
  if (!takeIfFree(placing, work, kind, place))
    throw new Error(`Circuit ${work.circuit.id} has no room on night ${placing.nights[place].night}.`);
}
