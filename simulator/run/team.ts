// The controllers of an estate, shared out among threads. None depends on another, so the result is
// the same for any number of threads: it is assembled in the order of the controllers.
import type { FleetSpec } from '../spec';
import { ask, loadScript, startThread, threadScript } from '../threads';
import type { Wish } from './leanHost';
import type { Renewal, Standing } from './lone';
import type { LiveHeap, ShardJob, SpanJob, SpanReport } from './shard';

/** A shard, wherever it runs. */
interface Member {
  span(job: SpanJob): Promise<SpanReport>;
  stop(): Promise<unknown>;
}

function inThread(job: ShardJob): Member {
  const worker = startThread(threadScript('run'), job);
  return { span: (span) => ask<SpanReport>(worker, span), stop: () => worker.terminate() };
}

/** In this thread, which has nothing else to do: another one would cost the start of an engine. */
function here(job: ShardJob): Member {
  const { Shard } = loadScript('run/shard') as typeof import('./shard');
  const shard = new Shard(structuredClone(job));
  // Copied as between threads: what it reports must not change any more.
  return { span: async (span) => structuredClone(await shard.span(span)), stop: async () => {} };
}

export class Team {
  /** Live memory of each thread after the last span, all 0 where it is not counted. */
  heaps: LiveHeap[] = [];

  private constructor(
    private readonly members: Member[],
    private readonly controllers: number,
  ) {}

  /**
   * Takes `width` threads, or fewer if there are fewer controllers. One alone is this thread, unless its memory is
   * counted, which must be its own.
   */
  static async start(fleet: FleetSpec, width: number, countsHeap: boolean): Promise<Team> {
    const all = fleet.controllers;
    const threads = Math.min(width, all.length);
    const start = threads === 1 && !countsHeap ? here : inThread;
    const members = Array.from({ length: threads }, (_, thread) => {
      const controllers = all.filter((_c, i) => i % threads === thread);
      return start({ fleet: { ...fleet, controllers }, countsHeap });
    });
    return new Team(members, all.length);
  }

  get width(): number {
    return this.members.length;
  }

  /** Runs all controllers to `until`, simulated ms. @returns the state of each */
  async span(renewals: Renewal[], wishes: Map<number, Wish>, until: number): Promise<Standing[]> {
    const { width } = this;
    const reports = await Promise.all(
      this.members.map((member, thread) => {
        const mine = Array.from({ length: this.controllers }, (_, i) => i).filter(
          (i) => i % width === thread,
        );
        return member.span({
          renewals: renewals.length > 0 ? mine.map((i) => renewals[i]) : [],
          wishes: mine.map((i) => wishes.get(i)),
          until,
        });
      }),
    );
    this.heaps = reports.map(({ heap }) => heap);
    return Array.from(
      { length: this.controllers },
      (_, i) => reports[i % width].standings[Math.floor(i / width)],
    );
  }

  async stop(): Promise<void> {
    await Promise.all(this.members.map((member) => member.stop()));
  }
}
