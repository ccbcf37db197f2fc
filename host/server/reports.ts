// Makes reports for the page in a process of its own, by the command that people use too: the host goes on answering,
// whatever the size of the log book. One at a time, with less right to the processor than the host.
import { type ChildProcess, fork } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { setPriority, tmpdir } from 'node:os';
import { join } from 'node:path';
import { isInMemory } from '../logbook/engines/open';
import type { Site } from '../site/model';

export interface ReportAsked {
  /** Local dates. */
  from: string;
  to: string;
  format: 'pdf' | 'csv';
  paper: 'a4' | 'letter';
}

/** What the process is told. */
export interface ReportOrders extends ReportAsked {
  site: Site;
  db: string;
  /** UTC second. */
  now: number;
  simulated: boolean;
  /** File to write. */
  out: string;
}

/** What it answers: why it could not, '' if all is well. */
export interface ReportAnswer {
  cannot: string;
}

export interface MadeReport {
  file: string;
  /** To be called once it has been read. */
  remove(): void;
}

export interface ReportMaker {
  /** @throws Error with one sentence if it cannot be made; what it is about is checked before. */
  make(asked: ReportAsked): Promise<MadeReport>;
  /** Another one is being made. */
  isBusy(): boolean;
  stop(): void;
}

export interface ReportMakerOptions {
  site: Site;
  db: string;
  simulated: boolean;
  /** UTC second. */
  now(): number;
}

/** A report must not take the processor from the host: Unix niceness, 0 to 19. */
const NICENESS = 10;

function answerOf(child: ChildProcess): Promise<ReportAnswer> {
  return new Promise((done, fail) => {
    let answer: ReportAnswer | undefined;
    child.on('message', (word: ReportAnswer) => {
      answer = word;
    });
    child.on('error', fail);
    child.on('exit', (code, signal) => {
      if (answer) done(answer);
      else
        fail(
          new Error(`The process that makes the report was ended by ${signal ?? `an error (code ${code})`}.`),
        );
    });
  });
}

/** See `ReportMaker`. */
export function newReportMaker({ site, db, simulated, now }: ReportMakerOptions): ReportMaker {
  let child: ChildProcess | undefined;
  const run = async (orders: ReportOrders): Promise<void> => {
    const { resolve } = createRequire(import.meta.url);
    child = fork(resolve('#root/build/host/main.js'), ['report-part'], { execArgv: [] });
    try {
      if (child.pid !== undefined) setPriority(child.pid, NICENESS);
      child.send(orders);
      const { cannot } = await answerOf(child);
      if (cannot !== '') throw new Error(cannot);
    } finally {
      child = undefined;
    }
  };
  return {
    async make(asked) {
      if (child) throw new Error('Another report is being made; ask again in a minute.');
      if (isInMemory(db)) throw new Error('This log book is in memory only, so no report can be made of it.');
      const folder = mkdtempSync(join(tmpdir(), 'nightproof-report-'));
      const remove = (): void => rmSync(folder, { recursive: true, force: true });
      const file = join(folder, `report.${asked.format}`);
      try {
        await run({ ...asked, site, db, now: now(), simulated, out: file });
      } catch (error) {
        remove();
        throw error;
      }
      return { file, remove };
    },
    isBusy: () => child !== undefined,
    stop: () => void child?.kill('SIGKILL'),
  };
}
