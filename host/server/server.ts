// The page and its JSON interface over HTTP.
import { type Context, type Handler, Hono } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { compress } from 'hono/compress';
import { getPath } from 'hono/utils/url';
import type { Desk } from '../accounts/desk';
import type { Where } from '../accounts/grants';
import type { Metrics } from '../integrators/metrics';
import { LogbookError } from '../logbook/logbook';
import { isThisMachine } from '../loopback';
import { noAddressWords } from '../network/ownAddresses';
import { tonguePath } from '../page/tongues/names';
import type { Tls } from '../tls/kept';
import { accountRoutes } from './accountRoutes';
import { KeptAnswer } from './answer';
import { floorPlanRoutes, type Pictures } from './floorPlans';
import { guard, type Names } from './guard';
import { listen, type Place, urlOf } from './listen';
import { admit } from './rights';
import { apiRoutes, type RouteParts } from './routes';
import { trustRoutes } from './trustPage';

/** The page as texts, see host/page. */
export interface Page {
  html: string;
  script: string;
  style: string;
  /** Of each language that is loaded on demand, by its tag. */
  tongues: Readonly<Record<string, string>>;
}

/** What is served of one building. */
export interface BuildingParts extends Omit<RouteParts, 'desk'> {
  pictures: Pictures;
}

export interface ServerOptions extends BuildingParts, FrameOptions, PagePlace {}

export interface PageServer {
  /** Address for a browser on this machine. */
  url: string;
  port: number;
  /** From now on new connections get this certificate. */
  renew(tls: Tls): void;
  close(): Promise<void>;
}

/** Longest request body, bytes: an order is far shorter. */
const BODY_BYTES = 4096;
/** They have limits of their own. */
const LONG = ['/api/inspections', '/api/site'];

/** A text that stays the same while the host runs. */
function text(body: string, type: string): Handler {
  const kept = new KeptAnswer(`${type}; charset=utf-8`);
  return (c) => kept.send(c, body, () => body);
}

const NO_NUMBERS = 'Start the host with --metrics to have numbers here.';
const NUMBERS_OF_ALL =
  'The numbers of all buildings together are at /metrics, where the host was started with --metrics.';

const UNEXPECTED = '; the reason is in its own lines. Try again in a moment.';

/** What every page has: its files, who may ask for what, and the accounts. */
export interface FrameOptions {
  page: Page;
  /** Where people sign in. */
  desk: Desk;
  names?: Names;
  tls?: Tls;
  /** The numbers for Prometheus, where they are wanted. */
  numbers?: Pick<Metrics, 'text'>;
  /** Told of what nobody expected, one sentence each. */
  onProblem?(sentence: string): void;
}

/**
 * The frame of a page, in which nothing is asked of a building.
 * @param where what roles count there
 * @param base path below which all of it is; '' for none
 */
