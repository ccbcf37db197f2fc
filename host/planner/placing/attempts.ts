import type { TestKind } from '../../../firmware/contract/codes';
import type { Span } from '../nights/calendar';

/** An attempt at a test on a night, with its slot. */
export interface Attempt extends Span {
  /** None where only no other test may be. */
  kind: TestKind;
}

/** A night that is held for an attempt whose slot was announced, or kept free of tests. */
export function held(kind: TestKind): Attempt {
  return { kind, start: 0, end: 0 };
}

/**
 * The attempts of one circuit, by index of a night. There are so few that looking through them takes no longer than a
 * hash table, which would be the largest part of what a plan holds.
 */
export class Attempts {
  private readonly nights: number[] = [];
  private readonly made: Attempt[] = [];

  get size(): number {
    return this.nights.length;
  }

  has(place: number): boolean {
    return this.indexOf(place) >= 0;
  }

  get(place: number): Attempt | undefined {
    const i = this.indexOf(place);
    return i < 0 ? undefined : this.made[i];
  }

  /** Puts an attempt on a night, in place of the one that is there. */
  set(place: number, attempt: Attempt): void {
    const i = this.indexOf(place);
    if (i >= 0) this.made[i] = attempt;
    else {
      this.nights.push(place);
      this.made.push(attempt);
    }
  }

  delete(place: number): void {
    const i = this.indexOf(place);
    if (i < 0) return;
    this.nights.splice(i, 1);
    this.made.splice(i, 1);
  }

  /** The nights with an attempt, as they came. */
  places(): readonly number[] {
    return this.nights;
  }

  private indexOf(place: number): number {
    const { nights } = this;
    // The latest first: most questions are about nights beside it.
    for (let i = nights.length - 1; i >= 0; i--) if (nights[i] === place) return i;
    return -1;
  }
}
