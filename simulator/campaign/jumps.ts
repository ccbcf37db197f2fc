// Jumps of a controller's clock as its records show them: several in one direction within a day mean the rate
// is wrong.
import { Limit } from '../../firmware/contract/limits';

/** A little less than the rule's day, to allow for the time between a jump and its record, s. */
const DAY_SEC = 86_000;

export class Jumps {
  private direction = 0;
  private count = 0;
  private firstAt = 0;
  /** Seconds added since the first jump: how far the clock lags real time. */
  private moved = 0;

  /** The clock was moved by `seconds`, forward or back, and then read `utc`. */
  add(utc: number, seconds: number): void {
    const direction = Math.sign(seconds);
    const passed = utc - this.firstAt - (this.moved + seconds);
    if (direction === this.direction && passed < DAY_SEC) {
      this.count++;
      this.moved += seconds;
      return;
    }
    this.direction = direction;
    this.count = 1;
    this.firstAt = utc;
    this.moved = 0;
  }

  forget(): void {
    this.direction = 0;
    this.count = 0;
  }

  areTooMany(): boolean {
    return this.count >= Limit.ClockJumps;
  }
}
