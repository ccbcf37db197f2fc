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
  /** Slots open during each cell. */
  private readonly open: Uint16Array;
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

  take(slot: Span): void {
    this.version++;
    this.mark(slot, 1);
  }

  give(slot: Span): void {
    this.version++;
    this.given = this.version;
    this.mark(slot, -1);
  }

  /** See `Calendar.firstFrom`. */
  firstFrom(utcSec: number, lengthSec: number): number {
    const from = Math.max(0, Math.ceil((utcSec - this.night.start) / this.cellSec));
    const length = Math.ceil(lengthSec / this.cellSec);
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
    while (cell >= 0) {
      if (this.near[cell] > 0) cell--;
      else {
        const blocked = this.firstFull(cell, length);
        if (blocked < 0) return this.night.start + cell * this.cellSec;
        cell = blocked - length;
      }
    }
    return Number.NEGATIVE_INFINITY;
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
    const to = Math.min(this.cells, from + length);
    for (let cell = from; cell < to; cell++) if (this.open[cell] >= this.caps.atOnce) return cell;
    return -1;
  }

  private lastFull(from: number, length: number): number {
    for (let cell = Math.min(this.cells, from + length) - 1; cell >= from; cell--)
      if (this.open[cell] >= this.caps.atOnce) return cell;
    return -1;
  }

  private mark({ start, end }: Span, by: 1 | -1): void {
    const { night, cellSec, cells, caps } = this;
    const clip = (cell: number) => Math.min(cells, Math.max(0, cell));
    const [from, to] = [start - night.start, end - night.start];
    const last = clip(Math.ceil(to / cellSec));
    for (let cell = clip(Math.floor(from / cellSec)); cell < last; cell++) this.open[cell] += by;
    // Starts less than the stagger away on either side.
    const reach = clip(Math.ceil((from + caps.staggerSec) / cellSec));
    for (let cell = clip(Math.floor((from - caps.staggerSec) / cellSec) + 1); cell < reach; cell++)
      this.near[cell] += by;
  }
}
