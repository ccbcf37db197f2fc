// The whole exploration: every world with the shipped core, and every mutant until it is caught, on all
// cores of the machine.
import { availableParallelism } from 'node:os';
import { Worker } from 'node:worker_threads';
import { bundleWorker } from './bundle';
import { type Mutant, mutants } from './mutants';
import type { PlanName, WorldOptions } from './small';
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
  /** Broken claims with what led to them, and mutants that got away, as sentences. */
  findings: string[];
  phases: Set<number>;
}

/** Table of seen worlds for a whole walk, and for a mutant, which is caught early. */
const BITS = 22;
const MUTANT_BITS = 21;

function world(plan: PlanName, disturbances: number, kind = 'plain'): WorldOptions {
  const is = (name: string) => kind === name;
  return { plan, disturbances, shared: is('shared'), foreign: is('foreign'), bare: is('bare') };
}

/** Every one is walked to its end. The long ones come first, so that the cores finish together. */
const WORLDS: WorldOptions[] = [
  world('brief', 2),
  world('full', 2),
  world('both', 1),
  world('both', 1, 'shared'),
  world('both', 1, 'bare'),
  world('both', 1, 'foreign'),
];

function runWalk(code: URL, options: WorldOptions, bits: number): Promise<WalkReport> {
  return new Promise((resolve, reject) => {
    const worker = new Worker(code, { workerData: { options, bits } });
    worker.once('message', resolve);
    worker.once('error', reject);
    worker.once('exit', (exit) => {
      if (exit !== 0) reject(new Error(`A walk ended without a report (exit ${exit}).`));
    });
  });
}

/** Walks a mutant with one disturbance, then with two, until it is caught. @returns the claim it broke, or ''. */
export async function hunt(mutant: Mutant): Promise<string> {
  const code = await bundleWorker(mutant);
  const tries = [
    world('both', 1, mutant.world),
    world('brief', 2, mutant.world),
    world('full', 2, mutant.world),
  ];
  for (const options of tries) {
    const { broken } = await runWalk(code, options, MUTANT_BITS);
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

/** Explores everything. Deterministic but for `seconds`. */
export async function explore(onProgress?: (done: string) => void): Promise<Exploration> {
  const began = performance.now();
  const report: ExploreReport = {
    states: 0,
    transitions: 0,
    violations: 0,
    mutantsCaught: 0,
    mutantsTotal: mutants.length,
    seconds: 0,
  };
  const findings: string[] = [];
  const phases = new Set<number>();
  const shipped = await bundleWorker();
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
    ...WORLDS.map((options) => () => walkWorld(options)),
    ...mutants.map((mutant) => () => walkMutant(mutant)),
  ];
  await inParallel(jobs, availableParallelism());
  report.seconds = Math.round(performance.now() - began) / 1000;
  return { report, findings, phases };
}
