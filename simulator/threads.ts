// Worker threads: a module with all it imports as one script, and what a thread answers.
import { fileURLToPath } from 'node:url';
import type { Worker } from 'node:worker_threads';
import { build, type Plugin } from 'esbuild';

/**
 * The worker in this file as one script, to be started by `eval`. In a script, numbers that never change stand
 * in the code itself.
 */
export async function workerScript(file: URL, plugins: Plugin[] = []): Promise<string> {
  const built = await build({
    entryPoints: [fileURLToPath(file)],
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'node',
    logLevel: 'silent',
    plugins,
  });
  return built.outputFiles[0].text;
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

/** Gives a thread something to do. @throws Error when the thread ends instead of answering */
export function ask<T>(worker: Worker, job: unknown): Promise<T> {
  const answer = answerOf<T>(worker);
  worker.postMessage(job);
  return answer;
}
