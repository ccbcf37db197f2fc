// Jumps of a controller's clock as its records tell them: several in one direction within a day are an error of rate.
import { Limit } from '../../firmware/contract/limits';

/** Less than the day of the rule, for what lies between a jump and its record, s. */
const DAY_SEC = 86_000;

export class Jumps {
  private direction = 0;
  private count = 0;
  private firstAt = 0;
  /** Seconds put forward since the first: what the clock shows less than has passed. */
  private moved = 0;

  /** The clock was put forward by `seconds`, or back, and then showed `utc`. */
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
