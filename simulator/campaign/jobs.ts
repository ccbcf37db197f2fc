// What the threads of a campaign are asked, and how they answer.
import type { MessagePort } from 'node:worker_threads';
import type { Cut, HostForm, RunOutcome } from './run';
import { type Play, type Shrunk, shrink } from './shrink';
import type { RunNumber } from './site';

export interface Job {
  at: RunNumber;
  cut: Cut;
  form: HostForm;
  isShrinking: boolean;
}

export type JobAnswer = { outcome: RunOutcome; shrunk?: Shrunk };

/** Answers the jobs that come through a port, one at a time. */
export function answerJobs(port: MessagePort | null, play: Play): void {
  port?.on('message', async ({ at, cut, form, isShrinking }: Job) => {
    const outcome = await play(at, cut);
    const isBroken = outcome.violations.length > 0;
    const shrunk = isShrinking && isBroken ? await shrink(at, outcome, form, play) : undefined;
    const answer: JobAnswer = { outcome, ...(shrunk && { shrunk }) };
    port.postMessage(answer);
  });
}
