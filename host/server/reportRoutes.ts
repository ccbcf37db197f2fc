// A report or labels as a download: the same file as the command writes.
import { createReadStream, type ReadStream, statSync } from 'node:fs';
import { type Context, Hono } from 'hono';
import { z } from 'zod';
import { LABEL_SHEETS } from '../api/labels';
import { addressOf } from '../labels/labels';
import { periodOf } from '../report/period';
import type { Site } from '../site/model';
import type { FileAsked, LabelsAsked, ReportAsked, ReportMaker } from './reports';

export interface ReportParts {
  site: Site;
  reports: ReportMaker;
}

/** What a report may be asked for. */
export const reportQuestion = z.object({
  from: z.string(),
  to: z.string(),
  format: z.enum(['pdf', 'csv']).default('pdf'),
  paper: z.enum(['a4', 'letter']).default('a4'),
  luminaire: z.string().optional(),
});

/** Characters of an id that are told again. */
const ID_MAX = 24;

const TYPES = { pdf: 'application/pdf', labels: 'application/pdf', csv: 'text/csv; charset=utf-8' } as const;

/** Reports that may wait for their readers at once: each keeps a file. One more ends the oldest. */
const WAITING_MAX = 3;

/** The question, or what is wrong with it. */
function read(site: Site, body: unknown): ReportAsked | string {
  const asked = reportQuestion.safeParse(body);
  if (!asked.success)
    return 'A report takes from and to, format pdf or csv, paper a4 or letter, and the luminaire if it is about one.';
  const { luminaire, ...rest } = asked.data;
  const all = site.circuits.flatMap(({ luminaires }) => luminaires);
  if (luminaire !== undefined && !all.some(({ id }) => id === luminaire))
    return `The site has no luminaire "${luminaire.slice(0, ID_MAX)}"; open its page from its circuit.`;
  try {
    periodOf(site, rest.from, rest.to);
    return { ...rest, ...(luminaire !== undefined && { luminaire }) };
  } catch (error) {
    return (error as Error).message;
  }
}

/**
 * A file as the body of an answer. A reader who leaves, or whose file is taken away, is no fault that the host should
 * complain about: the connection just ends.
 */
function bodyOf(stream: ReadStream): ReadableStream {
  const parts = stream[Symbol.asyncIterator]();
  return new ReadableStream({
    async pull(body) {
      try {
        const { value, done } = await parts.next();
        if (done) body.close();
        else body.enqueue(value);
      } catch {
        body.error(
          Object.assign(new Error('It was not read to its end.'), { code: 'ERR_STREAM_PREMATURE_CLOSE' }),
        );
      }
    },
    cancel: () => void stream.destroy(),
  });
}

interface Downloads extends ReportParts {
  /** Those being read, oldest first. */
  waiting: ReadStream[];
}

/** What labels may be asked for. */
export const labelsQuestion = z.strictObject({
  address: z.string(),
  sheet: z.enum(LABEL_SHEETS),
  circuit: z.string().optional(),
});

/** The labels that are asked for, or what is wrong with the question. */
function readLabels(site: Site, body: unknown): LabelsAsked | string {
  const asked = labelsQuestion.safeParse(body);
  if (!asked.success)
    return `Labels take an address, one of the sheets ${LABEL_SHEETS.join(', ')}, and the circuit if they are for one.`;
  const { circuit } = asked.data;
  if (circuit !== undefined && !site.circuits.some(({ id }) => id === circuit))
    return `The site has no circuit "${circuit.slice(0, ID_MAX)}"; choose it on the page.`;
  try {
    return { ...asked.data, address: addressOf(asked.data.address), format: 'labels' };
  } catch (error) {
    return `The address ${(error as Error).message}`;
  }
}

function nameOf(site: Site, asked: FileAsked): string {
  if (asked.format === 'labels') return `labels-${[site.id, asked.circuit].filter(Boolean).join('-')}.pdf`;
  const of = asked.luminaire === undefined ? site.id : `${site.id}-${asked.luminaire}`;
  return `emergency-lighting-${of}-${asked.from}-${asked.to}.${asked.format}`;
}

async function download(c: Context, o: Downloads, asked: FileAsked): Promise<Response> {
  const { site, reports, waiting } = o;
  const { signal } = c.req.raw;
  const { file, remove } = await reports.make(asked, signal);
  if (signal.aborted) {
    remove();
    throw new Error('Nobody waits for the report any more.');
  }
  if (waiting.length >= WAITING_MAX) waiting.shift()!.destroy();
  const { size } = statSync(file);
  const stream = createReadStream(file);
  // Read to its end, or given up by the reader: in either case nobody needs it any more.
  stream.once('close', () => {
    remove();
    const place = waiting.indexOf(stream);
    if (place >= 0) waiting.splice(place, 1);
  });
  waiting.push(stream);
  return c.body(bodyOf(stream), 200, {
    'Content-Type': TYPES[asked.format],
    'Content-Disposition': `attachment; filename="${nameOf(site, asked)}"`,
    'Content-Length': String(size),
  });
}

/**
 * Reports and labels under /api. They change nothing but take a minute of work, so they are asked for like orders: a foreign page
 * can have a browser fetch any address, but not send JSON.
 */
export function reportRoutes(parts: ReportParts): Hono {
  const api = new Hono();
  const downloads = { ...parts, waiting: [] };
  const answer = async (c: Context, asked: FileAsked | string): Promise<Response> => {
    if (typeof asked === 'string') return c.json({ ok: false, answer: asked }, 400);
    if (parts.reports.isBusy())
      return c.json({ ok: false, answer: 'Another report is being made; ask again in a minute.' }, 503);
    try {
      return await download(c, downloads, asked);
    } catch (error) {
      return c.json({ ok: false, answer: (error as Error).message }, 503);
    }
  };
  const said = (c: Context): Promise<unknown> => c.req.json().catch(() => undefined);
  api.post('/report', async (c) => answer(c, read(parts.site, await said(c))));
  api.post('/labels', async (c) => answer(c, readLabels(parts.site, await said(c))));
  return api;
}
