// What a controller may take the time to be: what the host has told it, right or wrong, until the controller's
// own word shows what it made of that. A controller that was lied to may test at the wrong hour.
import { Limit } from '../../firmware/contract/limits';
import type { BoardPlant } from '../plant/board';

/** A state message tells whole seconds, is under way for a while, and its clock drifts, ms. */
const NEAR_MS = 60_000;
/** So long an answer counts whatever is heard: messages may overtake each other, ms. */
const FRESH_MS = 120_000;

interface Told {
  off: number;
  at: number;
}

export class ToldTime {
  private believed: Told[] = [{ off: 0, at: 0 }];
  /** When the controller's clock was last seen to be as told. */
  private rightAt = 0;

  /** The host answers with a time that is wrong by so much, ms. */
  told(off: number, at: number): void {
    const known = this.believed.find((one) => one.off === off);
    if (known) known.at = at;
    else this.believed.push({ off, at });
  }

  /** The controller's clock is ahead of the true time by so much, ms. */
  heard(ahead: number, at: number): void {
    if (!this.believed.some(({ off }) => Math.abs(off - ahead) <= NEAR_MS)) return;
    this.rightAt = at;
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
    return isWild ? undefined : this.believed.map(({ off }) => off);
  }
}
