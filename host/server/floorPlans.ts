// The pictures of floor plans. The page shows them as images, in which nothing runs and nothing is fetched; the policy
// says the same to whoever opens one by its own address.
import { dirname, join } from 'node:path';
import { Hono } from 'hono';
import { etag, RETAINED_304_HEADERS } from 'hono/etag';
import type { FloorPlan, Site } from '../site/model';
import { readPicture, type Seen } from '../site/picture';

/** Draws with what is inside, and nothing else. */
const PICTURE_POLICY =
  "default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; base-uri 'none'; " +
  "form-action 'none'; frame-ancestors 'none'; sandbox";

/** The picture of a floor plan by its id; undefined for a plan that is not there. */
export type Pictures = (id: string) => Seen | undefined;

function seenOf({ picture }: FloorPlan, siteFile: string): Seen {
  return readPicture(join(dirname(siteFile), picture));
}

/** The pictures of a site, read at each request: a new one needs no restart. */
export function picturesOf(site: Site, siteFile: string): Pictures {
  return (id) => {
    const plan = site.floorPlans?.find((one) => one.id === id);
    return plan && seenOf(plan, siteFile);
  };
}

/** One sentence for each floor plan whose picture cannot be shown. */
export function missingPictures({ floorPlans = [] }: Site, siteFile: string): string[] {
  return floorPlans.flatMap((plan) => {
    const seen = seenOf(plan, siteFile);
    const { id, picture } = plan;
    return 'message' in seen ? [`Floor plan "${id}" cannot be shown: ${picture}: ${seen.message}`] : [];
  });
}

/** All answers under /floor-plans. */
export function floorPlanRoutes(pictures: Pictures): Hono {
  const plans = new Hono();
  // "Not modified" replaces the headers a browser has stored: the policy must be among them.
  plans.use('*', etag({ retainedHeaders: [...RETAINED_304_HEADERS, 'Content-Security-Policy'] }));
  plans.get('/:id', (c) => {
    const id = c.req.param('id');
    const seen = pictures(id);
    if (!seen) return c.json({ ok: false, answer: `There is no floor plan "${id}" in this site.` }, 404);
    if ('message' in seen)
      return c.json({ ok: false, answer: `The picture cannot be shown: ${seen.message}` }, 404);
    return c.body(new Uint8Array(seen.picture.bytes), 200, {
      'Content-Type': seen.picture.type,
      'Content-Security-Policy': PICTURE_POLICY,
      // Asked about each time, and sent only if it has changed.
      'Cache-Control': 'no-cache',
    });
  });
  return plans;
}
