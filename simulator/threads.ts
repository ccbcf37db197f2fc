// Worker threads: the prebuilt script of each, and the answers of a thread.
import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';

/** A thread's program: a file, or its text where it was made in memory. */
export type ThreadScript = { file: string } | { text: string };

/** Folder whose `worker.ts` runs in threads; the last is one of the host's. */
export type ThreadRoom = 'campaign' | 'explore' | 'run' | 'realHost';

const require = createRequire(import.meta.url);

/** @throws Error in one sentence when it was not built */
function scriptFile(name: string): string {
  try {
    return require.resolve(`#root/build/simulator/${name}.cjs`);
  } catch {
    throw new Error('The threads of the simulator are not built: run `npm run build`, then try again.');
  }
}

/**
 * The prebuilt script of a folder's `worker.ts`, with all it imports. In a script, numbers that never change
 * stand in the code itself.
 * @throws Error in one sentence when it was not built
 */
export function threadScript(room: ThreadRoom): ThreadScript {
  return { file: scriptFile(`${room}/worker`) };
}

/** What a prebuilt script exports, loaded into this thread. @throws Error as `threadScript` */
export function loadScript(name: string): unknown {
  return require(scriptFile(name));
}

/** Starts a thread. @param workerData what it begins with */
export function startThread(script: ThreadScript, workerData?: unknown): Worker {
  return 'file' in script
    ? new Worker(script.file, { workerData })
    : new Worker(script.text, { workerData, eval: true });
}

/** The next message of a thread. @throws Error when the thread ends instead */
export function answerOf<T>(worker: Worker): Promise<T> {
  return new Promise((resolve, reject) => {
    const ended = (exit: number) => reject(new Error(`A thread ended without an answer (exit ${exit}).`));
    worker.once('error', reject);
    worker.once('exit', ended);
    worker.once('message', (answer: T) => {
      worker.off('error', reject);
      worker.off('exit', ended);
      resolve(answer);
    });
  });
}

/** Gives a thread a job. @throws Error when the thread ends instead of answering */
export function ask<T>(worker: Worker, job: unknown): Promise<T> {
  const answer = answerOf<T>(worker);
  worker.postMessage(job);
  return answer;
}
