// A plain way of placing tests, written from the rules and with none of the planner's code: circuit after
// circuit, each test at the cheapest start of any ten minutes of any window in time. It looks neither ahead
// nor back and keeps no room for a late start. What it can place in time, a planner must be able to place.
import type { RuleProfile } from '../../../host/profiles/profile';
import type { Area, Circuit, Site, Weekday } from '../../../host/site/model';
import { areNeighbours, civil } from './checkPlan';

const DAY = 86400;
const STEP = 600;
const HALF_HOUR = 1800;
const MARGIN = 300;
const WEEKDAYS: Weekday[] = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];

export interface GreedyTest {
  circuit: string;
  isLong: boolean;
  start: number;
  end: number;
  recharged: number;
}

export interface Greedy {
  tests: GreedyTest[];
  /** Tests that found no start in time. */
  late: number;
  exposureHours: number;
}

/** Seconds with people in an area up to each half hour after `from`. */
function presenceSums(site: Site, area: Area | undefined, from: number, until: number): Float64Array {
  const local = civil(site.timeZone);
  const count = Math.ceil((until - from) / HALF_HOUR);
  const sums = new Float64Array(count + 1);
  const hours = area ? area.occupied : site.opening;
  const closed = new Set(site.closedDates);
  for (let i = 0; i < count; i++) {
    const middle = local(from + (i + 0.5) * HALF_HOUR);
    const today = Math.floor(middle / DAY) * DAY;
    const isThere =
      area?.always ||
      [today, today - DAY].some((day) => {
        const date = new Date(day * 1000);
        if (closed.has(date.toISOString().slice(0, 10))) return false;
        return hours.some(({ days, from: opens, to }) => {
          const ends = to > opens ? to : to + 1440;
          const minute = (middle - day) / 60;
          return days.includes(WEEKDAYS[date.getUTCDay()]) && minute >= opens && minute < ends;
        });
      });
    sums[i + 1] = sums[i] + (isThere ? HALF_HOUR : 0);
  }
  return sums;
}

/** All windows as UTC seconds, from the local time of every ten minutes. */
function windowsOf(site: Site, from: number, until: number): { start: number; end: number }[] {
  const local = civil(site.timeZone);
  const out: { start: number; end: number }[] = [];
  const barred = new Set(site.noTestDates);
  const isIn = (utc: number) => {
    const now = local(utc);
    const today = Math.floor(now / DAY) * DAY;
    return [today, today - DAY].some((day) =>
      site.windows.some((window) => {
        const to = window.to > window.from ? window.to : window.to + 1440;
        const minute = (now - day) / 60;
        const isDay = window.days.includes(WEEKDAYS[new Date(day * 1000).getUTCDay()]);
        return isDay && minute >= window.from && minute < to;
      }),
    );
  };
  for (let at = Math.ceil(from / STEP) * STEP; at < until; at += STEP) {
    if (!isIn(at)) continue;
    const last = out[out.length - 1];
    if (last?.end === at) last.end += STEP;
    else out.push({ start: at, end: at + STEP });
  }
  const dateOf = (utc: number) => new Date(local(utc) * 1000).toISOString().slice(0, 10);
  return out.filter(({ start, end }) => !barred.has(dateOf(start)) && !barred.has(dateOf(end - 1)));
}

class Board {
  private readonly tests: (GreedyTest & { slotEnd: number })[] = [];
  private readonly byDay = new Map<number, (GreedyTest & { slotEnd: number })[]>();
  private readonly byCircuit = new Map<string, (GreedyTest & { slotEnd: number })[]>();
  private readonly near = new Map<string, string[]>();
  private readonly sums = new Map<string, Float64Array>();
  private readonly open: Float64Array;
  private readonly parts = new Map<string, { area: string; share: number }[]>();
  readonly windows: { start: number; end: number }[];

  constructor(
    private readonly site: Site,
    private readonly profile: RuleProfile,
    readonly from: number,
    readonly until: number,
  ) {
    this.windows = windowsOf(site, from + profile.full.rechargeSec.value, until);
    const patterns = new Map<string, Float64Array>();
    for (const area of site.areas) {
      const key = JSON.stringify([area.always, area.occupied]);
      const sums = patterns.get(key) ?? presenceSums(site, area, from, until + 9 * DAY);
      patterns.set(key, sums);
      this.sums.set(area.id, sums);
    }
    this.open = presenceSums(site, undefined, from, until + 9 * DAY);
    const serving = (circuit: Circuit, area: string) =>
      circuit.luminaires.filter((lamp) => lamp.serves.includes(area)).length;
    for (const circuit of site.circuits) {
      this.byCircuit.set(circuit.id, []);
      const near = site.circuits.filter(({ id }) => id !== circuit.id && areNeighbours(site, circuit.id, id));
      this.near.set(
        circuit.id,
        near.map(({ id }) => id),
      );
      const lit = site.areas.filter(({ id }) => serving(circuit, id) > 0);
      const all = (area: string) => site.circuits.reduce((sum, one) => sum + serving(one, area), 0);
      this.parts.set(
        circuit.id,
        lit.map(({ id }) => ({ area: id, share: serving(circuit, id) / all(id) })),
      );
    }
  }

