// Who may do what over HTTP: one table of every route. What is not in it is refused to everybody.
import type { Context, MiddlewareHandler } from 'hono';
import { getCookie } from 'hono/cookie';
import { matchedRoutes } from 'hono/route';
import { mayAct } from '../accounts/account';
import type { Desk, Guest } from '../accounts/desk';
import { EVERYWHERE, roleAt, type Where } from '../accounts/grants';
import type { AccessToken } from '../accounts/token';
import { ROLES, type Role } from '../api/accounts';
import { ENTRY_HEADER } from '../api/inspectionLimits';
import type { TokenScope } from '../api/tokens';
import { addressOf } from './guard';

declare module 'hono' {
  interface ContextVariableMap {
    /** Who is signed in. */
    guest: Guest | undefined;
    /** The same, also with no role here. */
    visitor: Guest | undefined;
    /** Whether who asks may go on being told. */
    mayStay: () => boolean;
    /** Of the session; '' without one. */
    token: string;
    /** What a program has shown instead of signing in. */
    bearer: AccessToken | undefined;
  }
}

/** A role and those above it; somebody signed in, whatever the role; or everyone who reaches the page. */
export type Need = Role | 'somebody' | 'everyone';

/** Every route of the page, by method and pattern. */
export const RIGHTS: Readonly<Record<string, Need>> = {
  'GET /': 'everyone',
  'GET /app.js': 'everyone',
  'GET /app.css': 'everyone',
  'GET /b/:building': 'everyone',
  'GET /b/:building/': 'everyone',
  'GET /api/overview': 'somebody',
  'GET /tongues/:file': 'everyone',
  'GET /trust': 'everyone',
  'GET /nightproof-ca.crt': 'everyone',
  'GET /api/notice': 'everyone',
  'GET /api/session': 'everyone',
  'POST /api/session': 'everyone',
  'POST /api/session/code': 'everyone',
  'POST /api/session/passkey/options': 'everyone',
  'POST /api/session/passkey': 'everyone',
  'POST /api/session/prove': 'somebody',
  'POST /api/session/end': 'somebody',
  'POST /api/password': 'somebody',
  'GET /api/passkeys': 'somebody',
  'POST /api/passkeys': 'somebody',
  'POST /api/passkeys/options': 'somebody',
  'POST /api/passkeys/remove': 'somebody',
  'GET /api/accounts': 'administrator',
  'POST /api/accounts': 'administrator',
  'GET /api/tokens': 'administrator',
  'POST /api/tokens': 'administrator',
  'GET /metrics': 'viewer',
  'GET /calendar.ics': 'viewer',
  'GET /floor-plans/:id': 'viewer',
  'GET /api/building': 'viewer',
  'GET /api/status': 'viewer',
  'GET /api/status/packed': 'viewer',
  'GET /api/plan': 'viewer',
  'GET /api/defects': 'viewer',
  'GET /api/logbook': 'viewer',
  'GET /api/luminaires/:id': 'viewer',
  'GET /api/luminaires/:id/defects': 'viewer',
  'GET /api/events': 'viewer',
  'GET /api/duties': 'viewer',
  'GET /api/site': 'viewer',
  'POST /api/report': 'viewer',
  'POST /api/labels': 'viewer',
  'POST /api/circuits/:id/orders': 'electrician',
  'POST /api/circuits/:id/traces': 'electrician',
  'POST /api/inspections': 'electrician',
  'POST /api/withdrawals': 'electrician',
  'POST /api/site': 'responsible person',
};

/** What access tokens open besides: each scope these routes only. None is an order that moves a relay. */
const OPENED: Readonly<Record<string, TokenScope>> = {
  'GET /calendar.ics': 'calendar',
  'GET /metrics': 'metrics',
  'POST /api/circuits/:id/traces': 'trace',
};

/** Scopes of the access tokens that open a route; to read is all that a viewer sees, and nothing that he has made. */
export function scopesOf(route: string): TokenScope[] {
  const own = Object.hasOwn(OPENED, route) ? [OPENED[route]] : [];
  const isRead = RIGHTS[route] === 'viewer' && route.startsWith('GET ');
  return isRead ? [...own, 'read'] : own;
}

/** The only route at which a token may stand in the address: calendar programs can send none in any other way. */
export const IN_ADDRESS = 'GET /calendar.ics';

