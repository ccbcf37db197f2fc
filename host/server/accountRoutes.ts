// Signing in and out, and the accounts, over HTTP.
import { type Context, Hono } from 'hono';
import { deleteCookie, getCookie, setCookie } from 'hono/cookie';
import { z } from 'zod';
import type { Desk, Entry } from '../accounts/desk';
import { COOKIE_SEC } from '../accounts/session';
import { ROLES, type SessionView } from '../api/accounts';
import { TOKEN_DAYS_MAX, TOKEN_SCOPES } from '../api/tokens';
import { password, reading, signedIn } from './accountRequest';
import { addressOf } from './guard';
import { passkeyPlace, passkeyRoutes } from './passkeyRoutes';
import { sessionCookie } from './rights';

const id = z.string().max(64);
const name = z.string().max(200);
const role = z.enum(ROLES);
/** What each request must hold. */
export const signIn = z.strictObject({ account: id, password });
export const withCode = z.strictObject({
  account: id,
  password,
  code: z.string().max(64),
  name: name.optional(),
});
export const proving = z.strictObject({ password });
export const ending = z.strictObject({ everywhere: z.boolean() });
export const renewal = z.strictObject({ old: password, password });
export const accountChange = z.discriminatedUnion('do', [
  z.strictObject({ do: z.literal('make'), account: id, name, role, building: id.optional() }),
  z.strictObject({
    do: z.literal('role'),
    account: id,
    role: z.enum([...ROLES, 'none']),
    building: id.optional(),
  }),
  z.strictObject({ do: z.literal(['disable', 'enable', 'code']), account: id }),
]);

export const tokenChange = z.discriminatedUnion('do', [
  z.strictObject({
    ...{ do: z.literal('make'), name, scope: z.enum(TOKEN_SCOPES) },
    days: z.int().min(1).max(TOKEN_DAYS_MAX),
  }),
  z.strictObject({ do: z.literal('withdraw'), token: id }),
]);

/** A browser keeps no cookie longer (Chromium: 400 days), and a device that is used is known anew. */
const DEVICE_SEC = 400 * 86_400;

/** All answers about accounts under /api. */
export function accountRoutes(desk: Desk, isTls: boolean, ownAuthority: boolean): Hono {
  const api = new Hono();
  const session = sessionCookie(isTls, desk.mark);
  const device = `${session}-device`;
  const safe = { path: '/', httpOnly: true, secure: isTls, sameSite: 'Strict' } as const;
  const answer = (c: Context, entry: Entry): Response => {
    const { token, device: known, waitSec, ...outcome } = entry;
    if (token) setCookie(c, session, token, { ...safe, maxAge: COOKIE_SEC });
    if (known) setCookie(c, device, known, { ...safe, maxAge: DEVICE_SEC });
    if (waitSec) c.header('Retry-After', String(waitSec));
    return c.json(outcome, outcome.ok ? 200 : waitSec ? 429 : 400);
  };
  /** Whoever signs in anew leaves the session before. */
  const leave = (c: Context): void => {
    const guest = desk.guest(getCookie(c, session) ?? '', false);
    if (guest) desk.signOut(guest, false);
  };
  api.get('/session', (c) => {
    const person = c.get('guest')?.person ?? null;
    const stranger = person ? '' : (c.get('visitor')?.person.id ?? '');
    const state = { asked: desk.asks(), first: desk.awaitsFirst(), trouble: desk.trouble() };
    const passkeys = passkeyPlace(c, isTls) !== undefined;
    const demonstration = desk.isDemonstration;
    return c.json({
      ...state,
      demonstration,
      person,
      stranger,
      passkeys,
      ownAuthority,
    } satisfies SessionView);
  });
  const enter = reading(signIn, async (c, wish) => {
    const entry = await desk.signIn(wish, { address: addressOf(c), device: getCookie(c, device) ?? '' });
    if (entry.ok) leave(c);
    return answer(c, entry);
  });
  const end = signedIn(ending, (c, wish, guest) => {
    desk.signOut(guest, wish.everywhere);
    deleteCookie(c, session, safe);
    // Its copies of the building, which it may send itself again only after asking: W3C, Clear Site Data (2017).
    c.header('Clear-Site-Data', '"cache"');
    return c.json({ ok: true, answer: 'Signed out.' });
  });
  const useCode = reading(withCode, async (c, wish) => answer(c, await desk.useCode(wish, addressOf(c))));
  const prove = signedIn(proving, async (c, wish, guest) =>
    answer(c, await desk.prove(guest, wish.password, addressOf(c))),
  );
  const renew = signedIn(renewal, async (c, wish, guest) =>
    answer(c, await desk.changePassword(guest, wish, addressOf(c))),
  );
  const change = signedIn(accountChange, async (c, wish, guest) =>
    answer(c, await desk.change(wish, guest.person)),
  );
  const changeToken = signedIn(tokenChange, async (c, wish, guest) => {
    const outcome = await desk.tokens.change(wish, guest.person);
    return c.json(outcome, outcome.ok ? 200 : 400);
  });
  api.post('/session', enter);
  api.post('/session/code', useCode);
  api.post('/session/prove', prove);
  api.post('/session/end', end);
  api.post('/password', renew);
  api.get('/accounts', (c) => c.json(desk.list()));
  api.post('/accounts', change);
  api.get('/tokens', (c) => c.json(desk.tokens.list()));
  api.post('/tokens', changeToken);
  api.route('/', passkeyRoutes(desk, isTls, { answer, leave }));
  return api;
}
