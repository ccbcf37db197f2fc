// Passkeys over HTTP: made, removed, and used to sign in.
import { isIP } from 'node:net';
import { type Context, Hono } from 'hono';
import { z } from 'zod';
import type { Desk, Entry } from '../accounts/desk';
import type { Place } from '../accounts/passkeys';
import { password, reading, signedIn } from './accountRequest';
import { addressOf } from './guard';

/** What a browser answers is a few hundred bytes, with an RSA key a thousand more. */
const response = z.string().max(3500);
export const passkeyOffered = z.strictObject({ password });
export const passkeyMade = z.strictObject({ name: z.string().max(200), response });
export const passkeyShown = z.strictObject({ response });
export const passkeyRemoved = passkeyOffered.extend({ id: z.string().max(2000) });

const NOT_HERE = {
  ok: false,
  answer: 'Passkeys need the page at a host name over TLS, or at localhost; an address of numbers has none.',
};

/** Where passkeys can be used: browsers keep them for names only, and for pages that nobody has changed on the way. */
export function passkeyPlace(c: Context, isTls: boolean): Place | undefined {
  const asked = (c.req.header('host') ?? '').toLowerCase();
  const host = asked.replace(/:\d+$/, '');
  if (host === '' || host.startsWith('[') || isIP(host) !== 0) return undefined;
  if (!isTls && host !== 'localhost') return undefined;
  return { host, origin: `${isTls ? 'https' : 'http'}://${asked}` };
}

/** How a session begins, and the one before ends. */
interface Sessions {
  answer(c: Context, entry: Entry): Response;
  leave(c: Context): void;
}

export function passkeyRoutes(desk: Desk, isTls: boolean, { answer, leave }: Sessions): Hono {
  const api = new Hono();
  const offer = signedIn(passkeyOffered, async (c, wish, guest) => {
    const place = passkeyPlace(c, isTls);
    if (!place) return c.json(NOT_HERE, 400);
    const proved = await desk.prove(guest, wish.password, addressOf(c));
    return proved.ok ? c.json(await desk.passkeys.offer(guest.person, place)) : answer(c, proved);
  });
  const add = signedIn(passkeyMade, async (c, wish, guest) => {
    const place = passkeyPlace(c, isTls);
    return place ? answer(c, await desk.passkeys.add(guest.person, wish, place)) : c.json(NOT_HERE, 400);
  });
  const remove = signedIn(passkeyRemoved, async (c, wish, guest) => {
    const proved = await desk.prove(guest, wish.password, addressOf(c));
    return answer(c, proved.ok ? await desk.passkeys.remove(guest.person, wish.id) : proved);
  });
  const use = reading(passkeyShown, async (c, wish) => {
    const place = passkeyPlace(c, isTls);
    if (!place) return c.json(NOT_HERE, 400);
    const entry = await desk.usePasskey(wish.response, place, addressOf(c));
    if (entry.ok) leave(c);
    return answer(c, entry);
  });
  api.get('/passkeys', (c) => c.json(desk.passkeys.list(c.get('guest')?.person.id ?? '')));
  api.post('/passkeys/options', offer);
  api.post('/passkeys', add);
  api.post('/passkeys/remove', remove);
  api.post('/session/passkey/options', async (c) => {
    const place = passkeyPlace(c, isTls);
    return place ? c.json(await desk.passkeys.ask(place, addressOf(c))) : c.json(NOT_HERE, 400);
  });
  api.post('/session/passkey', use);
  return api;
}
