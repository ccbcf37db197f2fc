// `report`: a period of the log book as a PDF to sign and file, or as a table. It changes nothing.
import { resolve } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { nowSec, systemClock } from '../clock';
import { isSimulated, SIMULATED } from '../logbook/simulated';
import { resultsTable } from '../report/csv';
import { packOf } from '../report/evidence/pack';
import type { PaperSize } from '../report/pdf/paper';
import { writePdf } from '../report/pdf/pdf';
import { type Period, periodOf } from '../report/period';
import { makeReport, statusWords } from '../report/report';
import { documentOf } from '../report/sheets';
import { takingTurns } from '../report/turns';
import type { Site } from '../site/model';
import { Mistake } from './arguments';
import { withLogbook } from './baseline';
import { checkNew, newStream } from './newFile';

export interface ReportFlags {
  site: Site;
  /** Local dates. */
  from: string;
  to: string;
  /** File of the PDF, and of the table. */
  out?: string;
  csv?: string;
  paper: PaperSize;
  db: string;
}

function period({ site, from, to }: ReportFlags): Period {
  try {
    return periodOf(site, from, to);
  } catch (error) {
    throw new Mistake((error as Error).message);
  }
}

export interface WriteOptions extends Pick<ReportFlags, 'site' | 'out' | 'csv' | 'paper' | 'db'> {
  period: Period;
  /** UTC second. */
  now: number;
  simulated: boolean;
}

/** Writes the files asked for. @returns what the first sheet says. @throws Error with one sentence */
export function writeReport({ out, csv, paper, db, ...asked }: WriteOptions): Promise<string> {
  const turns = takingTurns();
  return withLogbook(db, async (logbook, keys) => {
    const simulated = asked.simulated || (await isSimulated(logbook));
    const report = await makeReport({ ...asked, simulated, logbook, keys, turns });
    if (out !== undefined)
      await newStream('--out', out, async (to) =>
        writePdf(documentOf(report), to, { paper, turns, attachments: await packOf(report) }),
      );
    if (csv !== undefined)
      await newStream('--csv', csv, (to) => pipeline(Readable.from(resultsTable(report)), to));
    return simulated ? `${SIMULATED} ${statusWords(report)}` : statusWords(report);
  });
}

/** @returns the exit code. @throws Error with one sentence for a mistake, or a log book that cannot be read. */
export async function reportCommand(o: ReportFlags): Promise<number> {
  const { site, out, csv } = o;
  if (out === undefined && csv === undefined)
    throw new Mistake('Name a file for the report with --out, or for the table of results with --csv.');
  const asked = period(o);
  if (out !== undefined) checkNew('--out', out);
  if (csv !== undefined) checkNew('--csv', csv);
  if (out !== undefined && csv !== undefined && resolve(out) === resolve(csv))
    throw new Mistake('--out and --csv name the same file; give the table another name.');
  const status = await writeReport({ ...o, period: asked, now: nowSec(systemClock), simulated: false });
  const files = [out, csv].filter((file) => file !== undefined).join(' and ');
  process.stdout.write(`${files}: ${site.name}, ${asked.from} to ${asked.to}. ${status}\n`);
  return 0;
}
