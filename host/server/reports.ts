// Makes reports and labels for the page in a process of its own, by the command that people use too: the host goes on answering,
// whatever the size of the log book. One at a time, with less right to the processor than the host.
import { type ChildProcess, fork } from 'node:child_process';
import { mkdtempSync, readdirSync, rmSync } from 'node:fs';
import { createRequire } from 'node:module';
import { setPriority, tmpdir } from 'node:os';
import { join } from 'node:path';
import type { LabelsRequest } from '../api/labels';
import type { DefectSources } from '../house/view/defects';
import { isInMemory } from '../logbook/engines/open';
import type { Site } from '../site/model';

export interface ReportAsked {
  /** Local dates. */
  from: string;
  to: string;
  format: 'pdf' | 'csv';
  paper: 'a4' | 'letter';
  /** Id of the only luminaire it is about. */
  luminaire?: string;
}

/** Labels, of which nothing is in the log book. */
export interface LabelsAsked extends LabelsRequest {
  format: 'labels';
}

export type FileAsked = ReportAsked | LabelsAsked;

/** What the process is told. */
export type ReportOrders = FileAsked & FileOrders;

interface FileOrders {
  site: Site;
  db: string;
  /** UTC second. */
  now: number;
  simulated: boolean;
  /** What the controllers last reported to this host. */
  contacts: NonNullable<DefectSources['contacts']>;
  /** File to write, alone in its folder. */
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
  /**
   * @param left aborted once nobody waits for it any more
   * @throws Error with one sentence if it cannot be made; what it is about is checked before
   */
  make(asked: FileAsked, left?: AbortSignal): Promise<MadeReport>;
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
  /** What the controllers last reported. */
  contacts(): ReportOrders['contacts'];
  /** Most memory for the objects of its process, MB; a report of 20,000 luminaires needs less than the default. */
  memoryMb?: number;
}

/** A report must not take the processor from the host: Unix niceness, 0 to 19. */
const NICENESS = 10;
const MEMORY_MB = 1200;

/** Why it ended without an answer. The interpreter aborts when its memory is full. */
function endedWords(code: number | null, signal: string | null): string {
  if (signal === 'SIGABRT' || code === 134)
    return 'The report needs more memory than this host may give it; ask for a shorter period, or make it from a copy of the log book by the command "report".';
  return `The process that makes the report was ended by ${signal ?? `an error (code ${code})`}.`;
}

/** Why the host cannot keep the report while it is read, by the code of the system's error. */
export function cannotWrite(code: string | undefined): string {
  if (code === 'ENOSPC') return 'The disk of the host is full, so the report cannot be written.';
  return `The host cannot write the report to its disk for temporary files (${code}).`;
}

function answerOf(child: ChildProcess): Promise<ReportAnswer> {
  return new Promise((done, fail) => {
    let answer: ReportAnswer | undefined;
    child.on('message', (word: ReportAnswer) => {
      answer = word;
    });
    child.on('error', fail);
    child.on('exit', (code, signal) => {
      if (answer) done(answer);
      else fail(new Error(endedWords(code, signal)));
    });
  });
}

/** Begins the name of every folder for a report, before the number of the process that made it. */
const FOLDER = 'nightproof-report-';

function isRunning(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch (error) {
    return (error as NodeJS.ErrnoException).code !== 'ESRCH';
  }
}

/** Removes reports of hosts that were killed while somebody read them. What cannot be removed stays. */
function removeLeftovers(): void {
  try {
    for (const name of readdirSync(tmpdir())) {
      const pid = Number(new RegExp(`^${FOLDER}(\\d+)-\\w+$`).exec(name)?.[1]);
      if (pid > 0 && !isRunning(pid)) rmSync(join(tmpdir(), name), { recursive: true, force: true });
    }
  } catch {
    // Somebody else's, or no such folder: a report that cannot be written will say so.
  }
}

/** @throws Error with one sentence, without names of the host's own folders: it is shown on the page. */
function newFolder(): string {
  try {
    return mkdtempSync(join(tmpdir(), `${FOLDER}${process.pid}-`));
  } catch (error) {
    throw new Error(cannotWrite((error as NodeJS.ErrnoException).code));
  }
}

/** Whether one is being made, of whichever building of this host: they share its processor. */
let isMaking = false;

/** See `ReportMaker`. */
export function newReportMaker(o: ReportMakerOptions): ReportMaker {
  const { site, db, simulated, now, contacts, memoryMb = MEMORY_MB } = o;
  removeLeftovers();
  let child: ChildProcess | undefined;
  const run = async (orders: ReportOrders, left?: AbortSignal): Promise<void> => {
    const { resolve } = createRequire(import.meta.url);
    const execArgv = [`--max-old-space-size=${memoryMb}`];
    child = fork(resolve('#root/build/host/main.js'), ['report-part'], { execArgv });
    isMaking = true;
    const leave = (): void => void child?.kill('SIGKILL');
    left?.addEventListener('abort', leave);
    try {
      if (left?.aborted) leave();
      if (child.pid !== undefined) setPriority(child.pid, NICENESS);
      child.send(orders);
      const { cannot } = await answerOf(child);
      if (cannot !== '') throw new Error(cannot);
    } finally {
      left?.removeEventListener('abort', leave);
      child = undefined;
      isMaking = false;
    }
  };
  return {
    async make(asked, left) {
      if (isMaking) throw new Error('Another report is being made; ask again in a minute.');
      if (asked.format !== 'labels' && isInMemory(db))
        throw new Error('This log book is in memory only, so no report can be made of it.');
      const folder = newFolder();
      const remove = (): void => rmSync(folder, { recursive: true, force: true });
      const file = join(folder, `report.${asked.format}`);
      try {
        await run({ ...asked, site, db, now: now(), simulated, contacts: contacts(), out: file }, left);
      } catch (error) {
        remove();
        throw error;
      }
      return { file, remove };
    },
    isBusy: () => isMaking,
    stop: () => void child?.kill('SIGKILL'),
  };
}
