// Some of the controllers of an estate in a thread of their own; bundled by team.ts.
import { queryObjects } from 'node:v8';
import { parentPort, workerData } from 'node:worker_threads';
import type { FleetSpec } from '../spec';
import type { Wish } from './leanHost';
import { Lone, type Renewal, type Standing } from './lone';

export interface ShardJob {
  fleet: FleetSpec;
  /** Collect garbage after each span and report what is left. */
  countsHeap: boolean;
}

/** One span of time: what is new at its start for each controller of the shard, and its end. */
export interface SpanJob {
  /** One per controller, or none at all. */
  renewals: Renewal[];
  /** Orders for each controller. */
  wishes: (Wish | undefined)[];
  until: number;
}

/** Live memory of a thread. */
export interface LiveHeap {
  objects: number;
  /** Including the engine's own: it learns the program as it runs, and forgets it again. */
  bytes: number;
}

export interface SpanReport {
  standings: Standing[];
  /** All 0 where it is not counted. */
  heap: LiveHeap;
}

const { fleet, countsHeap } = workerData as ShardJob;
let lones: Lone[] | undefined;

function liveHeap(): LiveHeap {
  // Collects what a pass of the collector on demand leaves, a tenth of the bytes now and then.
  const objects = queryObjects(Object, { format: 'count' });
  return { objects, bytes: process.memoryUsage().heapUsed };
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
  return { standings, heap: countsHeap ? liveHeap() : { objects: 0, bytes: 0 } };
}

parentPort?.on('message', (job: SpanJob) => parentPort?.postMessage(runSpan(job)));
