// A report as a download: the same file as the command writes.
import { createReadStream, statSync } from 'node:fs';
import { Readable } from 'node:stream';
import { type Context, Hono } from 'hono';
import { z } from 'zod';
import { periodOf } from '../report/period';
import type { Site } from '../site/model';
import type { ReportAsked, ReportMaker } from './reports';

export interface ReportParts {
  site: Site;
  reports: ReportMaker;
}

const question = z.object({
  from: z.string(),
  to: z.string(),
  format: z.enum(['pdf', 'csv']).default('pdf'),
  paper: z.enum(['a4', 'letter']).default('a4'),
});

const TYPES = { pdf: 'application/pdf', csv: 'text/csv; charset=utf-8' } as const;

/** The question, or what is wrong with it. */
function read(site: Site, query: Record<string, string>): ReportAsked | string {
  const asked = question.safeParse(query);
  if (!asked.success) return 'A report takes from and to, format pdf or csv, and paper a4 or letter.';
  try {
    periodOf(site, asked.data.from, asked.data.to);
    return asked.data;
  } catch (error) {
    return (error as Error).message;
  }
}

async function download(c: Context, { site, reports }: ReportParts, asked: ReportAsked): Promise<Response> {
  const { file, remove } = await reports.make(asked);
  const name = `emergency-lighting-${site.id}-${asked.from}-${asked.to}.${asked.format}`;
  const { size } = statSync(file);
  const stream = createReadStream(file);
  // Read to its end, or given up by the reader: in either case nobody needs it any more.
  stream.once('close', remove);
  return c.body(Readable.toWeb(stream) as ReadableStream, 200, {
    'Content-Type': TYPES[asked.format],
    'Content-Disposition': `attachment; filename="${name}"`,
    'Content-Length': String(size),
  });
}

/** Reports under /api. */
export function reportRoutes(parts: ReportParts): Hono {
  const api = new Hono();
  api.get('/report', async (c) => {
    // Only who reads it may have it made: a foreign page, or a question after its size, must not cost a minute of work.
    const from = c.req.header('sec-fetch-site') ?? 'none';
    if (c.req.method === 'HEAD' || (from !== 'same-origin' && from !== 'none'))
      return c.json({ ok: false, answer: 'A report must be asked for from this page.' }, 403);
    const asked = read(parts.site, c.req.query());
    if (typeof asked === 'string') return c.json({ ok: false, answer: asked }, 400);
    if (parts.reports.isBusy())
      return c.json({ ok: false, answer: 'Another report is being made; ask again in a minute.' }, 503);
    try {
      return await download(c, parts, asked);
    } catch (error) {
      return c.json({ ok: false, answer: (error as Error).message }, 503);
    }
  });
  return api;
}
