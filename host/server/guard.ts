// What a request must meet before it is answered. The page has no passwords yet, so by default it is for this
// machine only, and no other web page may reach it through the reader's browser.
import type { Context, MiddlewareHandler } from 'hono';
import { isThisMachine } from '../loopback';

/** Nothing inline, nothing from elsewhere, no framing: of the page, and of every answer that says nothing else. */
const CONTENT_SECURITY_POLICY =
  "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; " +
  "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const LOOPBACK_NAMES = ['localhost', '127.0.0.1', '[::1]'];

function nameOf(hostHeader: string): string {
  return hostHeader.replace(/:\d+$/, '').toLowerCase();
}

/** Why a request is refused, '' if it may pass. */
export function requestRefusal(
  request: { method: string; header(name: string): string | undefined },
  boundTo: string,
): string {
  const host = request.header('host') ?? '';
  // A name that only points here (DNS rebinding) must not give a foreign page our data.
  if (isThisMachine(boundTo) && ![...LOOPBACK_NAMES, boundTo].includes(nameOf(host)))
    return 'This page is only for this machine; open it at 127.0.0.1.';
  if (request.method !== 'POST') return '';
  if (!/^application\/json\b/.test(request.header('content-type') ?? ''))
    return 'An order must be sent as application/json.';
  const origin = request.header('origin');
  const site = request.header('sec-fetch-site');
  if (origin !== undefined ? origin !== `http://${host}` : site !== undefined && site !== 'same-origin')
    return 'An order must come from this page.';
  return '';
}

/** Refuses what must not pass and adds the safety headers to everything else. */
export function guard(boundTo: string): MiddlewareHandler {
  return async (c: Context, next) => {
    const request = { method: c.req.method, header: (name: string) => c.req.header(name) };
    const refusal = requestRefusal(request, boundTo);
    if (refusal) return c.json({ ok: false, answer: refusal }, 403);
    await next();
    // A picture has a policy of its own.
    if (!c.res.headers.has('Content-Security-Policy'))
      c.header('Content-Security-Policy', CONTENT_SECURITY_POLICY);
    c.header('X-Content-Type-Options', 'nosniff');
    c.header('Referrer-Policy', 'no-referrer');
    if (!c.res.headers.has('Cache-Control')) c.header('Cache-Control', 'no-store');
    return undefined;
  };
}
