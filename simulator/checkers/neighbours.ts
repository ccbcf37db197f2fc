// I7 between controllers simulated one by one: no circuit opens while a neighbour is discharged or
// recharging. What each did in a span of time is compared with what its neighbours did.
import type { Span } from '../plant/spans';

/** What one controller did in a span of time, simulated ms. */
export interface Openings {
  at: number[];
  /** From each loss of supply after its first opening until its batteries were full again. */
  owed: Span[];
}

export interface Neighbour {
  circuit: string;
  neighbours: string[];
}

export class NeighbourCheck {
  readonly violations: string[] = [];
  private readonly index: Map<string, number>;
  /** Recharges that reach into the next span. */
  private readonly left: Span[][];

  constructor(
    private readonly circuits: Neighbour[],
    private readonly startUtcMs: number,
  ) {
    this.index = new Map(circuits.map(({ circuit }, i) => [circuit, i]));
    this.left = circuits.map(() => []);
  }

  /** Checks a span of time that ended at `until`, given what every controller did in it. */
  check(done: Openings[], until: number): void {
    const owed = done.map((one, i) => this.left[i].concat(one.owed));
    done.forEach((one, i) => {
      for (const at of one.at) this.checkOpening(this.circuits[i], at, owed);
    });
    owed.forEach((spans, i) => {
      this.left[i] = spans.filter((span) => span.to > until);
    });
  }

  private checkOpening(who: Neighbour, at: number, owed: Span[][]): void {
    for (const id of who.neighbours) {
      const spans = owed[this.index.get(id) as number];
      if (!spans.some((span) => span.from <= at && at < span.to)) continue;
      const when = new Date(this.startUtcMs + at).toISOString();
      this.violations.push(
        `${who.circuit} at ${when}: I7 opened while its neighbour ${id} is discharged or recharging`,
      );
    }
  }
}
