// `report`: a period of the log book as a PDF to sign and file, or as a table. It changes nothing.
import { resolve } from 'node:path';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { nowSec, systemClock } from '../clock';
import { isSimulated, SIMULATED } from '../logbook/simulated';
import { resultsTable } from '../report/csv';
import { packOf } from '../report/evidence/pack';
import { reportOf } from '../report/ofLuminaire';
import type { PaperSize } from '../report/pdf/paper';
import { writePdf } from '../report/pdf/pdf';
import { type Period, periodOf } from '../report/period';
import { makeReport, statusWords } from '../report/report';
import type { LampTest } from '../report/schedule';
import { documentOf } from '../report/sheets';
import { luminaireDocument } from '../report/sheetsOfLuminaire';
import { takingTurns } from '../report/turns';
import type { ReportOrders } from '../server/reports';
import type { Site } from '../site/model';
import { Mistake } from './arguments';
import { withLogbook } from './baseline';
import { luminaireOf } from './named';
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
  /** Id of the only luminaire it is about. */
  luminaire?: string;
  db: string;
}

function period({ site, from, to }: ReportFlags): Period {
  try {
    return periodOf(site, from, to);
  } catch (error) {
    throw new Mistake((error as Error).message);
  }
}

export interface WriteOptions
  extends Pick<ReportFlags, 'site' | 'out' | 'csv' | 'paper' | 'luminaire' | 'db'> {
  period: Period;
  /** UTC second. */
  now: number;
  simulated: boolean;
  /** What the controllers of a running host last reported, if one asks. */
  contacts?: ReportOrders['contacts'];
}

/** Writes the files asked for. @returns what the first sheet says. @throws Error with one sentence */
export function writeReport({ out, csv, paper, db, luminaire, ...asked }: WriteOptions): Promise<string> {
  const turns = takingTurns();
  return withLogbook({ site: asked.site, db }, async (logbook, keys) => {
    const simulated = asked.simulated || (await isSimulated(logbook));
    const report = await makeReport({ ...asked, simulated, logbook, keys, turns });
    const own = luminaire === undefined ? undefined : reportOf(report, luminaire);
    if (out !== undefined)
      await newStream('--out', out, async (to) =>
        own
          ? writePdf(luminaireDocument(own), to, { paper, turns, attachments: [] })
          : writePdf(documentOf(report), to, { paper, turns, attachments: await packOf(report) }),
      );
    const isWanted = (test: LampTest): boolean => !own || test.luminaire === own.luminaire.id;
    if (csv !== undefined)
      await newStream('--csv', csv, (to) => pipeline(Readable.from(resultsTable(report, isWanted)), to));
    return simulated ? `${SIMULATED} ${statusWords(own ?? report)}` : statusWords(own ?? report);
  });
}

/** @returns the exit code. @throws Error with one sentence for a mistake, or a log book that cannot be read. */
export async function reportCommand(o: ReportFlags): Promise<number> {
  const { site, out, csv } = o;
  if (out === undefined && csv === undefined)
    throw new Mistake('Name a file for the report with --out, or for the table of results with --csv.');
  const asked = period(o);
  const luminaire = o.luminaire === undefined ? undefined : luminaireOf(site, o.luminaire).luminaire.id;
  if (out !== undefined) checkNew('--out', out);
  if (csv !== undefined) checkNew('--csv', csv);
  if (out !== undefined && csv !== undefined && resolve(out) === resolve(csv))
    throw new Mistake('--out and --csv name the same file; give the table another name.');
  const status = await writeReport({
    ...o,
    luminaire,
    period: asked,
    now: nowSec(systemClock),
    simulated: false,
  });
  const files = [out, csv].filter((file) => file !== undefined).join(' and ');
  process.stdout.write(
    `${files}: ${luminaire === undefined ? '' : `${luminaire}, `}${site.name}, ${asked.from} to ${asked.to}. ${status}\n`,
  );
  return 0;
}
