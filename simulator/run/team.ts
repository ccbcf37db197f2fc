// The controllers of an estate shared out among worker threads. None of them depends on another, so what comes
// out is the same for any number of threads: it is put together in the order of the controllers.
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { Worker } from 'node:worker_threads';
import { build } from 'esbuild';
import type { FleetSpec } from '../spec';
import type { Wish } from './desk';
import type { Renewal, Standing } from './lone';
import type { ShardJob, SpanJob, SpanReport } from './worker';

const HERE = dirname(fileURLToPath(import.meta.url));

/** The worker as one script: numbers that never change then stand in the code itself. */
async function bundleWorker(): Promise<string> {
  const built = await build({
    entryPoints: [join(HERE, 'worker.ts')],
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'node',
    logLevel: 'silent',
  });
  return built.outputFiles[0].text;
}

export class Team {
  /** Bytes of live objects of all threads after the last span, 0 where they are not counted. */
  heapBytes = 0;

  private constructor(
    private readonly workers: Worker[],
    private readonly controllers: number,
  ) {}

  /** Starts `width` threads, or fewer where there are fewer controllers. */
  static async start(fleet: FleetSpec, width: number, countsHeap: boolean): Promise<Team> {
    const code = await bundleWorker();
    const all = fleet.controllers;
    const threads = Math.min(width, all.length);
    const workers = Array.from({ length: threads }, (_, thread) => {
      const controllers = all.filter((_c, i) => i % threads === thread);
      const workerData: ShardJob = { fleet: { ...fleet, controllers }, countsHeap };
      return new Worker(code, { eval: true, workerData });
    });
    return new Team(workers, all.length);
  }

  get width(): number {
    return this.workers.length;
  }

  /** Runs all controllers to `until`, simulated ms. @returns how each stands then */
  async span(renewals: Renewal[], wishes: Map<number, Wish>, until: number): Promise<Standing[]> {
    const reports = await Promise.all(
      this.workers.map((worker, thread) => {
        const mine = Array.from({ length: this.controllers }, (_, i) => i).filter(
          (i) => i % this.workers.length === thread,
        );
        return ask(worker, {
          renewals: renewals.length > 0 ? mine.map((i) => renewals[i]) : [],
          wishes: mine.map((i) => wishes.get(i)),
          until,
        });
      }),
    );
    this.heapBytes = reports.reduce((sum, report) => sum + report.heapBytes, 0);
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

function ask(worker: Worker, job: SpanJob): Promise<SpanReport> {
  return new Promise((resolve, reject) => {
    const fail = (error: Error) => reject(error);
    worker.once('error', fail);
    worker.once('message', (report: SpanReport) => {
      worker.off('error', fail);
      resolve(report);
    });
    worker.postMessage(job);
  });
}
