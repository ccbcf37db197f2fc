// The controllers of an estate, shared out among worker threads. None depends on another, so the result is
// the same for any number of threads: it is assembled in the order of the controllers.
import type { Worker } from 'node:worker_threads';
import type { FleetSpec } from '../spec';
import { ask, startThread, threadScript } from '../threads';
import type { Wish } from './leanHost';
import type { Renewal, Standing } from './lone';
import type { LiveHeap, ShardJob, SpanJob, SpanReport } from './worker';

export class Team {
  /** Live memory of each thread after the last span, all 0 where it is not counted. */
  heaps: LiveHeap[] = [];

  private constructor(
    private readonly workers: Worker[],
    private readonly controllers: number,
  ) {}

  /** Starts `width` threads, or fewer if there are fewer controllers. */
  static async start(fleet: FleetSpec, width: number, countsHeap: boolean): Promise<Team> {
    const script = threadScript('run');
    const all = fleet.controllers;
    const threads = Math.min(width, all.length);
    const workers = Array.from({ length: threads }, (_, thread) => {
      const controllers = all.filter((_c, i) => i % threads === thread);
      const workerData: ShardJob = { fleet: { ...fleet, controllers }, countsHeap };
      return startThread(script, workerData);
    });
    return new Team(workers, all.length);
  }

  get width(): number {
    return this.workers.length;
  }

  /** Runs all controllers to `until`, simulated ms. @returns the state of each */
  async span(renewals: Renewal[], wishes: Map<number, Wish>, until: number): Promise<Standing[]> {
    const reports = await Promise.all(
      this.workers.map((worker, thread) => {
        const mine = Array.from({ length: this.controllers }, (_, i) => i).filter(
          (i) => i % this.workers.length === thread,
        );
        const job: SpanJob = {
          renewals: renewals.length > 0 ? mine.map((i) => renewals[i]) : [],
          wishes: mine.map((i) => wishes.get(i)),
          until,
        };
        return ask<SpanReport>(worker, job);
      }),
    );
    this.heaps = reports.map(({ heap }) => heap);
    const width = this.workers.length;
    return Array.from(
      { length: this.controllers },
      (_, i) => reports[i % width].standings[Math.floor(i / width)],
    );
  }

  async stop(): Promise<void> {
    await Promise.all(this.workers.map((worker) => worker.terminate()));
  }
}
