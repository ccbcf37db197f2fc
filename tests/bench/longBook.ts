// A log book of many records, as a large house writes them in decades, and how long the host takes to start on it.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import type { LogbookView } from '../../host/api/views';
import type { KeyRing } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import type { Site } from '../../host/site/model';
import { newJournal, resultFields } from '../host/logbook/records';

const BATCH = 2000;
/** Of ten records so many are results; the others say what happens around tests. */
const RESULTS_OF_TEN = 3;
const LOOK_MS = 20;

/** Writes `records` records of a site's controllers, in turn, into a new log book. */
export async function writeLongBook(db: string, site: Site, keys: KeyRing, records: number): Promise<void> {
  const logbook = await openLogbook(db);
  const journals = site.circuits.map(({ id, luminaires }) => ({
    journal: newJournal(`${site.id}/${id}`, '0a1b2c3d', keys),
    rows: luminaires.map(() => [1, 0, 90, 300, 300, 290, 2]),
  }));
  for (let done = 0; done < records; done += BATCH) {
    const batch = Array.from({ length: Math.min(BATCH, records - done) }, (_, i) => {
      const { journal, rows } = journals[(done + i) % journals.length];
      const turn = Math.floor((done + i) / journals.length);
      return turn % 10 < RESULTS_OF_TEN
        ? journal.record('result', resultFields(rows, { test: turn }))
        : journal.record('held', { reason: 23, arg: turn });
    });
    await logbook.appendBatch(batch);
  }
  await logbook.close();
}

export interface Start {
  /** From the start of the process to the first answer of the page, and to that of the log book, s. */
  statusSec: number;
  logbookSec: number;
  /** Processor time until then, s, and the most memory held, MiB. */
  cpuSec: number;
  peakMiB: number;
  entries: number;
}

/** Processor seconds of a process so far: utime and stime of proc(5), in ticks of 10 ms. */
function cpuSecOf(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'latin1').split(') ')[1].split(' ');
  return (Number(fields[11]) + Number(fields[12])) / 100;
}

/** Most memory a process has held, MiB. */
export function peakMiBOf(pid: number): number {
  const peak = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${pid}/status`, 'latin1'));
  return Number(peak?.[1] ?? 0) / 1024;
}

/** The first good answer of a host that is starting. */
export async function answered(host: ChildProcess, url: string): Promise<Response> {
  for (;;) {
    if (host.exitCode !== null) throw new Error('The host ended before it answered.');
    const answer = await fetch(url).catch(() => undefined);
    if (answer?.ok) return answer;
    await sleep(LOOK_MS);
  }
}

/** Starts `serve` on a log book, waits for its first answers, and ends it in good order. */
export async function startOn(args: string[], port: number): Promise<Start> {
  const began = performance.now();
  const since = (): number => (performance.now() - began) / 1000;
  const host = spawn(process.execPath, ['build/host/main.js', ...args], {
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  try {
    await answered(host, `http://127.0.0.1:${port}/api/status`);
    const statusSec = since();
    const page = (await (await answered(host, `http://127.0.0.1:${port}/api/logbook`)).json()) as LogbookView;
    const pid = host.pid as number;
    const cpuSec = cpuSecOf(pid);
    return { statusSec, logbookSec: since(), cpuSec, peakMiB: peakMiBOf(pid), entries: page.chain.entries };
  } finally {
    const ended = once(host, 'exit');
    host.kill('SIGTERM');
    await ended;
  }
}
