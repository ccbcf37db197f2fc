// What requests about accounts share: how they are read, and what is said where they cannot be.
import type { Context, Handler } from 'hono';
import { z } from 'zod';
import type { Guest } from '../accounts/desk';
import { PASSWORD_MAX } from '../api/accounts';

/** Longer ones are refused in plain words, but nobody has to read megabytes. */
export const password = z.string().max(8 * PASSWORD_MAX);

const UNREADABLE = { ok: false, answer: 'This host cannot read the request. Load the page again.' };
const NOBODY = { ok: false, answer: 'Sign in first.' };

type Answer = Response | Promise<Response>;

/** Answers a request that holds what `schema` says. */
export function reading<T>(schema: z.ZodType<T>, answer: (c: Context, wish: T) => Answer): Handler {
  return async (c) => {
    const { success, data } = schema.safeParse(await c.req.json().catch(() => undefined));
    return success ? answer(c, data) : c.json(UNREADABLE, 400);
  };
}

/** Answers such a request of somebody who has signed in, and no other. */
export function signedIn<T>(
  schema: z.ZodType<T>,
  answer: (c: Context, wish: T, guest: Guest) => Answer,
): Handler {
  return (c, next) => {
    const guest = c.get('guest');
    if (!guest) return c.json(NOBODY, 401);
    return reading(schema, (_, wish) => answer(c, wish, guest))(c, next);
  };
}
