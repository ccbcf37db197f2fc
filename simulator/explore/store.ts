// Worlds waiting to be explored further, and the path that led to each.
import type { Action, World } from './world';
import { ACTIONS, type WorldShapes } from './world';

const NOTHING: string[] = [];

/** A stack of worlds, each a row of integers and the texts of its journal. */
export class Frontier {
  private rows: Int32Array;
  private readonly journals: string[][] = [];
  private readonly waiting: string[][] = [];
  size = 0;

  constructor(private readonly shapes: WorldShapes) {
    this.rows = new Int32Array(64 * shapes.words);
  }

  push(w: World): void {
    const at = this.size * this.shapes.words;
    if (at + this.shapes.words > this.rows.length) {
      const wider = new Int32Array(this.rows.length * 2);
      wider.set(this.rows);
      this.rows = wider;
    }
    this.put(w, at);
    this.size++;
  }

  private put(w: World, at: number): void {
    this.shapes.world.save(w, this.rows, at);
    this.shapes.core.save(w.core, this.rows, at + this.shapes.world.words);
    this.journals[this.size] = w.journal;
    this.waiting[this.size] = w.core.outCount > 0 ? w.core.out.slice(0, w.core.outCount) : NOTHING;
  }

  /** Loads the newest world without removing it. */
  peek(into: World): void {
    const at = (this.size - 1) * this.shapes.words;
    this.shapes.world.load(into, this.rows, at);
    this.shapes.core.load(into.core, this.rows, at + this.shapes.world.words);
    into.journal = this.journals[this.size - 1];
    if (into.core.outCount > 0) into.core.out = this.waiting[this.size - 1].slice();
  }

  pop(into: World): void {
    this.peek(into);
    this.size--;
    this.journals.length = this.size;
    this.waiting.length = this.size;
  }
}

/** What may happen to the writes of a move: nothing, power lost at a boundary, or one write that fails. */
export interface Fate {
  /** Power is lost after this many writes of the move; -1: never. */
  cutAfter: number;
  /** Number of the write that fails, from 0; -1: none. */
  failAt: number;
}

export const NO_FATE: Fate = { cutAfter: -1, failAt: -1 };

/** The move that led to each world, back to the first. */
export class Path {
  private parents = new Int32Array(1024);
  private moves = new Int32Array(1024);
  private instants = new Int32Array(1024);
  size = 0;

  /** @returns the number of the new entry, the parent of what follows */
  add(parent: number, action: Action, fate: Fate, now: number): number {
    if (this.size === this.parents.length) {
      this.parents = doubled(this.parents);
      this.moves = doubled(this.moves);
      this.instants = doubled(this.instants);
    }
    this.parents[this.size] = parent;
    this.moves[this.size] = ACTIONS.indexOf(action) * 4096 + (fate.cutAfter + 1) * 64 + fate.failAt + 1;
    this.instants[this.size] = now;
    return this.size++;
  }

  /** The moves up to `entry` as sentences, without the waits. */
  pathTo(entry: number): string[] {
    const path: string[] = [];
    for (let at = entry; at >= 0; at = this.parents[at]) {
      const move = this.moves[at];
      const action = ACTIONS[Math.floor(move / 4096)];
      const cut = ((move >> 6) & 63) - 1;
      const fail = (move & 63) - 1;
      const fate =
        cut >= 0 ? `, power lost after ${cut} writes` : fail >= 0 ? `, write ${fail + 1} fails` : '';
      if (action !== 'wait' || fate !== '')
        path.unshift(`${(this.instants[at] / 1000).toFixed(2)} s ${action}${fate}`);
    }
    return path;
  }
}

function doubled(array: Int32Array): Int32Array<ArrayBuffer> {
  const wider = new Int32Array(array.length * 2);
  wider.set(array);
  return wider;
}
