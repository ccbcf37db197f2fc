// Withdrawing an entry of the log book over HTTP.
import { Hono } from 'hono';
import { z } from 'zod';
import type { OrderOutcome } from '../api/views';
import type { Entering } from '../house/enter';
import { accountOf, signedBody } from './rights';

export interface WithdrawalParts {
  entering: Entering;
  /** UTC second. */
  now(): number;
}

/** Which entry is withdrawn, and why. */
export const withdrawal = z.strictObject({
  entry: z.int().min(1),
  who: z.string().max(1000),
  why: z.string().max(1000),
});
const HELP = 'To withdraw an entry give "entry", its number in the log book, "who": your name, and "why".';

/** All answers about withdrawals under /api. */
export function withdrawalRoutes({ entering, now }: WithdrawalParts): Hono {
  const api = new Hono();
  api.post('/withdrawals', async (c) => {
    const wish = withdrawal.safeParse(signedBody(c, await c.req.json().catch(() => undefined)));
    if (!wish.success) return c.json({ ok: false, answer: HELP } satisfies OrderOutcome, 400);
    return c.json(await entering.by(accountOf(c)).withdraw(wish.data, now()));
  });
  return api;
}
