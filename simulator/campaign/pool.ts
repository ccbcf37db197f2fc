// Worker threads for the runs of a campaign, each with the core as shipped or with one deliberate break.
import type { Worker } from 'node:worker_threads';
import { scriptOf } from '../explore/bundle';
import type { Mutant } from '../explore/mutant';
import { ask, startThread } from '../threads';
import type { Job, JobAnswer } from './worker';

export class Pool {
  private constructor(private readonly workers: Worker[]) {}

  /** Starts this many threads. */
  static async start(width: number, mutant?: Mutant): Promise<Pool> {
    const script = await scriptOf('campaign', mutant);
    return new Pool(Array.from({ length: width }, () => startThread(script)));
  }

  /**
   * Runs jobs until `next` gives none; `done` receives each answer, in any order.
   * @throws Error when a thread ends early
   */
  async all<T extends Job>(
    next: () => T | undefined,
    done: (job: T, answer: JobAnswer) => void,
  ): Promise<void> {
    const lane = async (worker: Worker) => {
      for (let job = next(); job; job = next()) done(job, await ask<JobAnswer>(worker, job));
    };
    await Promise.all(this.workers.map(lane));
  }

  async stop(): Promise<void> {
    await Promise.all(this.workers.map((worker) => worker.terminate()));
  }
}
