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
  /** By circuit, the slot of its test. */
  slots: Map<string, Span>;
  longs: Set<string>;
  /** Announced slots that stay as they are. */
  fixed: Span[];
}

/** Most other slots open at any time during one slot. */
function mostBeside(slot: Span, others: Span[]): number {
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
    const { fixed, slots, room } = this.on(night);
    const others = [...fixed, ...slots.values()];
    if (mostBeside(slot, others) >= this.caps.atOnce) return false;
    if (others.some((other) => Math.abs(other.start - slot.start) < this.caps.staggerSec)) return false;
    fixed.push(slot);
    room.take(slot);
    return true;
  }

  /** Gives up a kept slot. */
  free(night: Night, slot: Span): void {
    const on = this.on(night);
    if (!on.fixed.includes(slot)) return;
    on.fixed = on.fixed.filter((other) => other !== slot);
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

  /** Takes a slot for a circuit's test; `firstFrom` or `lastBy` has found it free. */
  add(night: Night, circuit: string, kind: TestKind, slot: Span): void {
    const on = this.on(night);
    on.slots.set(circuit, slot);
    if (kind !== TestKind.Brief) on.longs.add(circuit);
    on.room.take(slot);
  }

  /** Removes a circuit's test from a night. */
  remove(night: Night, circuit: string): void {
    const on = this.on(night);
    const slot = on.slots.get(circuit);
    if (!slot) return;
    on.slots.delete(circuit);
    on.longs.delete(circuit);
    on.room.give(slot);
  }

  /** Tests on a night, and how many of them are long. */
  load(night: Night): { tests: number; longs: number } {
    const on = this.known(night);
    if (!on) return { tests: 0, longs: 0 };
    return { tests: on.slots.size + on.fixed.length, longs: on.longs.size };
  }

  /** The slot of a circuit's test on a night. */
  spanOf(night: Night, circuit: string): Span {
    return this.on(night).slots.get(circuit)!;
  }

  private known({ night }: Night): Booked | undefined {
    if (night !== this.lastNight) [this.lastNight, this.last] = [night, this.booked.get(night)];
    return this.last;
  }

  private on(night: Night): Booked {
    const known = this.known(night);
    if (known) return known;
    const on = {
      room: new NightRoom(night, this.caps),
      slots: new Map(),
      longs: new Set<string>(),
      fixed: [],
    };
    this.booked.set(night.night, on);
    this.last = on;
    return on;
  }
}
