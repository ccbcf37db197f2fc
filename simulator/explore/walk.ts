// Walks every reachable world once, and stops at the first broken claim.
import type { Phase } from '../../firmware/contract/codes';
import { type Move, make, movesOf } from './actions';
import { keyOf } from './key';
import { SeenWorlds } from './seen';
import type { WorldOptions } from './small';
import { Frontier, NO_FATE, Path } from './store';
import type { Subject } from './subject';
import { begin, type Ground } from './turn';
import type { World } from './world';

export interface WalkReport {
  states: number;
  transitions: number;
  /** The claim that broke, '' when none did. */
  broken: string;
  /** The path to it: time in s and action, without the waits. */
  path: string[];
  /** Phases and ends of tests that were reached: a walk that reaches little proves little. */
  phases: Set<number>;
  ends: Set<number>;
  /** True when the walk ended because its table was full, not because it had seen everything. */
  cut: boolean;
}

/** How many worlds may wait while others with more disturbances left are explored first. */
const PATIENCE = 200000;

class Walk {
  readonly report: WalkReport;
  private readonly g: Ground;
  /** The world at hand: loaded, moved on, judged. */
  private readonly w: World;
  private readonly seen: SeenWorlds;
  private readonly trail = new Path();
  /** By disturbances left: worlds with more left come first, so that those with fewer need no second look. */
  private readonly piles: Frontier[] = [];
  /** The world that is being explored. */
  private readonly from: Frontier;

  constructor(s: Subject, options: WorldOptions, bits: number) {
    const { g, w } = begin(s, options);
    this.g = g;
    this.w = w;
    this.seen = new SeenWorlds(bits);
    this.report = {
      states: 0,
      transitions: 0,
      broken: '',
      path: [],
      phases: new Set(),
      ends: new Set(),
      cut: false,
    };
    for (let left = 0; left <= options.disturbances; left++) this.piles.push(new Frontier(g.shapes));
    this.from = new Frontier(g.shapes);
    this.keep();
  }

  run(): WalkReport {
    const { w, report } = this;
    for (let pile = this.next(); pile; pile = this.next()) {
      pile.pop(w);
      if (w.now > w.times.horizon * 1000) continue;
      this.from.push(w);
      for (const move of movesOf(w, this.g.options)) this.branch(move);
      this.from.size = 0;
      if (report.broken !== '') break;
      report.cut = this.seen.isFull();
      if (report.cut) break;
    }
    report.states = this.seen.size;
    return report;
  }

  private next(): Frontier | undefined {
    if (this.piles[0].size > PATIENCE) return this.piles[0];
    return this.piles.findLast((pile) => pile.size > 0);
  }

  /** The move as it is, and with everything that can happen to its writes. */
  private branch(move: Move): void {
    const writes = this.go(move, -1, -1);
    if (writes === 0 || this.w.left === 0) return;
    const unlucky = { action: move.action, cost: move.cost + 1 };
    for (let i = 0; i <= writes; i++) this.go(unlucky, i, -1);
    for (let i = 0; i < writes; i++) this.go(unlucky, -1, i);
  }

  /** @returns how many records the move wrote */
  private go(move: Move, cutAfter: number, failAt: number): number {
    const { w, report } = this;
    if (report.broken !== '') return 0;
    this.from.peek(w);
    const parent = w.trail;
    w.writes = 0;
    w.cutAfter = cutAfter;
    w.failAt = failAt;
    make(this.g, w, move);
    report.transitions++;
    report.phases.add(w.core.phase);
    report.ends.add(w.core.end);
    const isBroken = w.broken !== '';
    if (!isBroken && !this.seen.add(keyOf(w), w.left)) return w.writes;
    w.trail = this.trail.add(parent, move.action, { cutAfter, failAt }, w.now);
    if (isBroken) this.tell();
    else this.piles[w.left].push(w);
    return w.writes;
  }

  private keep(): void {
    this.seen.add(keyOf(this.w), this.w.left);
    this.w.trail = this.trail.add(-1, 'wait', NO_FATE, 0);
    this.piles[this.w.left].push(this.w);
  }

  private tell(): void {
    const { w, report } = this;
    const end = `${(w.now / 1000).toFixed(2)} s ${w.broken} (phase ${w.core.phase as Phase})`;
    report.broken = w.broken;
    report.path = [...this.trail.pathTo(w.trail), end];
  }
}

/**
 * Explores from power-on.
 * @param bits size of the table of seen worlds, see SeenWorlds
 */
export function walk(s: Subject, options: WorldOptions, bits: number): WalkReport {
  return new Walk(s, options, bits).run();
}
