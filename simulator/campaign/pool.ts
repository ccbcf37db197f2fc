// Worker threads for the runs of a campaign, each with the core as shipped or with one deliberate break; and threads
// for runs with a real host.
import type { Worker } from 'node:worker_threads';
import { scriptOf } from '../explore/bundle';
import type { Mutant } from '../explore/mutant';
import { ask, startThread, type ThreadScript } from '../threads';
import type { Job, JobAnswer } from './jobs';
import type { HostForm } from './run';

/** What the threads of runs with a real host run, and what they begin with. */
export interface RealThreads {
  script: ThreadScript;
  workerData: unknown;
}

/** One job at a time, each in a thread that is started when it is first needed. */
class Lane {
  private readonly threads: { [form in HostForm]?: Worker } = {};

  constructor(
    private readonly script: ThreadScript,
    private readonly real: RealThreads | undefined,
  ) {}

  private start(form: HostForm): Worker {
    if (form === 'in memory') return startThread(this.script);
    if (!this.real) throw new Error('No thread was named for runs with a real host.');
    return startThread(this.real.script, this.real.workerData);
  }

  ask(job: Job): Promise<JobAnswer> {
    const thread = this.threads[job.form] ?? this.start(job.form);
    this.threads[job.form] = thread;
    return ask<JobAnswer>(thread, job);
  }

  async stop(): Promise<void> {
    await Promise.all(Object.values(this.threads).map((thread) => thread.terminate()));
  }
}

export class Pool {
  private constructor(private readonly lanes: Lane[]) {}

  /** A pool for this many jobs at a time. */
  static async start(width: number, mutant?: Mutant, real?: RealThreads): Promise<Pool> {
    const script = await scriptOf('campaign', mutant);
    return new Pool(Array.from({ length: width }, () => new Lane(script, real)));
  }

  /**
   * Runs jobs until `next` gives none; `done` receives each answer, in any order.
   * @throws Error when a thread ends early
   */
  async all<T extends Job>(
    next: () => T | undefined,
    done: (job: T, answer: JobAnswer) => void,
  ): Promise<void> {
    const work = async (lane: Lane) => {
      for (let job = next(); job; job = next()) done(job, await lane.ask(job));
    };
    await Promise.all(this.lanes.map(work));
  }

  async stop(): Promise<void> {
    await Promise.all(this.lanes.map((lane) => lane.stop()));
  }
}
