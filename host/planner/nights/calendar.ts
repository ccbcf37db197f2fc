import { TestKind } from '../../../firmware/contract/codes';
import type { Night } from './nights';

/** One attempt at a circuit's test in one night. */
export interface Entry {
  circuit: string;
  kind: TestKind;
  /** Least length of its slot, s. */
  needSec: number;
}

export interface Span {
  start: number;
  end: number;
}

/** What the site permits in one night. */
export interface Caps {
  /** Most circuits discharged at the same time. */
  atOnce: number;
  /** Least time between two starts, s. */
  staggerSec: number;
}

/** A summary of a night without its slots: enough to see whether one more test fits. */
class Tally {
  /** Least lengths of the long tests, longest first. */
  readonly longs: number[] = [];
  briefs = 0;
  /** Longest least length of a function test. */
  briefNeed = 0;

  constructor(entries: Entry[]) {
    for (const entry of entries) this.add(entry);
  }

  add({ kind, needSec }: Entry): void {
    if (kind === TestKind.Brief) {
      this.briefs++;
      this.briefNeed = Math.max(this.briefNeed, needSec);
      return;
    }
    let place = this.longs.length;
    while (place > 0 && this.longs[place - 1] < needSec) place--;
    this.longs.splice(place, 0, needSec);
  }

  /** Seconds from one start to the next when function tests take turns. */
  step({ atOnce, staggerSec }: Caps): number {
    const isCrowded = this.longs.length + this.briefs > atOnce;
    if (!isCrowded || this.briefs === 0) return staggerSec;
    return Math.max(staggerSec, Math.ceil(this.briefNeed / (atOnce - this.longs.length)));
  }

  fits(lengthSec: number, caps: Caps): boolean {
    const lanes = caps.atOnce - this.longs.length;
    if (lanes < 0 || (this.briefs > 0 && lanes === 0)) return false;
    const step = this.step(caps);
    for (let i = 0; i < this.longs.length; i++) if (i * step + this.longs[i] > lengthSec) return false;
    const last = this.longs.length + this.briefs - 1;
    return this.briefs === 0 || last * step + this.briefNeed <= lengthSec;
  }
}

/**
 * Slots of the tests that share a night, in the order given, or undefined when they do not fit. Long tests
 * (full and limited) go first, the longest foremost, and keep the night to its end. While no more tests share
 * the night than may be open at once, so do function tests; otherwise they take turns in the lanes that are
 * left.
 */
export function layOut(night: Night, entries: Entry[], caps: Caps): Span[] | undefined {
  const tally = new Tally(entries);
  if (!tally.fits(night.end - night.start, caps)) return undefined;
  const step = tally.step(caps);
  const lanes = caps.atOnce - tally.longs.length;
  const isCrowded = entries.length > caps.atOnce;
  const long = (i: number) => (entries[i].kind === TestKind.Brief ? 0 : entries[i].needSec);
  const order = entries.map((_, i) => i).sort((a, b) => long(b) - long(a) || a - b);
  const out: Span[] = [];
  order.forEach((which, place) => {
    const start = night.start + place * step;
    const takesTurns = isCrowded && long(which) === 0 && place + lanes < order.length;
    out[which] = { start, end: takesTurns ? Math.min(night.end, start + lanes * step) : night.end };
  });
  return out;
}

/** Most other slots open at any time during one slot. */
function mostBeside(slot: Span, others: Span[]): number {
  const beside = others.filter((other) => other.start < slot.end && slot.start < other.end);
  // The most are open where one of them, or the slot itself, begins.
  const openAt = (utc: number) => beside.filter((other) => other.start <= utc && utc < other.end).length;
  return beside.reduce((most, { start }) => Math.max(most, openAt(Math.max(start, slot.start))), 0);
}

/**
 * The slot of one more test beside slots that stay as they are, or undefined. It starts as early as possible,
 * and keeps the night to its end where that many may be open at once, otherwise only its own length.
 */
