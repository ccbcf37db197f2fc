// A log book of many records, as a large house writes them in decades, and how long the host takes to start on it.
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import { setTimeout as sleep } from 'node:timers/promises';
import { Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import type { LogbookView } from '../../host/api/views';
import { listNote } from '../../host/house/notes/listing';
import { writeNote } from '../../host/house/notes/notes';
import type { KeyRing } from '../../host/keys';
import { openLogbook } from '../../host/logbook/engines/open';
import type { Site } from '../../host/site/model';
import { newJournal, resultFields } from '../host/logbook/records';

const BATCH = 2000;
/** Of ten records so many are results; the others say what happens around tests. */
const RESULTS_OF_TEN = 3;
/** Of so many luminaires one fails each test, and one result in so many is of a duration test. */
const FAILS_ONE_IN = 200;
const FULL_ONE_IN = 12;
const LOOK_MS = 20;
/** UTC second before the first record. */
const BEGAN = 1_770_000_000;

/** A result in which some luminaires fail, and most were lit a little longer than the others. */
function resultOf(circuit: number, luminaires: number, turn: number): object {
  const isFull = turn % FULL_ONE_IN === 0;
  const seconds = isFull ? 3600 : 90;
  const rows = Array.from({ length: luminaires }, (_, i) =>
    (circuit * luminaires + i) % FAILS_ONE_IN === 0
      ? [Verdict.Fail, Reason.NotLitAtFiveSeconds, 0, 300, 300, 20, 2]
      : [Verdict.Pass, 0, seconds, 300, 300, 290, 2],
  );
  return resultFields(rows, { test: turn, type: isFull ? TestKind.Full : TestKind.Brief, seconds });
}

/** Writes `records` records of a site's controllers, in turn, into a new log book. */
export async function writeLongBook(db: string, site: Site, keys: KeyRing, records: number): Promise<void> {
  const logbook = await openLogbook(db);
  // Without them nobody knows whose rows the results hold, and every luminaire stays untested.
  for (const { id } of site.circuits) await writeNote(logbook, keys, listNote(site, id, 1, BEGAN));
  const journals = site.circuits.map(({ id, luminaires }) => ({
    journal: newJournal(`${site.id}/${id}`, '0a1b2c3d', keys),
    luminaires: luminaires.length,
  }));
  for (let done = 0; done < records; done += BATCH) {
    const batch = Array.from({ length: Math.min(BATCH, records - done) }, (_, i) => {
      const circuit = (done + i) % journals.length;
      const { journal, luminaires } = journals[circuit];
      const turn = Math.floor((done + i) / journals.length);
      return turn % 10 < RESULTS_OF_TEN
        ? journal.record('result', resultOf(circuit, luminaires, turn))
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
export function cpuSecOf(pid: number): number {
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
