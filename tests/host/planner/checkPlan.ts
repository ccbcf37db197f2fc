// Judges a plan without any of the planner's code: its own civil time (Intl), its own neighbours.
import type { Plan, Slot } from '../../../host/planner/plan/plan';
import type { Luminaire, Site, Weekday } from '../../../host/site/model';

const DAY = 86400;
const RECHARGE_SEC = 86400; // EN 50172 practice: 24 h after a full test.
const BRIEF_RECHARGE_SEC = 3600; // Our choice: far more than a function test takes out.
const BRIEF_SEC = 90;
const BRIEF_LATEST_DAYS = 31;
const BRIEF = 1;
const LIMITED = 3;
const WEEKDAYS: Weekday[] = ['sun', 'mon', 'tue', 'wed', 'thu', 'fri', 'sat'];

/** Local civil time as if it were UTC, s. */
export function civil(timeZone: string): (utc: number) => number {
  const format = new Intl.DateTimeFormat('en-GB', {
    timeZone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  return (utc) => {
    const part: Record<string, number> = {};
    for (const { type, value } of format.formatToParts(utc * 1000)) part[type] = Number(value);
    return Date.UTC(part.year, part.month - 1, part.day, part.hour, part.minute, part.second) / 1000;
  };
}

function inWindow(site: Site, start: number, end: number): boolean {
  const today = Math.floor(start / DAY) * DAY;
  return [today, today - DAY].some((day) =>
    site.windows.some((window) => {
      const to = window.to > window.from ? window.to : window.to + 1440;
      const weekday = WEEKDAYS[new Date(day * 1000).getUTCDay()];
      return window.days.includes(weekday) && start >= day + window.from * 60 && end <= day + to * 60;
    }),
  );
}

const dateOf = (seconds: number) => new Date(seconds * 1000).toISOString().slice(0, 10);

export function areNeighbours(site: Site, a: string, b: string): boolean {
  const areas = (id: string) =>
    site.circuits.find((c) => c.id === id)!.luminaires.flatMap((l) => [l.area, ...l.serves]);
  return areas(a).some((one) =>
    areas(b).some(
      (other) =>
        one === other ||
        site.areas.some((area) => area.id === one && area.adjacent.includes(other)) ||
        site.areas.some((area) => area.id === other && area.adjacent.includes(one)),
    ),
  );
}

/** When the batteries are full again even if a test begins as late as its slot allows. */
const fullAfter = ({ kind, end }: Slot) => end + (kind === BRIEF ? BRIEF_RECHARGE_SEC : RECHARGE_SEC);

const modulo = (value: number, by: number) => ((value % by) + by) % by;

/** Whether the circuit's controller takes the slot for its own: its night, or its hours of a shared one. */
function isOwn(own: Plan['circuits'][number], slot: Slot): boolean {
  const night = Math.floor((slot.start - own.noon) / DAY);
  if (modulo(night - own.residue, own.cycle) === 0) return true;
  const { sharedCycle, sharedResidue, hoursFrom, hoursSec } = own;
  if (slot.kind !== BRIEF || !sharedCycle) return false;
  if (modulo(night - sharedResidue!, sharedCycle) !== 0) return false;
  return modulo(slot.start - hoursFrom!, DAY) + fullAfter(slot) - slot.start <= hoursSec!;
}

type Complain = (text: string) => void;

/** Set if the wiring or the windows leave too few nights. */
export interface Allowance {
  /** Circuits that may be late. */
  late?: Set<string>;
  /** A duration test may replace that month's function test. */
  fullCounts?: boolean;
}

function checkSlots(site: Site, plan: Plan, complain: Complain): void {
  const local = civil(site.timeZone);
  for (const own of plan.circuits) {
    const rated = Math.max(
      ...site.circuits.find((c) => c.id === own.circuit)!.luminaires.map((l) => l.ratedSec),
    );
    for (const slot of own.slots) {
      const name = `${own.circuit} test ${slot.test}`;
      const night = Math.floor((slot.start - own.noon) / DAY);
      const length = slot.kind === BRIEF ? BRIEF_SEC : slot.kind === LIMITED ? (rated * 2) / 3 : rated;
      const [start, end] = [local(slot.start), local(slot.end)];
      if (slot.start < plan.from || slot.end > plan.until) complain(`${name}: outside the plan`);
      if (slot.end - slot.start < length) complain(`${name}: the test does not fit`);
      if (!isOwn(own, slot)) complain(`${name}: not its own time`);
      if (Math.floor((slot.end - 1 - own.noon) / DAY) !== night)
        complain(`${name}: runs into the next night`);
      if (!inWindow(site, start, end)) complain(`${name}: outside the windows`);
      for (const date of site.noTestDates) {
        if (date === dateOf(start) || date === dateOf(end - 1)) complain(`${name}: on a date without tests`);
      }
    }
  }
}

function checkCaps(site: Site, plan: Plan, complain: Complain): void {
  const slots = plan.circuits.flatMap((c) => c.slots).sort((a, b) => a.start - b.start);
  slots.forEach((slot, i) => {
    const open = slots.slice(0, i + 1).filter((other) => other.end > slot.start).length;
    if (open > site.openingsAtOnce) complain(`${open} circuits may be open at ${slot.start}`);
    if (i > 0 && slot.start - slots[i - 1].start < site.staggerSec)
      complain(`two starts close together at ${slot.start}`);
  });
}

/** Even if a test begins as late as its slot allows, its recharge ends before a neighbour's slot. */
function checkNeighbours(site: Site, plan: Plan, complain: Complain): void {
  plan.circuits.forEach((a, i) => {
    for (const b of plan.circuits.slice(i + 1)) {
      if (!areNeighbours(site, a.circuit, b.circuit)) continue;
      const meets = (x: Slot, y: Slot) => x.start < fullAfter(y) && y.start < fullAfter(x);
      if (a.slots.some((x) => b.slots.some((y) => meets(x, y)))) complain(`${a.circuit} meets ${b.circuit}`);
    }
  });
}

function checkSequence(slots: Slot[], name: string, complain: Complain): void {
  slots.forEach((slot, i) => {
    const before = slots[i - 1];
    if (i === 0 && slot.test !== 1) complain(`${name}: numbers do not begin at 1`);
    if (!before) return;
    const step = slot.test - before.test;
    if (step !== 0 && step !== 1) complain(`${name}: number ${slot.test} follows ${before.test}`);
    if (step === 0 && slot.kind !== before.kind) complain(`${name}: a retry of another kind`);
    // A longer test needs a day of supply before it, too.
    const apart = slot.kind === BRIEF ? fullAfter(before) : before.end + RECHARGE_SEC;
    if (slot.start < apart) complain(`${name}: test ${slot.test} is not clear of the one before`);
  });
  for (const test of new Set(slots.map((s) => s.test))) {
    if (slots.filter((s) => s.test === test).length > 3) complain(`${name}: more than two retries`);
  }
}

function checkGaps(plan: Plan, allow: Allowance, complain: Complain): void {
  for (const own of plan.circuits) {
    checkSequence(own.slots, own.circuit, complain);
    if (allow.late?.has(own.circuit)) continue;
    const night = (slot: Slot) => Math.floor((slot.start - own.noon) / DAY);
    let last = Math.floor((plan.from - own.noon) / DAY);
    let due = last + BRIEF_LATEST_DAYS;
    let test = 0;
    for (const slot of own.slots) {
      if (slot.kind !== BRIEF && !allow.fullCounts) continue;
      if (slot.test !== test) {
        due = last + BRIEF_LATEST_DAYS;
        last = night(slot);
        test = slot.test;
      }
      if (slot.kind === BRIEF && night(slot) > due)
        complain(`${own.circuit}: test ${slot.test} comes later than ${BRIEF_LATEST_DAYS} days`);
    }
    if (Math.floor((plan.until - own.noon) / DAY) > last + BRIEF_LATEST_DAYS) {
      complain(`${own.circuit}: brief tests end before the plan does`);
    }
  }
}

/** Luminaires that serve an area, and how many of them each circuit has. */
function lampsOf(site: Site, area: string): { all: number; on: (circuit: string) => number } {
  const count = (luminaires: Luminaire[]) => luminaires.filter((lamp) => lamp.serves.includes(area)).length;
  const on = (id: string) => count(site.circuits.find((circuit) => circuit.id === id)!.luminaires);
  return { all: count(site.circuits.flatMap((circuit) => circuit.luminaires)), on };
}

/**
 * However late in its slot a test runs: never more than half of an area out at once, unless one circuit alone
 * has more.
 */
function checkHalves(site: Site, plan: Plan, complain: Complain): void {
  for (const { id } of site.areas) {
    const { all, on } = lampsOf(site, id);
    const spans = plan.circuits
      .filter(({ circuit }) => on(circuit) > 0)
      .flatMap(({ circuit, slots }) =>
        slots.map((slot) => ({ circuit, start: slot.start, end: fullAfter(slot) })),
      );
    for (const { start } of spans) {
      const out = new Set(spans.filter((s) => s.start <= start && start < s.end).map((s) => s.circuit));
      const dark = [...out].reduce((sum, circuit) => sum + on(circuit), 0);
      if (out.size > 1 && dark > all / 2)
        complain(`${dark} of ${all} luminaires of ${id} are out at ${start}`);
    }
  }
}

/** Everything wrong with a plan, as sentences. */
export function checkPlan(site: Site, plan: Plan, allow: Allowance = {}): string[] {
  const complaints: string[] = [];
  const complain = (text: string) => complaints.push(text);
  checkSlots(site, plan, complain);
  checkCaps(site, plan, complain);
  checkNeighbours(site, plan, complain);
  checkHalves(site, plan, complain);
  checkGaps(plan, allow, complain);
  for (const a of plan.circuits)
    for (const b of plan.circuits)
      if (areNeighbours(site, a.circuit, b.circuit) && (a.noon !== b.noon || a.cycle !== b.cycle))
        complain('calendars differ');
  return complaints;
}
