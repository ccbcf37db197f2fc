// A thread of its own for runs of a campaign; with the core as shipped or broken: explore/bundle.ts.
import { parentPort } from 'node:worker_threads';
import type { Cut, RunOutcome } from './run';
import { runCut, type Shrunk, shrink } from './shrink';
import type { RunNumber } from './site';

export type Job = { at: RunNumber; cut: Cut; isShrinking: boolean };
export type JobAnswer = { outcome: RunOutcome; shrunk?: Shrunk };

parentPort?.on('message', ({ at, cut, isShrinking }: Job) => {
  const outcome = runCut(at, cut);
  const isBroken = outcome.violations.length > 0;
  const answer: JobAnswer = { outcome, ...(isShrinking && isBroken && { shrunk: shrink(at, outcome) }) };
  parentPort?.postMessage(answer);
});
