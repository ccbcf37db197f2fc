// Several buildings under one page: the overview at its root, and each building below /b/ and its id, where everything is as
// on the page of a host for one.
import type { Hono } from 'hono';
import { EVERYWHERE, roleAt } from '../accounts/grants';
import type { BuildingLine, BuildingsView } from '../api/buildings';
import { nowSec, systemClock } from '../clock';
import { worstFirst } from './overview';
import {
  addBuilding,
  type BuildingParts,
  type FrameOptions,
  frame,
  type PagePlace,
  servePage,
} from './server';
import { trustRoutes } from './trustPage';

export interface ServedBuildings {
  /** Each in a line. */
  lines(): BuildingLine[];
  /** What is asked of a building; undefined while it is not served. */
  parts(id: string): BuildingParts | undefined;
  /** Whether there is such a building, served or not. */
  has(id: string): boolean;
}

export interface SeveralOptions extends FrameOptions, PagePlace {
  buildings: ServedBuildings;
}

/** What the page is to show: all buildings, or the one in its address. */
function placed(html: string, place: 'all' | 'one'): string {
  return html.replace('<html ', `<html data-buildings="${place}" `);
}

const NOT_SERVED = {
  ...{ ok: false, answer: 'This building is not served at present; the overview of all buildings says why.' },
};

/** The building that a path is below; '' for none. */
function buildingOf(request: Request): string {
  return /^[^:]+:\/\/[^/]+\/b\/([a-z0-9-]+)\//.exec(request.url)?.[1] ?? '';
}

type Authority = Parameters<typeof trustRoutes>[0];

/** What is served of all buildings together, and of one that is not served. */
export function overview(o: SeveralOptions, host: string, authority: Authority): Hono {
  const { page, buildings } = o;
  const where = { building: EVERYWHERE, isShared: true };
  const all = frame({ ...o, page: { ...page, html: placed(page.html, 'all') } }, host, where);
  all.get('/api/overview', (c) => {
    const guest = c.get('guest');
    const isSeen = ({ id }: BuildingLine): boolean =>
      !guest || roleAt(guest.grants, { building: id, isShared: true }) !== undefined;
    const lines = worstFirst(buildings.lines().filter(isSeen));
    return c.json({ now: nowSec(systemClock), buildings: lines } satisfies BuildingsView);
  });
  all.get('/b/:building', (c) => c.redirect(`/b/${encodeURIComponent(c.req.param('building'))}/`));
  // The page of one that is not served asks until it is.
  all.get('/b/:building/', (c) =>
    buildings.has(c.req.param('building')) ? c.html(placed(page.html, 'one')) : c.notFound(),
  );
  all.all('/b/:building/*', (c) =>
    buildings.has(c.req.param('building')) ? c.json(NOT_SERVED, 503) : c.notFound(),
  );
  if (o.tls?.authority) all.route('/', trustRoutes(authority));
  return all;
}

/** All that is served. */
export function severalApplication(
  o: SeveralOptions,
  host: string,
  authority: Authority,
): Pick<Hono, 'fetch'> {
  const { page, buildings } = o;
  const all = overview(o, host, authority);
  const one = placed(page.html, 'one');
  const made = new WeakMap<BuildingParts, Hono>();
  const appOf = (id: string): Hono => {
    const parts = buildings.parts(id);
    if (!parts) return all;
    let app = made.get(parts);
    if (!app) {
      const { numbers: _ofAll, ...own } = o;
      app = frame(
        { ...own, page: { ...page, html: one } },
        host,
        { building: id, isShared: true },
        `/b/${id}`,
      );
      addBuilding(app, { ...parts, desk: o.desk });
      made.set(parts, app);
    }
    return app;
  };
  return {
    fetch(request, ...more) {
      const id = buildingOf(request);
      return (id === '' ? all : appOf(id)).fetch(request, ...more);
    },
  };
}

/** Serves the page of several buildings. @throws Error with one sentence if the port is taken */
export function startSeveral(o: SeveralOptions): ReturnType<typeof servePage> {
  return servePage(o, (host, authority) => severalApplication(o, host, authority));
}