export function frame(o: FrameOptions, host: string, where: Where, base = ''): Hono {
  const { page, desk, names, tls } = o;
  const app = new Hono({ getPath: (request) => getPath(request).slice(base.length) });
  const isTls = tls !== undefined;
  app.use(
    '*',
    guard({ boundTo: host, ...(names && { names }), isTls, isLasting: isTls && tls.authority === undefined }),
  );
  app.use('*', admit(desk, { isTls, isHere: isThisMachine(host), where }));
  app.use('*', compress());
  const tooLong = (c: Context) => c.json({ ok: false, answer: 'The request is too long.' }, 413);
  const short = bodyLimit({ maxSize: BODY_BYTES, onError: tooLong });
  app.use('/api/*', (c, next) => (LONG.includes(c.req.path) ? next() : short(c, next)));
  app.get('/', text(page.html, 'text/html'));
  app.get('/app.js', text(page.script, 'text/javascript'));
  app.get('/app.css', text(page.style, 'text/css'));
  const tongues = new Map(
    Object.entries(page.tongues).map(([tag, words]) => [tonguePath(tag), text(words, 'text/javascript')]),
  );
  app.get('/tongues/:file', (c, next) => tongues.get(c.req.path)?.(c, next) ?? c.notFound());
  app.notFound((c) => c.json({ ok: false, answer: 'There is nothing at this address.' }, 404));
  app.onError((error, c) => {
    o.onProblem?.(`${c.req.method} ${c.req.path} could not be answered: ${error.message}`);
    // A sentence about the log book is made for people; any other may tell of the inside.
    const why = error instanceof LogbookError ? `: ${error.message}` : UNEXPECTED;
    return c.json({ ok: false, answer: `The host could not answer${why}` }, 500);
  });
  app.get('/metrics', async (c) => {
    const numbers = await o.numbers?.text();
    if (!numbers) return c.json({ ok: false, answer: base === '' ? NO_NUMBERS : NUMBERS_OF_ALL }, 404);
    return c.body(numbers.text, 200, { 'Content-Type': numbers.type });
  });
  app.route('/api', accountRoutes(desk, isTls, tls?.authority !== undefined));
  return app;
}

/** What is asked of one building. */
export function addBuilding(app: Hono, parts: BuildingParts & Pick<FrameOptions, 'desk'>): void {
  app.get('/calendar.ics', (c) =>
    c.body(parts.outlook.calendar(), 200, { 'Content-Type': 'text/calendar; charset=utf-8' }),
  );
  app.route('/floor-plans', floorPlanRoutes(parts.pictures));
  app.route('/api', apiRoutes(parts));
}

/** All that is served of a host for one building. @param authority the one in force */
export function application(
  options: ServerOptions,
  host: string,
  authority = () => options.tls?.authority,
): Hono {
  const app = frame(options, host, { building: options.site.id, isShared: false });
  addBuilding(app, options);
  if (options.tls?.authority) app.route('/', trustRoutes(authority));
  return app;
}

/** Why the page cannot be served there. */
export function noPage({ port, host }: Place): (error: NodeJS.ErrnoException) => string {
  return (error) => {
    const why =
      error.code === 'EADDRINUSE'
        ? 'another program is using it, perhaps Nightproof in another window: stop it there with Ctrl-C, or choose another port with --port'
        : noAddressWords(error, host) || error.message;
    return `The page cannot be served on ${host} port ${port}: ${why}.`;
  };
}

/** Where a page is served, and as what. */
export interface PagePlace extends Pick<FrameOptions, 'names' | 'tls'> {
  /** TCP port; 0 for any free one. */
  port: number;
  /** Address to listen on; this machine only (127.0.0.1) by default. */
  host?: string;
}

/**
 * Serves a page.
 * @param make what is served at an address, with the authority in force
 * @throws Error with one sentence if the port is taken.
 */
export async function servePage(
  o: PagePlace,
  make: (host: string, authority: () => Tls['authority']) => Pick<Hono, 'fetch'>,
): Promise<PageServer> {
  const host = o.host ?? '127.0.0.1';
  let { tls } = o;
  const app = make(host, () => tls?.authority);
  const secure = tls && { cert: tls.cert, key: tls.key };
  const place = { port: o.port, host, ...(secure && { secure }) };
  const server = await listen(app, place, noPage(place));
  const { port } = server;
  const name = o.names?.present()[0] ?? host;
  return {
    url: urlOf({ ...place, host: name, port }),
    port,
    renew(next) {
      tls = next;
      server.renew({ cert: next.cert, key: next.key });
    },
    close: () => server.close(),
  };
}

/**
 * Serves the page of one building.
 * @throws Error with one sentence if the port is taken.
 */
export async function startServer(options: ServerOptions): Promise<PageServer> {
  const server = await servePage(options, (host, authority) => application(options, host, authority));
  return {
    ...server,
    close() {
      options.hub.close();
      return server.close();
    },
  };
}
