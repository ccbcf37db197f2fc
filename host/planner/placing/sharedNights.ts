// Nights that neighbours share: after a function test the batteries recharge within the hour, so several
// neighbours can be tested in one night, each in hours of its own. A longer test keeps its own nights, a
// discharge and a recharge clear of the shared ones.
import { Limit } from '../../../firmware/contract/limits';
import type { Caps, Span } from '../nights/calendar';
import type { NightSpan } from '../nights/fallback';
import { DAY_SEC, modulo, type Night } from '../nights/nights';
import type { CircuitPlan } from '../plan/plan';
import { LATE_START_SEC } from './chooseSlot';
import type { Share, SharedNights } from './circuitWork';

type PlannedShare = Pick<
  CircuitPlan,
  'cycle' | 'residue' | 'sharedCycle' | 'sharedResidue' | 'hoursFrom' | 'hoursSec'
>;

/** What each night offers to function tests, and what they need. */
export interface SharedRoom {
  /** Contained in every test window, s after the second at which the night number changes. */
  span: NightSpan;
  /** Second of the UTC day at which the night number changes. */
  noon: number;
  /** Longest function test with its margin, and its recharge, s. */
  needSec: number;
  rechargeSec: number;
  /** Batteries must be full at the end of the span. */
  isFullAtEnd: boolean;
  /** Days from one function test to the next: those aimed at, and the most. */
  everyDays: number;
  latestDays: number;
  caps: Caps;
}

/** One way to divide a group's nights between function tests in shared nights and longer ones. */
export interface Division {
  /** Nights after which the shared ones recur. */
  period: number;
  /** Neighbours' turns on shared nights: by number, the night in the period and the hours. */
  turns: SharedNights[];
  /** Nights of a period on which a longer test may begin. */
  longs: number[];
  /** Those of them on which neighbours' longer tests may follow each other. */
  inTurn: number[];
  /** How many circuits that are not neighbours have room in one turn of one night. */
  perTurn: number;
}

/** Most neighbours that can be tested in one night, one after another. */
function lanesIn({ span, needSec, rechargeSec, isFullAtEnd }: SharedRoom): { most: number; sec: number } {
  // Own hours end with the night.
  const sec = Math.min(span.to + (isFullAtEnd ? 0 : rechargeSec), DAY_SEC) - span.from;
  return { most: Math.floor(sec / (needSec + LATE_START_SEC + rechargeSec)), sec };
}

/** Most function tests of circuits that are not neighbours in so many seconds. */
function testsIn(sec: number, { needSec, caps: { atOnce, staggerSec } }: SharedRoom): number {
  return Math.min(1 + Math.floor((sec - needSec) / staggerSec), atOnce * Math.floor(sec / needSec));
}

const WEEK = 7;
/** How many shared nights more than necessary are tried. */
const MORE_NIGHTS = 2;

/** Periods worth trying that hold so many shared nights: whole weeks, and the shortest. */
function periodsFor(
  nights: number,
  spacing: number,
  latestDays: number,
): { period: number; blocks: number }[] {
  const least = nights + spacing;
  const found = [];
  for (let period = least; period <= latestDays; period++) {
    if (period % WEEK === 0 || period < least + WEEK) found.push({ period, blocks: 1 });
    // The same nights of every week.
    if (period % WEEK === 0 && period > WEEK) found.push({ period, blocks: period / WEEK });
  }
  return found;
}

/**
 * How the nights of circuits with so many colours can be divided, period by period and turn by turn.
 * @param spacing nights from a longer test to the first on which a neighbour may be tested
 */
export function* divisions(colours: number, spacing: number, room: SharedRoom): Generator<Division> {
  const { most } = lanesIn(room);
  if (most < 2) return;
  const least = Math.ceil(colours / most);
  // With more shared nights each turn is longer.
  for (let more = 0; more <= MORE_NIGHTS && least + more < Math.max(colours, least + 1); more++)
    yield* divisionsBy(colours, least + more, spacing, room);
}

function* divisionsBy(
  colours: number,
  nights: number,
  spacing: number,
  room: SharedRoom,
): Generator<Division> {
  const { sec } = lanesIn(room);
  for (const { period, blocks } of periodsFor(nights, spacing, room.latestDays)) {
    // Shared nights follow each other within a block, and then come as many that are not.
    const inBlock = Math.ceil(nights / blocks);
    const block = period / blocks;
    if (inBlock + spacing > block) continue;
    const lanes = Math.ceil(colours / (inBlock * blocks));
    const laneSec = Math.floor(sec / lanes);
    const perTurn = testsIn(laneSec - room.rechargeSec, room);
    const among = (count: number, night: (i: number) => number) =>
      Array.from({ length: blocks * count }, (_, i) => Math.floor(i / count) * block + night(i % count));
    for (let first = 0; first < block; first++) {
      const turn = (i: number) => (first + i) % period;
      yield {
        ...{ period, perTurn },
        turns: among(inBlock * lanes, (i) => Math.floor(i / lanes)).map((night, i) => ({
          ...{ cycle: period, residue: turn(night), sec: laneSec },
          from: modulo(room.noon + room.span.from + (i % lanes) * laneSec, DAY_SEC),
        })),
        longs: among(block - inBlock - spacing + 1, (i) => inBlock + i).map(turn),
        inTurn: among(Math.floor((block - inBlock) / spacing), (i) => inBlock + i * spacing).map(turn),
      };
    }
  }
}

