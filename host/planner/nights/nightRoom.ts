// Which starts are still free in one night: how many slots are open, and which starts lie too close to
// another, cell by cell. A cell is the longest time that divides both a minute and the least time between two
// starts, so no start on a whole minute is lost.
import type { Caps, Span } from './calendar';
import type { Night } from './nights';

function commonDivisor(a: number, b: number): number {
  return b === 0 ? a : commonDivisor(b, a % b);
}

/** An answer, and the number of changes it takes into account. */
interface Known {
  version: number;
  cell: number;
}

/** Answers kept per night: the same few starts and lengths are asked for by very many circuits. */
const KNOWN_MAX = 64;

export class NightRoom {
  private readonly cellSec: number;
  private readonly cells: number;
  /** Slots open during each cell, apart from those not yet counted. */
  private readonly open: Uint16Array;
  /** All slots in the night, and how many of them have been counted in `open`. */
  private readonly all: Span[] = [];
  private counted = 0;
  /** No cell before this one may be a start. */
  private prefix = 0;
  /** Starts that forbid one in this cell. */
  private readonly near: Uint16Array;
  private readonly first = new Map<number, Known>();
  private version = 0;
  /** Changes after the last slot was given back: until then, free starts only become fewer. */
  private given = 0;

  constructor(
    private readonly night: Night,
    private readonly caps: Caps,
  ) {
    this.cellSec = commonDivisor(60, Math.max(1, Math.round(caps.staggerSec)));
    this.cells = Math.ceil((night.end - night.start) / this.cellSec);
    this.open = new Uint16Array(this.cells);
    this.near = new Uint16Array(this.cells);
  }

  /** The slots that were taken and not given back. */
  get slots(): readonly Span[] {
    return this.all;
  }

  take(slot: Span): void {
    this.version++;
    this.all.push(slot);
    this.mark(slot, 1);
  }

  /** Gives back a slot that was taken. */
  give(slot: Span): void {
    this.version++;
    this.given = this.version;
    const i = this.all.indexOf(slot);
    this.all.splice(i, 1);
    if (i < this.counted) {
      this.counted--;
      this.count(slot, -1);
    }
    this.mark(slot, -1);
  }

  /** See `Calendar.firstFrom`. */
  firstFrom(utcSec: number, lengthSec: number): number {
    const wished = Math.max(0, Math.ceil((utcSec - this.night.start) / this.cellSec));
    const from = Math.max(wished, this.prefix);
    const length = Math.ceil(lengthSec / this.cellSec);
    if (this.near[from] === 0 && this.all.length < this.caps.atOnce) return this.at(from, lengthSec);
    const key = from * 100_000 + length;
    const known = this.first.get(key);
    if (known?.version === this.version) return this.at(known.cell, lengthSec);
    const cell = this.search(known && known.version >= this.given ? known.cell : from, length);
    if (this.first.size >= KNOWN_MAX) this.first.clear();
    this.first.set(key, { version: this.version, cell });
    return this.at(cell, lengthSec);
  }

  /** See `Calendar.lastBy`. */
  lastBy(utcSec: number, lengthSec: number): number {
    const length = Math.ceil(lengthSec / this.cellSec);
    let cell = Math.floor((utcSec - this.night.start) / this.cellSec);
    while (cell >= this.prefix) {
      if (this.near[cell] > 0) cell--;
      else {
        const blocked = this.firstFull(cell, length);
        if (blocked < 0) return this.night.start + cell * this.cellSec;
        cell = blocked - length;
      }
    }
    return Number.NEGATIVE_INFINITY;
  }

  /** See `Calendar.surelyHolds`. */
  surelyHolds(lengthSec: number): boolean {
    const { night, caps, cellSec, all } = this;
    if (all.length >= caps.atOnce) return false;
    // Each slot bars fewer than so many seconds' cells from being a start.
    return all.length * (2 * caps.staggerSec + cellSec) < night.end - night.start - lengthSec;
  }

  private at(cell: number, lengthSec: number): number {
    const start = this.night.start + cell * this.cellSec;
    return start + lengthSec <= this.night.end ? start : Number.POSITIVE_INFINITY;
  }

  /** The first free cell from one on, or one beyond the night. */
  private search(from: number, length: number): number {
    let cell = from;
    while (cell < this.cells) {
      if (this.near[cell] > 0) cell++;
      else {
        const blocked = this.lastFull(cell, length);
        if (blocked < 0) return cell;
        cell = blocked + 1;
      }
    }
    return this.cells;
  }

  private firstFull(from: number, length: number): number {
    if (!this.canBeFull()) return -1;
    const to = Math.min(this.cells, from + length);
    for (let cell = from; cell < to; cell++) if (this.open[cell] >= this.caps.atOnce) return cell;
    return -1;
  }

  private lastFull(from: number, length: number): number {
    if (!this.canBeFull()) return -1;
    for (let cell = Math.min(this.cells, from + length) - 1; cell >= from; cell--)
      if (this.open[cell] >= this.caps.atOnce) return cell;
    return -1;
  }

  private clip(cell: number): number {
    return Math.min(this.cells, Math.max(0, cell));
  }

  /** Whether enough slots have been taken for a cell to be full; only then are they counted cell by cell. */
  private canBeFull(): boolean {
    if (this.all.length < this.caps.atOnce) return false;
    for (; this.counted < this.all.length; this.counted++) this.count(this.all[this.counted], 1);
    return true;
  }

  private count(slot: Span, by: 1 | -1): void {
    const { night, cellSec } = this;
    const last = this.clip(Math.ceil((slot.end - night.start) / cellSec));
    for (let cell = this.clip(Math.floor((slot.start - night.start) / cellSec)); cell < last; cell++)
      this.open[cell] += by;
  }

  private mark(slot: Span, by: 1 | -1): void {
    const { night, cellSec, caps } = this;
    const from = slot.start - night.start;
    // Starts less than the stagger away on either side.
    const reach = this.clip(Math.ceil((from + caps.staggerSec) / cellSec));
    for (let cell = this.clip(Math.floor((from - caps.staggerSec) / cellSec) + 1); cell < reach; cell++)
      this.near[cell] += by;
    if (by < 0) this.prefix = 0;
    while (this.prefix < this.cells && this.near[this.prefix] > 0) this.prefix++;
  }
}
