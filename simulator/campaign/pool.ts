// Worker threads for the runs of a campaign, each with the core as shipped or with one deliberate break.
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { build } from 'esbuild';
import { corePlugin } from '../explore/bundle';
import type { Mutant } from '../explore/mutant';
import type { Job, JobAnswer } from './worker';

const HERE = dirname(fileURLToPath(import.meta.url));

/** Program of the worker. */
async function workerCode(mutant: Mutant | undefined): Promise<string> {
  const built = await build({
    entryPoints: [join(HERE, 'worker.ts')],
    bundle: true,
    write: false,
    format: 'cjs',
    platform: 'node',
    logLevel: 'silent',
    plugins: [corePlugin(mutant)],
  });
  // In a function of its own: its names must not meet those of the thread.
  return `(function () {${built.outputFiles[0].text}\n})();`;
}

export class Pool {
  private constructor(private readonly workers: Worker[]) {}

  /** Starts so many threads. */
  static async start(width: number, mutant?: Mutant): Promise<Pool> {
    const code = await workerCode(mutant);
    return new Pool(Array.from({ length: width }, () => new Worker(code, { eval: true })));
  }

  /**
   * Has jobs done until `next` gives none; `done` hears each answer, in whatever order they come.
   * @throws Error when a thread ends before its time
   */
  async all<T extends Job>(
    next: () => T | undefined,
    done: (job: T, answer: JobAnswer) => void,
  ): Promise<void> {
    const lane = async (worker: Worker) => {
      for (let job = next(); job; job = next()) done(job, await ask(worker, job));
    };
    await Promise.all(this.workers.map(lane));
  }

  async stop(): Promise<void> {
    await Promise.all(this.workers.map((worker) => worker.terminate()));
  }
}

function ask(worker: Worker, job: Job): Promise<JobAnswer> {
  return new Promise((resolve, reject) => {
    const ended = (exit: number) => reject(new Error(`A thread of the campaign ended (exit ${exit}).`));
    worker.once('error', reject);
    worker.once('exit', ended);
    worker.once('message', (answer: JobAnswer) => {
      worker.off('error', reject);
      worker.off('exit', ended);
      resolve(answer);
    });
    worker.postMessage(job);
  });
}
