// What a request must meet before it is answered: it asks for one of the page's own names, and no other web page has sent
// it through the reader's browser.
import type { HttpBindings } from '@hono/node-server';
import type { Context, MiddlewareHandler } from 'hono';
import { isThisMachine, plainAddress } from '../loopback';

/** Nothing inline, nothing from elsewhere, no framing: of the page, and of every answer that says nothing else. */
const CONTENT_SECURITY_POLICY =
  "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self' data:; " +
  "base-uri 'none'; form-action 'none'; frame-ancestors 'none'";

const LOOPBACK_NAMES = ['localhost', '127.0.0.1', '[::1]'];

/** Names and addresses that a page is asked for by, beyond those of this machine; the first for people. */
export interface Names {
  present(): readonly string[];
  /** As the machine's interfaces say now. */
  askedAgain(): readonly string[];
}

/** Where a page is served, and as what. */
export interface Door {
  /** Address it listens on. */
  boundTo: string;
  names?: Names;
  isTls?: boolean;
  /** True if browsers may be told to come by TLS only from now on: with a certificate that everybody trusts. */
  isLasting?: boolean;
}

/** Network address of who asks; '' if it is not known. */
export function addressOf(c: Context): string {
  const { incoming } = (c.env ?? {}) as Partial<HttpBindings>;
  return incoming?.socket.remoteAddress ?? '';
}

function nameOf(hostHeader: string): string {
  return hostHeader.replace(/:\d+$/, '').toLowerCase();
}

/** As a host header has it. */
function inHeader(name: string): string {
  return name.includes(':') && !name.startsWith('[') ? `[${name.toLowerCase()}]` : name.toLowerCase();
}

/** Why a request is refused, '' if it may pass. @param request with the network address it came from */
export function requestRefusal(
  request: { method: string; peer: string; header(name: string): string | undefined },
  { boundTo, names, isTls = false }: Door,
): string {
  const host = request.header('host') ?? '';
  const isHere = isThisMachine(boundTo);
  // From the network nobody asks for this machine by the names that it has for itself.
  const loopback = isHere || isThisMachine(plainAddress(request.peer)) ? LOOPBACK_NAMES : [];
  const isOneOf = (own: readonly string[] = []): boolean =>
    [...loopback, ...own].map(inHeader).includes(nameOf(host));
  // A name that only points here (DNS rebinding) must not give a foreign page our data.
  if (!isOneOf(isHere ? [boundTo] : names?.present()) && !isOneOf(isHere ? [] : names?.askedAgain()))
    return isHere
      ? 'This page is only for this machine; open it at 127.0.0.1.'
      : `This page is not served under that name; open it at ${names?.present()[0] ?? 'an address of this machine'}, or start the host with --name.`;
  if (request.method !== 'POST') return '';
  if (!/^application\/json\b/.test(request.header('content-type') ?? ''))
    return 'An order must be sent as application/json.';
  const origin = request.header('origin');
  const site = request.header('sec-fetch-site');
  const ours = `${isTls ? 'https' : 'http'}://${host}`;
  if (origin !== undefined ? origin !== ours : site !== undefined && site !== 'same-origin')
    return 'An order must come from this page.';
  return '';
}

/** The safety headers of every answer, refusals too. */
function protect(c: Context, { isLasting = false }: Door): void {
  // A picture has a policy of its own.
  if (!c.res.headers.has('Content-Security-Policy'))
    c.header('Content-Security-Policy', CONTENT_SECURITY_POLICY);
  c.header('X-Content-Type-Options', 'nosniff');
  c.header('Referrer-Policy', 'no-referrer');
  c.header('Cross-Origin-Opener-Policy', 'same-origin');
  c.header('Cross-Origin-Resource-Policy', 'same-origin');
  // A year: RFC 6797 (2012). Not with a certificate of our own, which somebody may have to replace, and not for the names
  // of this machine, at which other programs serve other pages.
  if (isLasting && !isThisMachine(nameOf(c.req.header('host') ?? '')))
    c.header('Strict-Transport-Security', 'max-age=31536000');
  if (!c.res.headers.has('Cache-Control')) c.header('Cache-Control', 'no-store');
  // What is left of the body is not read, so nothing else can follow it on this connection (RFC 9110, 15.5.14).
  if (c.res.status === 413) c.header('Connection', 'close');
}

/** Refuses what must not pass and adds the safety headers to everything. */
export function guard(door: Door): MiddlewareHandler {
  return async (c, next) => {
    const request = {
      method: c.req.method,
      peer: addressOf(c),
      header: (name: string) => c.req.header(name),
    };
    const refusal = requestRefusal(request, door);
    if (refusal) c.res = c.json({ ok: false, answer: refusal }, 403);
    else await next();
    protect(c, door);
  };
}
