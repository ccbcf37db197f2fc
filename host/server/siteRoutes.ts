// The site file as data for the page, and changes to it.
import type { HttpBindings } from '@hono/node-server';
import { type Context, Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { z } from 'zod';
import type { SiteOutcome } from '../api/site';
import { CHANGES_MAX, changes } from '../site/edit/change';
import type { SiteDoor } from '../siteDoor/door';
import { KeptAnswer } from './answer';
import { accountOf, signedBody } from './rights';

export interface SiteParts {
  door: SiteDoor;
  /** UTC second. */
  now(): number;
}

/** Longest list of changes as JSON, bytes. */
const CHANGES_BYTES = 512 * 1024;
/** A change of the site. */
export const siteRequest = z.strictObject({
  revision: z.string().max(64),
  who: z.string().max(1000),
  changes,
});

const counted = z.object({ changes: z.array(z.unknown()) });
const TOO_LONG = `Nothing was saved: the changes have more than ${CHANGES_BYTES / 1024} kB of text; save some of them first.`;

/** What to do where there are more changes than are saved at once; '' if there are not. */
function tooMany(body: unknown): string {
  const length = counted.safeParse(body).data?.changes.length ?? 0;
  return length > CHANGES_MAX
    ? `Nothing was saved: these are ${length} changes, and at most ${CHANGES_MAX} are saved at once; save some of them first.`
    : '';
}

const HELP =
  `A change of the site needs "revision", "who": your name, and "changes": 1 to ${CHANGES_MAX} of ` +
  '{"do": "set", "part", "id", "field", "value"}, {"do": "add", "part", "item"}, {"do": "remove", "part", "id"}, ' +
  '{"do": "rename", "part", "id", "to"} or {"do": "move", "part": "luminaires", "id", "to": a circuit}.';

const refused = (answer: string): SiteOutcome => ({ ok: false, answer, mistakes: [], data: null });

/** Once an answer has left, or its reader has. */
function afterAnswer(c: Context, then: () => void): void {
  const { outgoing } = (c.env ?? {}) as Partial<HttpBindings>;
  // One that is closed already says so no more.
  if (outgoing && !outgoing.closed && !outgoing.destroyed) outgoing.once('close', then);
  else setImmediate(then);
}

/** All answers about the site file under /api. */
export function siteRoutes({ door, now }: SiteParts): Hono {
  const api = new Hono();
  const site = new KeptAnswer();
  api.get('/site', async (c) => {
    const view = await door.view();
    return site.send(c, view, () => JSON.stringify(view));
  });
  const onError = (c: Context) => c.json(refused(TOO_LONG), 413);
  api.post('/site', bodyLimit({ maxSize: CHANGES_BYTES, onError }), async (c) => {
    const body: unknown = await c.req.json().catch(() => undefined);
    const many = tooMany(body);
    if (many !== '') return c.json(refused(many), 413);
    const wish = siteRequest.safeParse(signedBody(c, body));
    if (!wish.success) return c.json(refused(HELP), 400);
    const outcome = await door.change({ ...wish.data, account: accountOf(c) }, now());
    if (outcome.ok) afterAnswer(c, () => door.takeOver());
    return c.json(outcome, outcome.ok ? 200 : outcome.mistakes.length > 0 ? 400 : 409);
  });
  return api;
}
