import { TestKind } from '../../../firmware/contract/codes';
import { NightRoom } from './nightRoom';
import type { Night } from './nights';

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

/** Tests start on whole minutes from the start of the window. */
const MINUTE = 60;

interface Booked {
  room: NightRoom;
  /** Tests on the night, and how many of them are long. */
  load: { tests: number; longs: number };
  /** Announced slots that stay as they are. */
  fixed: Span[];
}

const NO_LOAD = { tests: 0, longs: 0 };

/** Most other slots open at any time during one slot. */
function mostBeside(slot: Span, others: readonly Span[]): number {
  const beside = others.filter((other) => other.start < slot.end && slot.start < other.end);
  // The most are open where one of them, or the slot itself, begins.
  const openAt = (utc: number) => beside.filter((other) => other.start <= utc && utc < other.end).length;
  return beside.reduce((most, { start }) => Math.max(most, openAt(Math.max(start, slot.start))), 0);
}

/** The slots that have been taken in each night so far. */
export class Calendar {
  private readonly booked = new Map<number, Booked>();
  /** What was asked for last: several questions in turn are about one night. */
  private lastNight = Number.NaN;
  private last: Booked | undefined;

  constructor(private readonly caps: Caps) {}

  /**
   * Keeps a slot as it is and fits everything else on that night beside it; false where the caps forbid it.
   */
  fix(night: Night, slot: Span): boolean {
    const { fixed, room, load } = this.on(night);
    if (mostBeside(slot, room.slots) >= this.caps.atOnce) return false;
    if (room.slots.some((other) => Math.abs(other.start - slot.start) < this.caps.staggerSec)) return false;
    fixed.push(slot);
    load.tests++;
    room.take(slot);
    return true;
  }

  /** Gives up a kept slot. */
  free(night: Night, slot: Span): void {
    const on = this.on(night);
    if (!on.fixed.includes(slot)) return;
    on.fixed = on.fixed.filter((other) => other !== slot);
    on.load.tests--;
    on.room.give(slot);
  }

  /** The first start at or after a UTC second at which a slot of that length fits; Infinity if none does. */
  firstFrom(night: Night, utcSec: number, lengthSec: number): number {
    const on = this.known(night);
    if (on) return on.room.firstFrom(utcSec, lengthSec);
    const from = night.start + MINUTE * Math.max(0, Math.ceil((utcSec - night.start) / MINUTE));
    return from + lengthSec <= night.end ? from : Number.POSITIVE_INFINITY;
  }

  /** The last start at or before a UTC second at which a slot of that length fits; -Infinity if none does. */
  lastBy(night: Night, utcSec: number, lengthSec: number): number {
    const by = Math.min(utcSec, night.end - lengthSec);
    const on = this.known(night);
    if (on) return on.room.lastBy(by, lengthSec);
    if (by < night.start) return Number.NEGATIVE_INFINITY;
    return night.start + MINUTE * Math.floor((by - night.start) / MINUTE);
  }

  /** Whether a slot of that length certainly fits in a night, seen without looking for it. */
  surelyHolds(night: Night, lengthSec: number): boolean {
    const on = this.known(night);
    return on ? on.room.surelyHolds(lengthSec) : night.start + lengthSec <= night.end;
  }

  /** Takes a slot for a test; `firstFrom` or `lastBy` has found it free. */
  add(night: Night, kind: TestKind, slot: Span): void {
    const { load, room } = this.on(night);
    load.tests++;
    if (kind !== TestKind.Brief) load.longs++;
    room.take(slot);
  }

  /** Tests on a night as they stand, and how many of them are long. */
  load(night: Night): Readonly<Booked['load']> {
    return this.known(night)?.load ?? NO_LOAD;
  }

  private known({ night }: Night): Booked | undefined {
    if (night !== this.lastNight) [this.lastNight, this.last] = [night, this.booked.get(night)];
    return this.last;
  }

  private on(night: Night): Booked {
    const known = this.known(night);
    if (known) return known;
    const room = new NightRoom(night, this.caps);
    const on: Booked = { room, load: { tests: 0, longs: 0 }, fixed: [] };
    this.booked.set(night.night, on);
    this.last = on;
    return on;
  }
}
