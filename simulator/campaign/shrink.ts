// Shrinks a run that broke something: drops circuits, faults, orders, luminaires and days as long as the same
// thing still breaks (delta debugging after Zeller and Hildebrandt 2002, its complement half).
import { type Cut, type HostForm, type RunOutcome, sceneOf } from './run';
import { DAY_MS, type RunNumber } from './site';

/** Most runs that shrinking may take; those with a real host take seconds each. */
const MOST_TRIES: { [form in HostForm]: number } = { 'in memory': 400, real: 60 };

/** What broke, without place, time and numbers. */
export function claimOf(violation: string): string {
  return violation.replace(/^.*?Z: /, '').replace(/\d+/g, 'n');
}

/** Plays a run, cut down as asked. */
export type Play = (at: RunNumber, cut: Cut) => RunOutcome | Promise<RunOutcome>;

class Shrinking {
  tries = 0;
  cut: Cut;
  outcome: RunOutcome;
  private readonly claim: string;

  constructor(
    private readonly at: RunNumber,
    first: RunOutcome,
    private readonly form: HostForm,
    private readonly play: Play,
  ) {
    this.claim = claimOf(first.violations[0]);
    this.outcome = first;
    this.cut = {};
  }

  /** Adopts the smaller run if the same thing breaks in it. */
  async take(smaller: Cut): Promise<boolean> {
    if (this.isOver()) return false;
    this.tries++;
    const cut = { ...this.cut, ...smaller };
    const outcome = await this.play(this.at, cut);
    if (!outcome.violations.some((violation) => claimOf(violation) === this.claim)) return false;
    this.cut = cut;
    this.outcome = outcome;
    return true;
  }

  private isOver(): boolean {
    return this.tries >= MOST_TRIES[this.form];
  }

  private scene() {
    return sceneOf(this.at, this.cut, this.form);
  }

  /** Nothing after the breach can have caused it. */
  private async dropLater(): Promise<void> {
    const { incidents } = this.scene();
    await this.take({
      keep: incidents.filter(({ at }) => at <= this.outcome.endedAt).map(({ number }) => number),
    });
  }

  private async dropDays(): Promise<void> {
    await this.take({ days: Math.ceil(this.outcome.endedAt / DAY_MS) + 1 });
  }

  private async dropCircuits(): Promise<void> {
    for (const { spec } of this.scene().site.circuits) {
      const left = this.scene().site.circuits.map((c) => c.spec.circuit);
      if (left.length > 1) await this.take({ circuits: left.filter((name) => name !== spec.circuit) });
    }
  }

  /** Drops smaller and smaller groups of the remaining incidents. */
  private async dropIncidents(): Promise<void> {
    let parts = 2;
    while (!this.isOver()) {
      const left = this.scene().incidents.map(({ number }) => number);
      const size = Math.ceil(left.length / parts);
      let isSmaller = false;
      for (let from = 0; from < left.length && !isSmaller; from += size)
        isSmaller = await this.take({ keep: [...left.slice(0, from), ...left.slice(from + size)] });
      if (isSmaller) parts = Math.max(2, parts - 1);
      else if (size <= 1) return;
      else parts = Math.min(left.length, parts * 2);
    }
  }

  private async dropLamps(): Promise<void> {
    for (const lamps of [1, 2, 3, 4, 6, 8]) if (await this.take({ lamps })) return;
  }

  async run(): Promise<void> {
    await this.dropLater();
    await this.dropDays();
    await this.dropCircuits();
    await this.dropIncidents();
    await this.dropLamps();
    await this.dropDays();
    await this.dropIncidents();
  }
}

export interface Shrunk {
  cut: Cut;
  outcome: RunOutcome;
  tries: number;
}

/** The smallest run found that breaks in the same way as `first`, the outcome of the whole run. */
export async function shrink(at: RunNumber, first: RunOutcome, form: HostForm, play: Play): Promise<Shrunk> {
  const s = new Shrinking(at, first, form, play);
  await s.run();
  return { cut: s.cut, outcome: s.outcome, tries: s.tries };
}