/** Cycles of own nights for longer tests, in whole periods: the shortest, and the longest that a controller counts. */
export function longCycles(colours: number, { period, inTurn }: Division, isMore = false): number[] {
  const least = Math.ceil(colours / inTurn.length);
  const most = Math.floor(Math.min(Limit.CycleNights, YEAR_NIGHTS) / period);
  // Each colour may wait for the one night of a period on which nobody is there.
  if (isMore && least <= most)
    return Array.from({ length: Math.min(most, 2 * colours) - least + 1 }, (_, i) => (least + i) * period);
  return least > most ? [] : [...new Set([least, Math.min(most, 2 * least), most])].map((n) => n * period);
}

/** Own nights that recur less than once a year would leave a yearly test late. */
const YEAR_NIGHTS = 365;

/** The most circuits that can all be neighbours of each other with every test in time. */
export function mostNeighbours(spacing: number, latestDays: number, room?: SharedRoom): number {
  // Each with a night to itself.
  let most = Math.floor(latestDays / spacing);
  // A longer test must not come the night after the circuit's own function test.
  const isPossible = (colours: number) =>
    [...divisions(colours, spacing, room!)].some(
      (division) => division.longs.length >= spacing && longCycles(colours, division).length > 0,
    );
  if (room) while (isPossible(most + 1)) most++;
  return most;
}

/** A circuit's own hours in a night, UTC seconds. */
export function hoursIn({ night }: Night, noon: number, { from, sec }: SharedNights): Span {
  const start = noon + night * DAY_SEC + modulo(from - noon, DAY_SEC);
  return { start, end: start + sec };
}

function haveHoursApart(a: SharedNights, b: SharedNights): boolean {
  const gap = modulo(b.from - a.from, DAY_SEC);
  return gap >= a.sec && DAY_SEC - gap >= b.sec;
}

/** Whether no shared night of one falls on a longer test of the other, or on its recharge. */
function isClearOfLongs({ cycle, residue }: SharedNights, longs: Share, spacing: number): boolean {
  if (longs.cycle % cycle !== 0) return false;
  for (let later = 0; later < spacing; later++)
    if (modulo(longs.residue + later - residue, cycle) === 0) return false;
  return true;
}

/** Whether the shared nights of two neighbours, and their longer tests, never meet; their own nights aside. */
export function areSharedApart(a: Share, b: Share, spacing: number): boolean {
  if (!a.shared && !b.shared) return true;
  if (!a.shared || !b.shared || a.shared.cycle !== b.shared.cycle) return false;
  if (!isClearOfLongs(a.shared, b, spacing) || !isClearOfLongs(b.shared, a, spacing)) return false;
  return a.shared.residue !== b.shared.residue || haveHoursApart(a.shared, b.shared);
}

/** The share in a circuit's plan. */
export function shareOf({
  cycle,
  residue,
  sharedCycle,
  sharedResidue,
  hoursFrom,
  hoursSec,
}: CircuitPlan): Share {
  if (!sharedCycle) return { cycle, residue };
  const shared = {
    cycle: sharedCycle,
    residue: sharedResidue ?? 0,
    from: hoursFrom ?? 0,
    sec: hoursSec ?? 0,
  };
  return { cycle, residue, shared };
}

/** A share as a circuit's plan has it. */
export function fieldsOf({ cycle, residue, shared }: Share): PlannedShare {
  if (!shared) return { cycle, residue };
  return {
    ...{ cycle, residue, sharedCycle: shared.cycle, sharedResidue: shared.residue },
    ...{ hoursFrom: shared.from, hoursSec: shared.sec },
  };
}

export function isSameShare(a: Share, b: Share): boolean {
  const [one, other] = [a.shared, b.shared];
  if (a.cycle !== b.cycle || a.residue !== b.residue || !one !== !other) return false;
  return (
    !one ||
    !other ||
    (one.cycle === other.cycle &&
      one.residue === other.residue &&
      one.from === other.from &&
      one.sec === other.sec)
  );
}
