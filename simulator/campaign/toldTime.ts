// What a controller may take the time to be: what the host has told it, right or wrong, until the controller's
// own word shows what it made of that. A controller that was lied to twice may test at the wrong hour.
import { Limit } from '../../firmware/contract/limits';
import type { BoardPlant } from '../plant/board';

/** A state message tells whole seconds, is under way for a while, and its clock drifts, ms. */
const NEAR_MS = 60_000;
/** A clock that was put right after its crystal had run off shows that by so much, ms. */
const RIGHT_MS = 4000;
/** So long an answer counts whatever is heard: messages may overtake each other, ms. */
const FRESH_MS = 120_000;

interface Told {
  off: number;
  /** Told first, and last, since anything else was told. */
  since: number;
  at: number;
  /** The controller may have had no other to hold it against, or was heard to go by it. */
  isTaken: boolean;
}

/** By how much broken crystals may have put the clock off between two instants, ms. */
function runOffMs(board: BoardPlant, since: number, until: number): number {
  const spans = board.crystalFaults.map(
    ({ ppm, from, to }) => Math.max(0, Math.min(to, until) - Math.max(from, since)) * Math.abs(ppm),
  );
  return spans.reduce((sum, one) => sum + one, 0) / 1e6;
}

export class ToldTime {
  private believed: Told[] = [{ off: 0, since: 0, at: 0, isTaken: true }];
  private lastOff = 0;
  /** When each time was first told in this run of its program, and which run that is. */
  private readonly firstTold = new Map<number, number>();
  private toldBoot = 0;
  /** When the controller's clock was last seen to be as told, and in which run of its program. */
  private rightAt = 0;
  private rightBoot = 0;

  /** The host answers a controller with a time that is wrong by so much, ms. */
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
    // A contradiction counts when it is repeated; what a controller hears first after its start always does.
    const first = this.firstTold.get(off) ?? at;
    const isRepeated = at - Math.min(one.since, first) >= Limit.ClockConfirmMs - Limit.TimeAnswerMs;
    // What agrees with an older contradiction confirms it, however long ago that was.
    one.isTaken ||= isRepeated || boot !== this.rightBoot || this.isHonest(off, at);
    one.isTaken ||= this.isToldTwice(board, off, at, boot);
    this.lastOff = off;
  }

  /** Whether two honest clocks may differ by so much: that is taken at once. */
  private isHonest(off: number, at: number): boolean {
    return this.believed.some((known) => {
      const apart = at - known.at + Limit.ClockAnchorMs;
      const most = 2 * Limit.TimeAnswerMs + (apart * Limit.DriftPpm) / 1e6;
      return known.isTaken && Math.abs(known.off - off) <= most;
    });
  }

  /** Whether two answers, far enough apart, may have put the clock ahead by so much, ms. */
  isToldTwice(board: BoardPlant, ahead: number, at: number, boot: number): boolean {
    if (boot !== this.toldBoot) return false;
    const apart = Limit.ClockConfirmMs - 2 * Limit.TimeAnswerMs;
    return [...this.firstTold].some(([off, first]) => {
      const honest = 2 * Limit.TimeAnswerMs + ((at - first) * Limit.DriftPpm) / 1e6;
      const most = RIGHT_MS + honest + runOffMs(board, first, at);
      return Math.abs(off - ahead) <= most && at - first >= apart;
    });
  }

  /** The controller's clock is ahead of the true time by so much, ms. */
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
   * By how much the controller's clock may be ahead at `now`, ms; undefined while nobody can say, because its
   * crystal runs further off than any that is sold.
   */
  offsets(board: BoardPlant, now: number): number[] | undefined {
    const isWild = board.crystalFaults.some(
      ({ ppm, from, to }) => Math.abs(ppm) > Limit.DriftPpm && from <= now && to > this.rightAt,
    );
    if (isWild) return undefined;
    return this.believed.filter(({ isTaken }) => isTaken).map(({ off }) => off);
  }
}
