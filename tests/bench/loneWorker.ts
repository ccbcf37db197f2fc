// Controllers each run on their own, and their circuits alone, measured in a thread; bundled by longRuns.ts
// in the same way as the workers of a long run.
import { parentPort, workerData } from 'node:worker_threads';
import { Lone, type Renewal } from '../../simulator/run/lone';
import type { FleetSpec } from '../../simulator/spec';
import { Trace } from '../../simulator/trace';
import { cpuMsSince, Tape } from './tape';

export interface LoneJob {
  fleet: FleetSpec;
  renewals: Renewal[];
  untilMs: number;
  /** Runs of each; the best counts. */
  runs: number;
}

export interface LoneCost {
  events: number;
  /** Processor time. */
  wholeMs: number;
  /** The circuits alone: with their lamps read together in closed form, and one by one. */
  plantMs: number;
  oneByOneMs: number;
}

const { fleet, renewals, untilMs, runs } = workerData as LoneJob;

function wholeRun(tape?: Tape): number {
  const lones = fleet.controllers.map((spec) => new Lone(structuredClone(spec), fleet));
  lones.forEach((lone, i) => {
    lone.renew(structuredClone(renewals[i]));
    // A traced controller runs turn by turn, so the circuits alone are checked as often as boards check
    // theirs.
    if (tape) lone.node.trace = new Trace();
  });
  const before = process.cpuUsage();
  for (const { watch } of tape ? lones : []) {
    const looks = watch.after.bind(watch);
    watch.after = (node, now) => {
      looks(node, now);
      tape?.after(node, now);
    };
  }
  for (const lone of lones) lone.run(untilMs);
  return cpuMsSince(before);
}

function best(run: () => number): number {
  return Math.min(...Array.from({ length: runs }, run));
}

const wholeMs = best(() => wholeRun());
const tape = new Tape();
wholeRun(tape);
const cost: LoneCost = {
  events: tape.events,
  wholeMs,
  plantMs: best(() => tape.play()),
  oneByOneMs: best(() => tape.play(true)),
};
parentPort?.postMessage(cost);
