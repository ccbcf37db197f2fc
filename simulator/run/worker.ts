// Some of the controllers of an estate in a thread of their own; bundled by team.ts.
import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { parentPort, workerData } from 'node:worker_threads';
import type { FleetSpec } from '../spec';
import type { Wish } from './desk';
import { Lone, type Renewal, type Standing } from './lone';

export interface ShardJob {
  fleet: FleetSpec;
  /** Clean up after each span of time and tell how much is left. */
  countsHeap: boolean;
}

/** One span of time: what is new at its beginning for each controller of the shard, and its end. */
export interface SpanJob {
  /** One for each controller, or none at all. */
  renewals: Renewal[];
  /** For each controller what somebody orders. */
  wishes: (Wish | undefined)[];
  until: number;
}

export interface SpanReport {
  standings: Standing[];
  /** Bytes of live objects, 0 where they are not counted. */
  heapBytes: number;
}

const { fleet, countsHeap } = workerData as ShardJob;
let lones: Lone[] | undefined;

function liveBytes(): number {
  setFlagsFromString('--expose-gc');
  runInNewContext('gc')();
  return process.memoryUsage().heapUsed;
}

function runSpan({ renewals, wishes, until }: SpanJob): SpanReport {
  lones ??= fleet.controllers.map((spec) => new Lone(spec, fleet));
  const standings = lones.map((lone, i) => {
    if (renewals.length > 0) lone.renew(renewals[i]);
    const wish = wishes[i];
    if (wish) lone.desk.order(wish);
    lone.run(until);
    return lone.standing();
  });
  return { standings, heapBytes: countsHeap ? liveBytes() : 0 };
}

parentPort?.on('message', (job: SpanJob) => parentPort?.postMessage(runSpan(job)));