export function slotBeside(night: Night, needSec: number, fixed: Span[], caps: Caps): Span | undefined {
  const beside = (start: number, end: number) => mostBeside({ start, end }, fixed) < caps.atOnce;
  const starts = fixed.flatMap((slot) => [slot.start + caps.staggerSec, slot.end]);
  const tries = [night.start, ...starts].filter((start) => start >= night.start).sort((a, b) => a - b);
  for (const start of tries) {
    if (start + needSec > night.end) return undefined;
    if (fixed.some((slot) => Math.abs(slot.start - start) < caps.staggerSec)) continue;
    if (beside(start, night.end)) return { start, end: night.end };
    if (beside(start, start + needSec)) return { start, end: start + needSec };
  }
  return undefined;
}

interface Booked {
  night: Night;
  entries: Entry[];
  tally: Tally;
  /** Announced slots that stay as they are. */
  fixed: Span[];
  /** By circuit, calculated on demand. */
  spans?: Map<string, Span>;
}

/** What has been placed on each night so far. */
export class Calendar {
  private readonly booked = new Map<number, Booked>();

  constructor(private readonly caps: Caps) {}

  /**
   * Keeps a slot as it is and fits everything else on that night beside it; false where the caps forbid it.
   */
  fix(night: Night, slot: Span): boolean {
    const { fixed } = this.on(night);
    if (mostBeside(slot, fixed) >= this.caps.atOnce) return false;
    if (fixed.some((other) => Math.abs(other.start - slot.start) < this.caps.staggerSec)) return false;
    fixed.push(slot);
    return true;
  }

  /** Gives up a kept slot. */
  free(night: Night, slot: Span): void {
    const on = this.on(night);
    on.fixed = on.fixed.filter((other) => other !== slot);
  }

  /** Whether the night can hold the entry beside what is already there. */
  fits(night: Night, entry: Entry): boolean {
    const on = this.booked.get(night.night);
    if (!on) return new Tally([entry]).fits(night.end - night.start, this.caps);
    if (on.fixed.length > 0) return this.besides(night, [...on.entries, entry], on.fixed) !== undefined;
    const tally = new Tally([]);
    tally.longs.push(...on.tally.longs);
    tally.briefs = on.tally.briefs;
    tally.briefNeed = on.tally.briefNeed;
    tally.add(entry);
    return tally.fits(night.end - night.start, this.caps);
  }

  /** Adds the entry if it fits. */
  tryAdd(night: Night, entry: Entry): boolean {
    if (!this.fits(night, entry)) return false;
    const on = this.on(night);
    on.entries.push(entry);
    on.tally.add(entry);
    on.spans = undefined;
    return true;
  }

  /** Removes a circuit's entry from a night. */
  remove(night: Night, circuit: string): void {
    const on = this.on(night);
    on.entries = on.entries.filter((entry) => entry.circuit !== circuit);
    on.tally = new Tally(on.entries);
    on.spans = undefined;
  }

  /** Tests on a night, and how many of them are long. */
  load(night: Night): { tests: number; longs: number } {
    const on = this.booked.get(night.night);
    if (!on) return { tests: 0, longs: 0 };
    return { tests: on.entries.length + on.fixed.length, longs: on.tally.longs.length };
  }

  /** The slot of a circuit's entry on a night, once all entries are in. */
  spanOf(night: Night, circuit: string): Span {
    const on = this.on(night);
    if (!on.spans) {
      const beside = on.fixed.length > 0;
      const spans = beside ? this.besides(night, on.entries, on.fixed) : layOut(night, on.entries, this.caps);
      on.spans = new Map(on.entries.map((entry, i) => [entry.circuit, spans![i]]));
    }
    return on.spans.get(circuit)!;
  }

  private on(night: Night): Booked {
    let on = this.booked.get(night.night);
    if (!on) {
      on = { night, entries: [], tally: new Tally([]), fixed: [] };
      this.booked.set(night.night, on);
    }
    return on;
  }

  private besides(night: Night, entries: Entry[], fixed: Span[]): Span[] | undefined {
    const taken = [...fixed];
    for (const { needSec } of entries) {
      const slot = slotBeside(night, needSec, taken, this.caps);
      if (!slot) return undefined;
      taken.push(slot);
    }
    return taken.slice(fixed.length);
  }
}
