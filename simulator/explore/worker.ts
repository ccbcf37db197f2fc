// One walk in a thread of its own; with the core as shipped or broken: bundle.ts.
import { parentPort, workerData } from 'node:worker_threads';
import type { WorldOptions } from './small';
import { subject } from './subject';
import { walk } from './walk';

const job = workerData as { options: WorldOptions; bits: number };
parentPort?.postMessage(walk(subject, job.options, job.bits));
