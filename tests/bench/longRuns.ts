// What a simulated year costs where every controller runs on its own, and how much memory it keeps.
import { fileURLToPath } from 'node:url';
import { build } from 'esbuild';
import { daysOf } from '../../host/cli/simulate';
import { seededKeys } from '../../host/keys';
import { type EstateSize, inventedEstate } from '../../host/rehearse/inventedEstate';
import { beginning, longRun } from '../../host/rehearse/longRun';
import { answerOf, startThread } from '../../simulator/threads';
import type { LoneCost, LoneJob } from './loneWorker';

const SEED = 1;
/** Runs of each, of which the best counts: the engine goes on learning the program for a thousand controller-years. */
const RUNS = 40;
const DAY_MS = 86_400_000;

function options(size: EstateSize, days: number) {
  const site = inventedEstate(size, SEED);
  return { site, keys: seededKeys(SEED), seed: SEED, days, workers: 1 };
}

/** Cost of some days of an estate, of the whole and of the circuits alone; without planning. */
export async function measureLone(size: EstateSize, days: number): Promise<LoneCost> {
  const { outputFiles } = await build({
    entryPoints: [fileURLToPath(new URL('./loneWorker.ts', import.meta.url))],
    bundle: true,
    write: false,
    format: 'iife',
    platform: 'node',
  });
  const workerData: LoneJob = { ...beginning(options(size, days)), untilMs: days * DAY_MS, runs: RUNS };
  return answerOf(startThread({ text: outputFiles[0].text }, workerData));
}

export interface LongRunCost {
  yearsPerSecond: number;
  /** Live objects of the thread after the first span of time and at the end. */
  firstBytes: number;
  lastBytes: number;
}

/** A long run on one thread. */
export async function measureLongRun(size: EstateSize, years: number): Promise<LongRunCost> {
  const bytes: number[] = [];
  const before = process.cpuUsage();
  await longRun({
    ...options(size, daysOf(years)),
    countsHeap: true,
    onSpan: (_days, [heap]) => bytes.push(heap.bytes),
  });
  const { user, system } = process.cpuUsage(before);
  return {
    yearsPerSecond: (size.controllers * years * 1e6) / (user + system),
    firstBytes: bytes[0],
    lastBytes: bytes[bytes.length - 1],
  };
}
