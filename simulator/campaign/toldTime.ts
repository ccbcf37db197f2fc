// What a controller may take the time to be: what the host has sent, right or wrong, until the controller's
// own messages show what it made of that. A controller given a wrong time twice may test at the wrong hour.
import { Limit } from '../../firmware/contract/limits';
import type { BoardPlant } from '../plant/board';

/**
 * Tolerance for a state message: it carries whole seconds, takes time to arrive, and its clock drifts, ms.
 */
const NEAR_MS = 60_000;
/** Largest error left after a clock with a broken crystal is corrected, ms. */
const RIGHT_MS = 4000;
/** An answer counts for this long whatever else arrives, because messages may overtake each other, ms. */
const FRESH_MS = 120_000;

interface Told {
  off: number;
  /** When it was first sent, and last sent before anything else was. */
  since: number;
  at: number;
  /** The controller may have had nothing to compare it with, or has been seen to follow it. */
  isTaken: boolean;
}

/** How far broken crystals may have moved the clock between two instants, ms. */
function runOffMs(board: BoardPlant, since: number, until: number): number {
  const spans = board.crystalFaults.map(
    ({ ppm, from, to }) => Math.max(0, Math.min(to, until) - Math.max(from, since)) * Math.abs(ppm),
  );
  return spans.reduce((sum, one) => sum + one, 0) / 1e6;
}

export class ToldTime {
  private believed: Told[] = [{ off: 0, since: 0, at: 0, isTaken: true }];
  private lastOff = 0;
  /** When each time was first sent in this run of the program, and which run that is. */
  private readonly firstTold = new Map<number, number>();
  private toldBoot = 0;
  /** When the controller's clock last agreed with the host's, and in which run of the program. */
  private rightAt = 0;
  private rightBoot = 0;

  /** The host sends the controller a time that is off by this much, ms. */
  told(board: BoardPlant, off: number, at: number, boot: number): void {
    if (boot !== this.toldBoot) this.firstTold.clear();
    this.toldBoot = boot;
    if (!this.firstTold.has(off)) this.firstTold.set(off, at);
    let one = this.believed.find((known) => known.off === off);
    if (!one) {
      one = { off, since: at, at, isTaken: false };
      this.believed.push(one);
    }
    if (this.lastOff !== off) one.since = at;
    one.at = at;
    // A contradiction counts once repeated; the first answer after a start always counts.
    const first = this.firstTold.get(off) ?? at;
    const isRepeated = at - Math.min(one.since, first) >= Limit.ClockConfirmMs - Limit.TimeAnswerMs;
    // An answer that agrees with an older contradiction confirms it, however old.
    one.isTaken ||= isRepeated || boot !== this.rightBoot || this.isHonest(off, at);
    one.isTaken ||= this.isToldTwice(board, off, at, boot);
    this.lastOff = off;
  }

  /** Whether two honest clocks may differ by this much; such a difference is accepted at once. */
  private isHonest(off: number, at: number): boolean {
    return this.believed.some((known) => {
      const apart = at - known.at + Limit.ClockAnchorMs;
      const most = 2 * Limit.TimeAnswerMs + (apart * Limit.DriftPpm) / 1e6;
      return known.isTaken && Math.abs(known.off - off) <= most;
    });
  }

  /** Whether two answers, far enough apart, may have moved the clock ahead by this much, ms. */
  isToldTwice(board: BoardPlant, ahead: number, at: number, boot: number): boolean {
    if (boot !== this.toldBoot) return false;
    const apart = Limit.ClockConfirmMs - 2 * Limit.TimeAnswerMs;
    return [...this.firstTold].some(([off, first]) => {
      const honest = 2 * Limit.TimeAnswerMs + ((at - first) * Limit.DriftPpm) / 1e6;
      const most = RIGHT_MS + honest + runOffMs(board, first, at);
      return Math.abs(off - ahead) <= most && at - first >= apart;
    });
  }

  /** The controller's clock is this far ahead of true time, ms. */
  heard(ahead: number, at: number, boot: number): void {
    if (!this.believed.some(({ off }) => Math.abs(off - ahead) <= NEAR_MS)) return;
    if (this.believed.some(({ off }) => Math.abs(off - ahead) <= RIGHT_MS)) this.rightAt = at;
    this.rightBoot = boot;
    for (const one of this.believed) one.isTaken ||= Math.abs(one.off - ahead) <= NEAR_MS;
    this.believed = this.believed.filter(
      (one) => Math.abs(one.off - ahead) <= NEAR_MS || at - one.at < FRESH_MS,
    );
  }

  /**
   * How far the controller's clock may be ahead at `now`, ms; undefined while unknown, because its crystal
   * runs further off than any on sale.
   */
  offsets(board: BoardPlant, now: number): number[] | undefined {
    const isWild = board.crystalFaults.some(
      ({ ppm, from, to }) => Math.abs(ppm) > Limit.DriftPpm && from <= now && to > this.rightAt,
    );
    if (isWild) return undefined;
    return this.believed.filter(({ isTaken }) => isTaken).map(({ off }) => off);
  }
}
