// Some of the controllers of an estate, one after another, in whatever thread this is.
import { setImmediate as giveWay } from 'node:timers/promises';
import { queryObjects } from 'node:v8';
import type { FleetSpec } from '../spec';
import type { Wish } from './leanHost';
import { isStormy, Lone, type Renewal, type Standing } from './lone';

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

function liveHeap(): LiveHeap {
  // Collects what a pass of the collector on demand leaves, a tenth of the bytes now and then.
  const objects = queryObjects(Object, { format: 'count' });
  return { objects, bytes: process.memoryUsage().heapUsed };
}

export class Shard {
  private lones: Lone[] | undefined;

  constructor(private readonly o: ShardJob) {}

  private async start(): Promise<Lone[]> {
    const { fleet } = this.o;
    // Its parser of packets takes longer to load than the clean wire takes for a year.
    const wire = fleet.controllers.some(isStormy) ? (await import('../network')).SimulatedWire : undefined;
    return fleet.controllers.map((spec) => new Lone(spec, fleet, wire));
  }

  /** Runs every controller to the end of the span; other work of this thread gets its turn after each. */
  async span({ renewals, wishes, until }: SpanJob): Promise<SpanReport> {
    this.lones ??= await this.start();
    const standings: Standing[] = [];
    for (const [i, lone] of this.lones.entries()) {
      if (renewals.length > 0) lone.renew(renewals[i]);
      const wish = wishes[i];
      if (wish) lone.desk.order(wish);
      lone.run(until);
      standings.push(lone.standing());
      await giveWay();
    }
    return { standings, heap: this.o.countsHeap ? liveHeap() : { objects: 0, bytes: 0 } };
  }
}
