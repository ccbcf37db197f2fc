// A whole campaign: many runs on several threads, what came of them, and the smallest form of what broke.
import type { Mutant } from '../explore/mutant';
import type { FaultKind } from '../faults';
import type { Job } from './jobs';
import type { MisfortuneKind } from './misfortunes';
import { Pool, type RealThreads } from './pool';
import { replayCommand } from './replay';
import type { Cut, HostForm, HostOutcome, RunOutcome } from './run';
import type { Shrunk } from './shrink';
import { DAY_MS, type RunNumber } from './site';

export interface CampaignReport {
  runs: number;
  controllerYears: number;
  faultsInjected: { [kind in FaultKind]?: number };
  violations: number;
  recordsLost: number;
  recordsDuplicated: number;
  /** Runs with a real host, and what happened to their hosts together. */
  realHosts: HostOutcome & { runs: number };
  seconds: number;
}

/** Runs with a real host: run 0 and every so many from there. */
export interface RealShare extends RealThreads {
  every: number;
}

export interface CampaignOptions {
  runs: number;
  seed: number;
  workers: number;
  /** Without it every host is played in memory. */
  real?: RealShare;
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
  form: HostForm;
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

function newHosts(): HostOutcome & { runs: number } {
  return {
    ...{ runs: 0, misfortunes: {}, starts: 0, gaveUp: 0, callsFailed: 0, sectorsLost: 0 },
    ...{ acknowledged: 0, newerThanBackup: 0, neverAgain: 0 },
  };
}

/** Counts by kind, in alphabetical order. */
function sorted<K extends string>(counts: Map<K, number>): { [kind in K]?: number } {
  return Object.fromEntries([...counts].sort(([a], [b]) => (a < b ? -1 : 1))) as { [kind in K]?: number };
}

function add<K extends string>(counts: Map<K, number>, more: { [kind in K]?: number }): void {
  for (const [kind, count] of Object.entries(more) as [K, number][])
    counts.set(kind, (counts.get(kind) ?? 0) + count);
}

class Totals {
  runs = 0;
  private readonly misfortunes = new Map<MisfortuneKind, number>();
  private readonly hosts = newHosts();
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
    add(this.faults, o.faults);
    if (o.host) this.addHost(o.host);
    if (o.violations.length > 0) this.broken.push(run);
  }

  private addHost({ misfortunes, ...counts }: HostOutcome): void {
    add(this.misfortunes, misfortunes);
    this.hosts.runs++;
    for (const name of Object.keys(counts) as (keyof typeof counts)[]) this.hosts[name] += counts[name];
  }

  report(seconds: number): CampaignReport {
    return {
      runs: this.runs,
      controllerYears: Math.round(this.controllerMs / (365 * DAY_MS)),
      faultsInjected: sorted(this.faults),
      violations: this.violations,
      recordsLost: this.lost,
      recordsDuplicated: this.duplicated,
      realHosts: { ...this.hosts, misfortunes: sorted(this.misfortunes) },
      seconds,
    };
  }
}

/** How the host of a run is played. */
function formOf(run: number, { real }: CampaignOptions): HostForm {
  return real && run % real.every === 0 ? 'real' : 'in memory';
}

/** Runs a campaign. The same seed gives the same result on any number of threads, except for `seconds`. */
export async function campaign(o: CampaignOptions): Promise<Campaign> {
  const began = performance.now();
  const pool = await Pool.start(o.workers, o.mutant, o.real);
  const totals = new Totals();
  try {
    let next = 0;
    const isOver = () => next >= o.runs || (o.untilBroken === true && totals.broken.length > 0);
    await pool.all(
      () => (isOver() ? undefined : jobOf(o, next++, false)),
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

function jobOf(o: CampaignOptions, run: number, isShrinking: boolean): Job {
  return { at: { seed: o.seed, run }, cut: {}, form: formOf(run, o), isShrinking };
}

async function makeSmall(pool: Pool, o: CampaignOptions, broken: number[]): Promise<Finding[]> {
  const runs = broken.sort((a, b) => a - b).slice(0, o.untilBroken ? 1 : MOST_FINDINGS);
  const findings: Finding[] = [];
  await pool.all(
    () => {
      const run = runs.shift();
      return run === undefined ? undefined : jobOf(o, run, true);
    },
    ({ at, form }, { shrunk }) => {
      if (!shrunk) return;
      const command = replayCommand(at, shrunk.cut, { form, core: o.mutant?.name });
      findings.push({ run: at.run, form, shrunk, command });
    },
  );
  return findings.sort((a, b) => a.run - b.run);
}

/** Repeats one run, cut down as asked; with a real host if its threads are given. */
export async function replayRun(
  at: RunNumber,
  cut: Cut,
  { mutant, real }: Pick<CampaignOptions, 'mutant'> & { real?: RealThreads } = {},
): Promise<RunOutcome> {
  const pool = await Pool.start(1, mutant, real);
  try {
    let outcome: RunOutcome | undefined;
    const jobs: Job[] = [{ at, cut, form: real ? 'real' : 'in memory', isShrinking: false }];
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
