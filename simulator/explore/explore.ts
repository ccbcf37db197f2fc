// The whole exploration: every world with the shipped core, and every mutant until it is caught, on all
// processor cores.
import { availableParallelism } from 'node:os';
import { answerOf, startThread, type ThreadScript } from '../threads';
import { mutantCompiler, scriptOf } from './bundle';
import type { Mutant } from './mutant';
import { mutants } from './mutants';
import { type WorldOptions, world } from './small';
import type { WalkReport } from './walk';

export interface ExploreReport {
  states: number;
  transitions: number;
  violations: number;
  mutantsCaught: number;
  mutantsTotal: number;
  seconds: number;
}

export interface Exploration {
  report: ExploreReport;
  /** Broken claims with the moves that led to them, and mutants that escaped, as sentences. */
  findings: string[];
  phases: Set<number>;
}

/** Room for the worlds of one walk, see SeenWorlds. */
const BITS = 23;

/**
 * Every world is walked to its end. The long ones come first, so that the processor cores finish together.
 */
export const WORLDS: WorldOptions[] = [
  world('brief', 2, 'plain', 0),
  world('full', 2, 'plain', 0),
  world('attended', 2, 'plain', 5),
  world('long', 3, 'clock', 1),
  world('brief', 3, 'hold', 30),
  world('both', 1, 'plain', 1),
  world('days', 1, 'plain', 1),
  world('limited', 1, 'plain', 1),
  world('both', 1, 'shared', 1),
  world('both', 1, 'bare', 1),
  world('both', 1, 'foreign', 1),
  world('commissioning', 1, 'plain', 1),
  world('long', 1, 'plain', 1),
  world('hours', 1, 'plain', 1),
  world('hours alone', 1, 'plain', 1),
];

function runWalk(script: ThreadScript, options: WorldOptions, bits: number): Promise<WalkReport> {
  return answerOf(startThread(script, { options, bits }));
}

/**
 * Walks a mutant in the world where it should show, then in wider ones, until it is caught. @returns the
 * claim it broke, or ''
 */
export async function hunt(mutant: Mutant): Promise<string> {
  const script = await scriptOf('explore', mutant);
  const { plan = 'both', disturbances = 1, world: kind = 'plain' } = mutant;
  const tries = [
    world(plan, disturbances, kind, 0),
    world(plan, disturbances, kind, 1),
    world('brief', 2, kind, 0),
    world('full', 2, kind, 0),
  ];
  for (const options of tries) {
    const { broken } = await runWalk(script, options, BITS);
    if (broken !== '') return broken;
  }
  return '';
}

/** Runs the jobs in order, `width` at a time. */
async function inParallel(jobs: (() => Promise<void>)[], width: number): Promise<void> {
  const queue = jobs.slice();
  const lane = async () => {
    for (let job = queue.shift(); job; job = queue.shift()) await job();
  };
  await Promise.all(Array.from({ length: width }, lane));
}

export interface ExploreOptions {
  /** Default: every one. */
  worlds?: WorldOptions[];
  /** Broken cores to catch. Default: every one. */
  broken?: Mutant[];
  onProgress?: (done: string) => void;
}

/** Explores everything, or the part that is named. Deterministic except for `seconds`. */
export async function explore({
  worlds = WORLDS,
  broken: cores = mutants,
  onProgress,
}: ExploreOptions = {}): Promise<Exploration> {
  // Minutes of walking must not be lost to a missing compiler.
  if (cores.length > 0) await mutantCompiler();
  const began = performance.now();
  const report: ExploreReport = {
    states: 0,
    transitions: 0,
    violations: 0,
    mutantsCaught: 0,
    mutantsTotal: cores.length,
    seconds: 0,
  };
  const findings: string[] = [];
  const phases = new Set<number>();
  const shipped = await scriptOf('explore');
  const walkWorld = async (options: WorldOptions) => {
    const walked = await runWalk(shipped, options, BITS);
    report.states += walked.states;
    report.transitions += walked.transitions;
    for (const phase of walked.phases) phases.add(phase);
    if (walked.broken !== '' || walked.cut) report.violations++;
    if (walked.cut) findings.push('A walk was cut short: its table of seen worlds is too small.');
    if (walked.broken !== '') findings.push(`${walked.broken}: ${walked.path.join('; ')}`);
    onProgress?.(`${walked.states} states of world ${JSON.stringify(options)}`);
  };
  const walkMutant = async (mutant: Mutant) => {
    const broken = await hunt(mutant);
    if (broken === '') findings.push(`Mutant not caught: ${mutant.name}.`);
    else report.mutantsCaught++;
    onProgress?.(`mutant "${mutant.name}": ${broken || 'not caught'}`);
  };
  const jobs = [
    ...worlds.map((options) => () => walkWorld(options)),
    ...cores.map((mutant) => () => walkMutant(mutant)),
  ];
  await inParallel(jobs, availableParallelism());
  report.seconds = Math.round(performance.now() - began) / 1000;
  return { report, findings, phases };
}
