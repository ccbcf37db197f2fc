// Checks passwords in a thread of its own, one after the other: neither records nor orders wait for guesses.
import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';

/** Plain JavaScript: it runs as it stands, from sources and from what is built. */
const SCRIPT = `
const { parentPort, workerData } = require('node:worker_threads');
const { argon2id, argon2Verify } = require(workerData);
parentPort.on('message', async ({ n, hash, options }) => {
  try {
    const value = hash === undefined ? await argon2id(options) : await argon2Verify({ ...options, hash });
    parentPort.postMessage({ n, value });
  } catch {
    parentPort.postMessage({ n });
  }
});
`;

type Answer = string | boolean | undefined;

interface Thread {
  worker: Worker;
  waiting: Map<number, (value: Answer) => void>;
}

let thread: Thread | undefined;
let last = 0;

function started(): Thread {
  const workerData = createRequire(import.meta.url).resolve('hash-wasm');
  const worker = new Worker(SCRIPT, { eval: true, workerData });
  const waiting: Thread['waiting'] = new Map();
  const fresh = { worker, waiting };
  worker.on('message', ({ n, value }: { n: number; value?: Answer }) => {
    waiting.get(n)?.(value);
    waiting.delete(n);
    // A program that has nothing else to do may end.
    if (waiting.size === 0) worker.unref();
  });
  const ended = (): void => {
    if (thread === fresh) thread = undefined;
    for (const answer of waiting.values()) answer(undefined);
    waiting.clear();
  };
  worker.on('error', ended);
  worker.on('exit', ended);
  return fresh;
}

function ask(question: object): Promise<Answer> {
  thread ??= started();
  const { worker, waiting } = thread;
  return new Promise((resolve) => {
    const n = ++last;
    waiting.set(n, resolve);
    worker.ref();
    worker.postMessage({ n, ...question });
  });
}

/** @throws Error if it cannot be computed, as without memory */
export async function argonHash(options: object): Promise<string> {
  const hash = await ask({ options });
  if (typeof hash === 'string') return hash;
  throw new Error('This machine has no memory left to check passwords.');
}

/** False too where the hash is damaged. */
export async function argonFits(password: string, hash: string): Promise<boolean> {
  return (await ask({ options: { password }, hash })) === true;
}
