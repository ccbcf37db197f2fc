// Shrinks a run that broke something: drops circuits, faults, orders, luminaires and days as long as the same
// thing still breaks (delta debugging after Zeller and Hildebrandt 2002, its complement half).
import { CampaignRun, type Cut, type RunOutcome, sceneOf } from './run';
import { DAY_MS, type RunNumber } from './site';

/** Most runs that shrinking may take. */
const MOST_TRIES = 400;

/** What broke, without place, time and numbers. */
export function claimOf(violation: string): string {
  return violation.replace(/^.*?Z: /, '').replace(/\d+/g, 'n');
}

export function runCut(at: RunNumber, cut: Cut): RunOutcome {
  return new CampaignRun(sceneOf(at, cut)).run();
}

class Shrinking {
  tries = 0;
  cut: Cut;
  outcome: RunOutcome;
  private readonly claim: string;

  constructor(
    private readonly at: RunNumber,
    first: RunOutcome,
  ) {
    this.claim = claimOf(first.violations[0]);
    this.outcome = first;
    this.cut = {};
  }

  /** Adopts the smaller run if the same thing breaks in it. */
  take(smaller: Cut): boolean {
    if (this.tries >= MOST_TRIES) return false;
    this.tries++;
    const cut = { ...this.cut, ...smaller };
    const outcome = runCut(this.at, cut);
    if (!outcome.violations.some((violation) => claimOf(violation) === this.claim)) return false;
    this.cut = cut;
    this.outcome = outcome;
    return true;
  }

  /** Nothing after the breach can have caused it. */
  private dropLater(): void {
    const { incidents } = sceneOf(this.at, this.cut);
    this.take({ keep: incidents.filter(({ at }) => at <= this.outcome.endedAt).map(({ number }) => number) });
  }

  private dropDays(): void {
    this.take({ days: Math.ceil(this.outcome.endedAt / DAY_MS) + 1 });
  }

  private dropCircuits(): void {
    for (const { spec } of sceneOf(this.at, this.cut).site.circuits) {
      const left = sceneOf(this.at, this.cut).site.circuits.map((c) => c.spec.circuit);
      if (left.length > 1) this.take({ circuits: left.filter((name) => name !== spec.circuit) });
    }
  }

  /** Drops smaller and smaller groups of the remaining incidents. */
  private dropIncidents(): void {
    let parts = 2;
    while (this.tries < MOST_TRIES) {
      const left = sceneOf(this.at, this.cut).incidents.map(({ number }) => number);
      const size = Math.ceil(left.length / parts);
      let isSmaller = false;
      for (let from = 0; from < left.length && !isSmaller; from += size)
        isSmaller = this.take({ keep: [...left.slice(0, from), ...left.slice(from + size)] });
      if (isSmaller) parts = Math.max(2, parts - 1);
      else if (size <= 1) return;
      else parts = Math.min(left.length, parts * 2);
    }
  }

  private dropLamps(): void {
    for (const lamps of [1, 2, 3, 4, 6, 8]) if (this.take({ lamps })) return;
  }

  run(): void {
    this.dropLater();
    this.dropDays();
    this.dropCircuits();
    this.dropIncidents();
    this.dropLamps();
    this.dropDays();
    this.dropIncidents();
  }
}

export interface Shrunk {
  cut: Cut;
  outcome: RunOutcome;
  tries: number;
}

/** The smallest run found that breaks in the same way as `first`, the outcome of the whole run. */
export function shrink(at: RunNumber, first: RunOutcome): Shrunk {
  const s = new Shrinking(at, first);
  s.run();
  return { cut: s.cut, outcome: s.outcome, tries: s.tries };
}