/** Tokens are sent as RFC 6750 (2012) has it; '' for none. */
function sentToken(c: Context, route: string): { token: string; scopes: TokenScope[] } {
  const header = /^Bearer +(\S{1,200})$/i.exec(c.req.header('authorization') ?? '')?.[1];
  if (header !== undefined) return { token: header, scopes: scopesOf(route) };
  const inAddress = route === IN_ADDRESS ? (c.req.query('token') ?? '').slice(0, 200) : '';
  return { token: inAddress, scopes: ['calendar'] };
}

/** The cookie of a session; over TLS no other host name can set it (the prefix of RFC 6265bis, from memory). */
export function sessionCookie(isTls: boolean, mark: string): string {
  return `${isTls ? '__Host-' : ''}nightproof${mark === '' ? '' : `-${mark}`}`;
}

/** The route that answers, as in `RIGHTS`; '' if there is none. */
function routeOf(c: Context): string {
  const found = matchedRoutes(c).filter(({ method }) => method !== 'ALL');
  const { method, path } = found[found.length - 1] ?? { method: '', path: '' };
  return method === '' ? '' : `${method} ${path}`;
}

/** As the routes see them: with the role they have here. Of all buildings somebody with a role in some is told those. */
function shownAs(guest: Guest, role: Role | undefined, { building }: Where): Guest | undefined {
  const shown = role ?? (building === EVERYWHERE ? ROLES[0] : undefined);
  return shown && { ...guest, person: { ...guest.person, role: shown } };
}

/**
 * Lets in whom the table lets in, and says to the route who it is.
 * @param where what roles count: those in this building, or those in all
 * @param isHere whether the page is served on this machine only: nowhere else is anybody let in because there are no accounts
 */
export function admit(
  desk: Desk,
  { isTls, isHere, where }: { isTls: boolean; isHere: boolean; where: Where },
): MiddlewareHandler {
  const cookie = sessionCookie(isTls, desk.mark);
  return async (c, next) => {
    const route = routeOf(c);
    // Nothing is there, which may be said to everybody.
    if (route === '') return next();
    const need = Object.hasOwn(RIGHTS, route) ? RIGHTS[route] : undefined;
    if (need === undefined) return c.json({ ok: false, answer: 'Nobody may do this.' }, 403);
    const token = getCookie(c, cookie) ?? '';
    const guest = desk.guest(token, need !== 'everyone');
    const role = guest && roleAt(guest.grants, where);
    c.set('token', token);
    c.set('visitor', guest);
    c.set('guest', guest && shownAs(guest, role, where));
    c.set('mayStay', () => {
      const present = desk.guest(token, false);
      return !desk.asks() || (present !== undefined && roleAt(present.grants, where) !== undefined);
    });
    if (need === 'everyone' || (isHere && !desk.asks())) return next();
    const sent = sentToken(c, route);
    if (sent.token !== '') {
      const shown = desk.tokens.use(sent.token, sent.scopes, addressOf(c));
      // Whoever shows a token is judged by it, whatever cookie comes along.
      if ('refusal' in shown) {
        c.header('WWW-Authenticate', 'Bearer error="invalid_token"');
        return c.json({ ok: false, answer: shown.refusal }, 401);
      }
      c.set('guest', undefined);
      c.set('bearer', shown);
      return next();
    }
    if (!guest) return c.json({ ok: false, answer: desk.trouble() || 'Sign in first.' }, 401);
    if (need === 'somebody') {
      c.set('guest', guest);
      return next();
    }
    if (role && mayAct(role, need)) return next();
    desk.lacks(guest, route);
    const who = `you are signed in as ${guest.person.id}, ${role ?? 'who has no role here'}.`;
    const answer = `Only ${need === 'administrator' ? 'an' : 'a person with the role'} ${need} may do this; ${who}`;
    // A device that keeps an entry until it is stored takes only an answer with its id for this host's.
    const id = c.req.header(ENTRY_HEADER);
    return c.json(
      { ok: false, answer, ...(id !== undefined && { id: id.slice(0, 40), refused: false }) },
      403,
    );
  };
}

/** What was sent, with the name of who is signed in, or of the access token, under it instead of any other. */
export function signedBody(c: Context, body: unknown): unknown {
  const name = c.get('bearer')?.name ?? c.get('guest')?.person.name;
  return name !== undefined && typeof body === 'object' && body !== null ? { ...body, who: name } : body;
}

/** The account of who is signed in, or the access token; undefined where nobody is. */
export function accountOf(c: Context): string | undefined {
  const bearer = c.get('bearer');
  return bearer ? `access token ${bearer.id}` : c.get('guest')?.person.id;
}
