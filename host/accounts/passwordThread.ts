// Checks passwords and estimates how soon they are guessed, in a thread of its own, one after the other: neither records
// nor orders wait for it.
import { createRequire } from 'node:module';
import { Worker } from 'node:worker_threads';

/** Plain JavaScript: it runs as it stands, from sources and from what is built. */
const SCRIPT = `
const { parentPort, workerData } = require('node:worker_threads');
const { argon2id, argon2Verify } = require(workerData.argon);
let estimator;
const guesses = ({ text, names }) => {
  if (!estimator) {
    const { ZxcvbnFactory } = require(workerData.estimator);
    const { dictionary, adjacencyGraphs } = require(workerData.common);
    estimator = new ZxcvbnFactory({ dictionary, graphs: adjacencyGraphs });
  }
  return estimator.check(text, names).guesses;
};
parentPort.on('message', async ({ n, hash, options, guess }) => {
  try {
    const value = guess
      ? guesses(guess)
      : hash === undefined
        ? await argon2id(options)
        : await argon2Verify({ ...options, hash });
    parentPort.postMessage({ n, value });
  } catch {
    parentPort.postMessage({ n });
  }
});
`;

type Answer = string | boolean | number | undefined;

interface Thread {
  worker: Worker;
  waiting: Map<number, (value: Answer) => void>;
}

const NO_MEMORY = 'This machine has no memory left to check passwords.';

let thread: Thread | undefined;
let last = 0;

function started(): Thread {
  const { resolve } = createRequire(import.meta.url);
  const workerData = {
    argon: resolve('hash-wasm'),
    estimator: resolve('@zxcvbn-ts/core'),
    common: resolve('@zxcvbn-ts/language-common'),
  };
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
  throw new Error(NO_MEMORY);
}

/** False too where the hash is damaged. */
export async function argonFits(password: string, hash: string): Promise<boolean> {
  return (await ask({ options: { password }, hash })) === true;
}

/**
 * How many guesses somebody needs who knows the lists of stolen passwords, keyboards, dates, repeats and these names.
 * @throws Error if it cannot be computed, as without memory
 */
export async function guessesFor(text: string, names: readonly string[]): Promise<number> {
  const guesses = await ask({ guess: { text, names } });
  if (typeof guesses === 'number') return guesses;
  throw new Error(NO_MEMORY);
}
