// `campaign`: random sites and random faults, with every promise checked after every event; or one such run
// repeated.
import { availableParallelism } from 'node:os';
import { type CampaignReport, campaign, type Finding, replayRun } from '../../simulator/campaign/campaign';
import { storyOf } from '../../simulator/campaign/replay';
import { type Cut, type RunOutcome, sceneOf } from '../../simulator/campaign/run';
import type { RunNumber } from '../../simulator/campaign/site';
import type { Mutant } from '../../simulator/explore/mutant';
import { mutants } from '../../simulator/explore/mutants';
import { progressBar } from './progress';

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

function summary(r: CampaignReport): string {
  const faults = Object.values(r.faultsInjected).reduce((a, b) => a + b, 0);
  return (
    `${r.runs} runs, ${r.controllerYears} controller-years, ${faults} faults of ` +
    `${Object.keys(r.faultsInjected).length} kinds in ${r.seconds} s.\n` +
    `Invariants broken: ${r.violations}. Records lost: ${r.recordsLost}, records with two versions: ${r.recordsDuplicated}.\n`
  );
}

function findingText({ run, shrunk, command }: Finding, seed: number): string {
  const kept = sceneOf({ seed, run }, shrunk.cut);
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
  const scene = sceneOf(at, cut);
  if (scene.site.circuits.length === 0)
    throw new Error(`Run ${at.seed}:${at.run} has no such circuit; leave out --circuits to see them all.`);
  const outcome: RunOutcome = await replayRun(at, cut, mutantOf(o.core));
  const lines = outcome.violations.length > 0 ? outcome.violations : ['No invariant was broken.'];
  process.stdout.write(
    o.json ? `${JSON.stringify({ ...at, ...outcome })}\n` : `${[...storyOf(scene), ...lines].join('\n')}\n`,
  );
  return outcome.violations.length > 0 ? 1 : 0;
}

/** @returns the exit code: 0 if nothing broke and no record was lost or changed. */
export async function campaignCommand(o: CampaignCommandOptions): Promise<number> {
  if (o.replay) return replay(o.replay, o);
  const mutant = mutantOf(o.core);
  const bar = progressBar(o.runs, 'runs', o.json);
  const { report, findings } = await campaign({
    runs: o.runs,
    seed: o.seed,
    workers: o.workers ?? availableParallelism(),
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
