// `campaign`: random sites and random faults, with every promise checked after every event; or one such run
// repeated.
import { availableParallelism } from 'node:os';
import {
  type CampaignReport,
  campaign,
  type Finding,
  type RealShare,
  replayRun,
} from '../../simulator/campaign/campaign';
import { storyOf } from '../../simulator/campaign/replay';
import { type Cut, type RunOutcome, sceneOf } from '../../simulator/campaign/run';
import type { RunNumber } from '../../simulator/campaign/site';
import type { Mutant } from '../../simulator/explore/mutant';
import { mutants } from '../../simulator/explore/mutants';
import { realThreads } from '../rehearse/realHost/threads';
import { startProgress } from './progress';

export interface CampaignCommandOptions {
  runs: number;
  seed: number;
  /** Threads; one per core by default. */
  workers?: number;
  json: boolean;
  /** Name of one of the explorer's broken cores. */
  core?: string;
  /** One run instead of a campaign, and the incidents to keep in it. */
  replay?: RunNumber;
  keep?: number[];
  /** One run in so many has a real host; 0: none. */
  real?: number;
  circuits?: string[];
  lamps?: number;
  days?: number;
}

function mutantOf(name: string | undefined): Mutant | undefined {
  if (name === undefined) return undefined;
  const mutant = mutants.find((one) => one.name === name);
  if (!mutant)
    throw new Error(`There is no broken core "${name}"; see the names in simulator/explore/mutants.ts.`);
  return mutant;
}

const REAL_EVERY = 10;

/** Threads for runs with the real host; by default there are none where they cannot be had. */
function realShare({ real, core, json }: CampaignCommandOptions): RealShare | undefined {
  if (real === 0 || (core !== undefined && real === undefined)) return undefined;
  if (core !== undefined)
    throw new Error('Broken controllers are tested in memory: leave out --real or --core.');
  try {
    return { ...realThreads(), every: real ?? REAL_EVERY };
  } catch (error) {
    if (real !== undefined) throw error;
    if (!json) process.stderr.write(`No run has the real host. ${(error as Error).message}\n`);
    return undefined;
  }
}

function sum(counts: { [kind: string]: number }): number {
  return Object.values(counts).reduce((a, b) => a + b, 0);
}

function hostSummary({ realHosts: h }: CampaignReport): string {
  if (h.runs === 0) return '';
  const kinds = Object.entries(h.misfortunes).map(([kind, count]) => `${kind} ${count}`);
  return (
    `${h.runs} of them with the real host, started ${h.starts} times; ${sum(h.misfortunes)} misfortunes: ` +
    `${kinds.join(', ')}. ${h.callsFailed} calls to its disk failed, ${h.sectorsLost} sectors were lost with the power. ` +
    `${h.acknowledged} records acknowledged, ${h.newerThanBackup} of them newer than the backup ` +
    `that was restored; ${h.neverAgain} of those had left their controllers by then.\n`
  );
}

function summary(r: CampaignReport): string {
  const faults = sum(r.faultsInjected);
  return (
    `${r.runs} runs, ${r.controllerYears} controller-years, ${faults} faults of ` +
    `${Object.keys(r.faultsInjected).length} kinds in ${r.seconds} s.\n` +
    hostSummary(r) +
    `Invariants broken: ${r.violations}. Records lost: ${r.recordsLost}, records with two versions: ${r.recordsDuplicated}.\n`
  );
}

function findingText({ run, form, shrunk, command }: Finding, seed: number): string {
  const kept = sceneOf({ seed, run }, shrunk.cut, form);
  const broke = shrunk.outcome.violations.map((sentence) => `  ${sentence}`);
  return [
    `Seed ${seed}, run ${run}, reduced in ${shrunk.tries} attempts:`,
    ...storyOf(kept).map((line) => `  ${line.trim()}`),
    'What broke:',
    ...broke,
    `To run it again: ${command}`,
    '',
  ].join('\n');
}

async function replay(at: RunNumber, o: CampaignCommandOptions): Promise<number> {
  const cut: Cut = {
    ...(o.keep && { keep: o.keep }),
    ...(o.circuits && { circuits: o.circuits }),
    ...(o.lamps !== undefined && { lamps: o.lamps }),
    ...(o.days !== undefined && { days: o.days }),
  };
  const real = o.real ? realShare(o) : undefined;
  const scene = sceneOf(at, cut, real ? 'real' : 'in memory');
  if (scene.site.circuits.length === 0)
    throw new Error(`Run ${at.seed}:${at.run} has no such circuit; leave out --circuits to see them all.`);
  const mutant = mutantOf(o.core);
  const outcome: RunOutcome = await replayRun(at, cut, {
    ...(mutant && { mutant }),
    ...(real && { real }),
  });
  const lines = outcome.violations.length > 0 ? outcome.violations : ['No invariant was broken.'];
  process.stdout.write(
    o.json ? `${JSON.stringify({ ...at, ...outcome })}\n` : `${[...storyOf(scene), ...lines].join('\n')}\n`,
  );
  return outcome.violations.length > 0 ? 1 : 0;
}

/** Findings are told as they come. */
const FOUND = 'What broke until then is above; the same runs can be made again with the same seed.';

/** @returns the exit code: 0 if nothing broke and no record was lost or changed. */
export async function campaignCommand(o: CampaignCommandOptions): Promise<number> {
  if (o.replay) return replay(o.replay, o);
  const mutant = mutantOf(o.core);
  const real = realShare(o);
  const bar = startProgress({ total: o.runs, what: 'runs', isQuiet: o.json, kept: FOUND });
  const { report, findings } = await campaign({
    runs: o.runs,
    seed: o.seed,
    workers: o.workers ?? availableParallelism(),
    ...(real && { real }),
    ...(mutant && { mutant, untilBroken: true }),
    onRun: (run, violations) => {
      bar.step();
      if (violations.length > 0) bar.tell(`Seed ${o.seed}, run ${run}: ${violations[0]}`);
    },
  });
  bar.end();
  for (const finding of findings) process.stderr.write(findingText(finding, o.seed));
  process.stdout.write(o.json ? `${JSON.stringify(report)}\n` : summary(report));
  return report.violations + report.recordsLost + report.recordsDuplicated === 0 ? 0 : 1;
}
