// A thread of its own for a shard; bundled by .ci/build.mjs.
import { parentPort, workerData } from 'node:worker_threads';
import { Shard, type ShardJob, type SpanJob } from './shard';

const shard = new Shard(workerData as ShardJob);
parentPort?.on('message', async (job: SpanJob) => parentPort?.postMessage(await shard.span(job)));
