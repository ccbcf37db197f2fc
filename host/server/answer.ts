// Answers as they leave: compressed in another thread, kept while what they are made of stays the same, and not sent
// again to a browser that has them.
import { createHash } from 'node:crypto';
import { promisify } from 'node:util';
import { gunzip, gzip } from 'node:zlib';
import type { Context } from 'hono';

const pack = promisify(gzip);
const unpack = promisify(gunzip);
const JSON_TYPE = 'application/json';
const PACKED = { 'Content-Encoding': 'gzip', Vary: 'Accept-Encoding' };

function takesGzip(c: Context): boolean {
  return /\bgzip\b(?!\s*;\s*q=0(?:\.0*)?\s*(?:,|$))/i.test(c.req.header('Accept-Encoding') ?? '');
}

/** A view as JSON, compressed for who takes that. */
export async function answer(c: Context, view: object): Promise<Response> {
  const text = JSON.stringify(view);
  const type = { 'Content-Type': JSON_TYPE };
  if (!takesGzip(c)) return c.body(text, 200, { ...type, Vary: PACKED.Vary });
  return c.body(new Uint8Array(await pack(text)), 200, { ...type, ...PACKED });
}

interface Packed {
  bytes: Buffer;
  /** Names this very text. */
  tag: string;
}

async function packed(text: string): Promise<Packed> {
  const tag = createHash('sha256').update(text).digest('base64url').slice(0, 27);
  return { bytes: await pack(text), tag: `W/"${tag}"` };
}

/** Whether a browser says that it has this text; weak comparison, RFC 9110 clause 13.1.2 (2022). */
function hasIt(c: Context, tag: string): boolean {
  const known = c.req.header('If-None-Match') ?? '';
  return known
    .split(',')
    .some((one) => one.trim() === '*' || one.trim().replace(/^W\//, '') === tag.slice(2));
}

/**
 * One answer that seldom changes. It is made anew when `source` is another than the last time, and only then: `source`
 * must be another whenever the text would be.
 */
export class KeptAnswer {
  private source: unknown;
  private kept: Promise<Packed> | undefined;

  constructor(private readonly type = JSON_TYPE) {}

  /** @param make the text; what it throws is passed on, and nothing is kept */
  async send(c: Context, source: unknown, make: () => string): Promise<Response> {
    const { bytes, tag } = await this.of(source, make);
    c.header('ETag', tag);
    // Whoever has it asks each time whether it is still the same.
    c.header('Cache-Control', 'private, no-cache');
    c.header('Vary', PACKED.Vary);
    if (hasIt(c, tag)) return c.body(null, 304);
    c.header('Content-Type', this.type);
    if (!takesGzip(c)) return c.body(new Uint8Array(await unpack(bytes)));
    c.header('Content-Encoding', PACKED['Content-Encoding']);
    return c.body(new Uint8Array(bytes));
  }

  private async of(source: unknown, make: () => string): Promise<Packed> {
    if (this.kept === undefined || this.source !== source) {
      this.kept = packed(make());
      this.source = source;
    }
    try {
      return await this.kept;
    } catch (error) {
      this.kept = undefined;
      throw error;
    }
  }
}
