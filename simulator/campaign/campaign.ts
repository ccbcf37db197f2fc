// A whole campaign: many runs on several threads, what came of them, and the smallest form of what broke.
import type { Mutant } from '../explore/mutant';
import type { FaultKind } from '../faults';
import { Pool } from './pool';
import { replayCommand } from './replay';
import type { Cut, RunOutcome } from './run';
import type { Shrunk } from './shrink';
import { DAY_MS } from './site';

export interface CampaignReport {
  runs: number;
  controllerYears: number;
  faultsInjected: { [kind in FaultKind]?: number };
  violations: number;
  recordsLost: number;
  recordsDuplicated: number;
  seconds: number;
}

export interface CampaignOptions {
  runs: number;
  seed: number;
  workers: number;
  /** A deliberately broken core in place of the shipped one. */
  mutant?: Mutant;
  /** Stop at the lowest run that breaks anything. */
  untilBroken?: boolean;
  /** Do not shrink what broke. */
  isLeftLarge?: boolean;
  /** Called for every finished run, with what broke in it. */
  onRun?: (run: number, violations: string[]) => void;
}

export interface Finding {
  run: number;
  shrunk: Shrunk;
  /** The one command that replays it. */
  command: string;
}

export interface Campaign {
  report: CampaignReport;
  /** The lowest runs that broke something, shrunk. */
  findings: Finding[];
}

/** Runs to shrink; the others are reported by number only. */
const MOST_FINDINGS = 3;

class Totals {
  runs = 0;
  private readonly faults = new Map<FaultKind, number>();
  violations = 0;
  lost = 0;
  duplicated = 0;
  /** Whole ms, so that the order of addition does not matter. */
  controllerMs = 0;
  readonly broken: number[] = [];

  add(run: number, o: RunOutcome): void {
    this.runs++;
    this.violations += o.violations.length;
    this.lost += o.lost;
    this.duplicated += o.duplicated;
    this.controllerMs += o.controllerMs;
    for (const [kind, count] of Object.entries(o.faults) as [FaultKind, number][])
      this.faults.set(kind, (this.faults.get(kind) ?? 0) + count);
    if (o.violations.length > 0) this.broken.push(run);
  }

  report(seconds: number): CampaignReport {
    const kinds = [...this.faults].sort(([a], [b]) => (a < b ? -1 : 1));
    return {
      runs: this.runs,
      controllerYears: Math.round(this.controllerMs / (365 * DAY_MS)),
      faultsInjected: Object.fromEntries(kinds),
      violations: this.violations,
      recordsLost: this.lost,
      recordsDuplicated: this.duplicated,
      seconds,
    };
  }
}

/** Runs a campaign. The same seed gives the same result on any number of threads, except for `seconds`. */
export async function campaign(o: CampaignOptions): Promise<Campaign> {
  const began = performance.now();
  const pool = await Pool.start(o.workers, o.mutant);
  const totals = new Totals();
  try {
    let run = 0;
    const isOver = () => run >= o.runs || (o.untilBroken === true && totals.broken.length > 0);
    await pool.all(
      () => (isOver() ? undefined : { at: { seed: o.seed, run: run++ }, cut: {}, isShrinking: false }),
      ({ at }, { outcome }) => {
        totals.add(at.run, outcome);
        o.onRun?.(at.run, outcome.violations);
      },
    );
    const seconds = Math.round(performance.now() - began) / 1000;
    const findings = o.isLeftLarge ? [] : await makeSmall(pool, o, totals.broken);
    return { report: totals.report(seconds), findings };
  } finally {
    await pool.stop();
  }
}

async function makeSmall(pool: Pool, o: CampaignOptions, broken: number[]): Promise<Finding[]> {
  const runs = broken.sort((a, b) => a - b).slice(0, o.untilBroken ? 1 : MOST_FINDINGS);
  const findings: Finding[] = [];
  await pool.all(
    () => {
      const run = runs.shift();
      return run === undefined ? undefined : { at: { seed: o.seed, run }, cut: {}, isShrinking: true };
    },
    ({ at }, { shrunk }) => {
      if (!shrunk) return;
      findings.push({ run: at.run, shrunk, command: replayCommand(at, shrunk.cut, o.mutant?.name) });
    },
  );
  return findings.sort((a, b) => a.run - b.run);
}

/** Repeats one run, cut down as asked. */
export async function replayRun(
  at: { seed: number; run: number },
  cut: Cut,
  mutant?: Mutant,
): Promise<RunOutcome> {
  const pool = await Pool.start(1, mutant);
  try {
    let outcome: RunOutcome | undefined;
    const jobs = [{ at, cut, isShrinking: false }];
    await pool.all(
      () => jobs.shift(),
      (_, answer) => {
        outcome = answer.outcome;
      },
    );
    return outcome as RunOutcome;
  } finally {
    await pool.stop();
  }
}