  cost(circuit: string, start: number, recharged: number): number {
    return this.parts
      .get(circuit)!
      .reduce(
        (sum, { area, share }) =>
          sum + (share * within(this.sums.get(area)!, start, recharged, this.from)) / 3600,
        0,
      );
  }

  /** Whether a test may be there: caps, starts, neighbours, own tests, doors. */
  mayBe(circuit: string, start: number, slotEnd: number, recharged: number): boolean {
    const { site, profile } = this;
    if (profile.fullBeforeOpening?.value && within(this.open, start, recharged + MARGIN, this.from) > 0)
      return false;
    for (const id of [circuit, ...this.near.get(circuit)!])
      for (const other of this.byCircuit.get(id)!)
        if (other.start < recharged + MARGIN && start < other.recharged + MARGIN) return false;
    let open = 0;
    const day = Math.floor(start / DAY);
    const soon = [day - 1, day, day + 1].flatMap((one) => this.byDay.get(one) ?? []);
    for (const other of soon) {
      if (Math.abs(other.start - start) < site.staggerSec) return false;
      // More than are open at any one time, at worst: plain, not clever.
      if (other.start < slotEnd && start < other.slotEnd) open++;
    }
    return open < site.openingsAtOnce;
  }

  add(test: GreedyTest, slotEnd: number): void {
    const kept = { ...test, slotEnd };
    this.tests.push(kept);
    const day = Math.floor(test.start / DAY);
    this.byDay.set(day, [...(this.byDay.get(day) ?? []), kept]);
    this.byCircuit.get(test.circuit)!.push(kept);
  }

  all(): GreedyTest[] {
    return this.tests;
  }
}

function within(sums: Float64Array, from: number, to: number, zero: number): number {
  const until = (utc: number) => {
    const at = (utc - zero) / HALF_HOUR;
    const low = Math.max(0, Math.min(sums.length - 2, Math.floor(at)));
    return sums[low] + (sums[low + 1] - sums[low]) * Math.max(0, Math.min(1, at - low));
  };
  return until(to) - until(from);
}

/** Places one test at the cheapest start between two UTC seconds, the latest of equal ones; false if none is free. */
function place(
  board: Board,
  circuit: string,
  isLong: boolean,
  testSec: number,
  rechargeSec: number,
  span: { after: number; by: number },
): number | undefined {
  let best: { cost: number; start: number } | undefined;
  for (const window of board.windows) {
    if (window.end <= span.after || window.start > span.by) continue;
    for (
      let start = Math.max(window.start, Math.ceil(span.after / STEP) * STEP);
      start <= span.by;
      start += STEP
    ) {
      const slotEnd = start + testSec + MARGIN;
      if (slotEnd > window.end) break;
      const cost = board.cost(circuit, start, start + testSec + rechargeSec);
      if (best && (cost > best.cost + 1e-9 || (cost > best.cost - 1e-9 && start < best.start + DAY / 2)))
        continue;
      if (board.mayBe(circuit, start, slotEnd, start + testSec + rechargeSec)) best = { cost, start };
    }
  }
  if (!best) return undefined;
  const { start } = best;
  const end = start + testSec;
  board.add({ circuit, isLong, start, end, recharged: end + rechargeSec }, end + MARGIN);
  return start;
}

/** Night to night: a test due in `days` days may still come in the window that begins on that day. */
const NIGHT = DAY / 2;

/** As many tests as the rule asks for from a UTC second on, by the plain method. */
export function greedyPlan(site: Site, profile: RuleProfile, from: number, days: number): Greedy {
  const until = from + days * DAY;
  const board = new Board(site, profile, from, until);
  let late = 0;
  const { brief, full } = profile;
  for (const circuit of site.circuits) {
    const rated = circuit.alwaysOccupied ? (circuit.ratedSec * 2) / 3 : circuit.ratedSec;
    for (let last = from; last + full.latestDays.value * DAY <= until; ) {
      const by = last + full.latestDays.value * DAY;
      const after = last === from ? from : by - full.earlierDays.value * DAY;
      const start = place(board, circuit.id, true, rated, full.rechargeSec.value, { after, by: by - NIGHT });
      if (start === undefined) late++;
      last = start ?? by;
    }
  }
  const least = (brief.leastGapDays?.value ?? 1) * DAY;
  for (const circuit of site.circuits) {
    const shortest = Math.min(...circuit.luminaires.map((lamp) => lamp.ratedSec));
    const length = Math.min(brief.lengthSec.value, Math.floor(shortest / brief.partOfRated.value));
    for (let last = from; last + brief.latestDays.value * DAY <= until; ) {
      const by = last + brief.latestDays.value * DAY;
      const span = { after: last === from ? from : last + least, by: by - NIGHT };
      const start = place(board, circuit.id, false, Math.max(30, length), brief.rechargeSec.value, span);
      if (start === undefined) late++;
      last = start ?? by;
    }
  }
  const tests = board.all();
  const exposureHours = tests.reduce((sum, t) => sum + board.cost(t.circuit, t.start, t.recharged), 0);
  return { tests, late, exposureHours };
}
