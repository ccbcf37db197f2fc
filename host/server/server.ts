// The page and its JSON interface over HTTP.
import { type Context, Hono, type MiddlewareHandler } from 'hono';
import { bodyLimit } from 'hono/body-limit';
import { compress } from 'hono/compress';
import { etag } from 'hono/etag';
import type { Metrics } from '../integrators/metrics';
import { LogbookError } from '../logbook/logbook';
import { isThisMachine } from '../loopback';
import type { Tls } from '../tls/kept';
import { accountRoutes } from './accountRoutes';
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
}

/** What is served of one building. */
export interface BuildingParts extends Omit<RouteParts, 'desk'> {
  pictures: Pictures;
}

export interface ServerOptions extends RouteParts {
  page: Page;
  pictures: Pictures;
  /** The numbers for Prometheus, where they are wanted. */
  numbers?: Pick<Metrics, 'text'>;
  /** Told of what nobody expected, one sentence each. */
  onProblem?(sentence: string): void;
  /** TCP port; 0 for any free one. */
  port: number;
  /** Address to listen on; this machine only (127.0.0.1) by default. */
  host?: string;
  names?: Names;
  tls?: Tls;
}

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

/** What seldom changes: a browser keeps it, and asks each time whether it is still the same. */
const SELDOM = ['/', '/app.js', '/app.css', '/api/building', '/api/plan'];

const askAgain: MiddlewareHandler = async (c, next) => {
  await next();
  c.header('Cache-Control', 'private, no-cache');
};

const UNEXPECTED = '; the reason is in its own lines. Try again in a moment.';

/** All that is served there. @param authority the one in force */
export function application(
  options: ServerOptions,
  host: string,
  authority = () => options.tls?.authority,
): Hono {
  const app = new Hono();
  const { html, script, style } = options.page;
  const text = (body: string, type: string) => () =>
    new Response(body, { headers: { 'Content-Type': `${type}; charset=utf-8` } });
  const { desk, tls, names } = options;
  const isTls = tls !== undefined;
  app.use(
    '*',
    guard({ boundTo: host, ...(names && { names }), isTls, isLasting: isTls && tls.authority === undefined }),
  );
  app.use('*', admit(desk, { isTls, isHere: isThisMachine(host) }));
  app.use('*', compress());
  for (const path of SELDOM) app.use(path, askAgain, etag());
  const tooLong = (c: Context) => c.json({ ok: false, answer: 'The request is too long.' }, 413);
  const short = bodyLimit({ maxSize: BODY_BYTES, onError: tooLong });
  app.use('/api/*', (c, next) => (LONG.includes(c.req.path) ? next() : short(c, next)));
  app.get('/', text(html, 'text/html'));
  app.get('/app.js', text(script, 'text/javascript'));
  app.get('/app.css', text(style, 'text/css'));
  app.get('/calendar.ics', (c) =>
    c.body(options.outlook.calendar(), 200, { 'Content-Type': 'text/calendar; charset=utf-8' }),
  );
  app.get('/metrics', async (c) => {
    const numbers = await options.numbers?.text();
    if (!numbers)
      return c.json({ ok: false, answer: 'Start the host with --metrics to have numbers here.' }, 404);
    return c.body(numbers.text, 200, { 'Content-Type': numbers.type });
  });
  app.route('/floor-plans', floorPlanRoutes(options.pictures));
  app.route('/api', apiRoutes(options));
  app.route('/api', accountRoutes(desk, isTls));
  if (tls?.authority) app.route('/', trustRoutes(authority));
  app.notFound((c) => c.json({ ok: false, answer: 'There is nothing at this address.' }, 404));
  app.onError((error, c) => {
    options.onProblem?.(`${c.req.method} ${c.req.path} could not be answered: ${error.message}`);
    // A sentence about the log book is made for people; any other may tell of the inside.
    const why = error instanceof LogbookError ? `: ${error.message}` : UNEXPECTED;
    return c.json({ ok: false, answer: `The host could not answer${why}` }, 500);
  });
  return app;
}

/** Why the page cannot be served there. */
export function noPage({ port, host }: Place): (error: NodeJS.ErrnoException) => string {
  return (error) => {
    const why =
      error.code === 'EADDRINUSE' ? 'another program is using it; choose another with --port' : error.message;
    return `The page cannot be served on ${host} port ${port}: ${why}.`;
  };
}

/**
 * Serves the page.
 * @throws Error with one sentence if the port is taken.
 */
export async function startServer(options: ServerOptions): Promise<PageServer> {
  const host = options.host ?? '127.0.0.1';
  let { tls } = options;
  const app = application(options, host, () => tls?.authority);
  const secure = tls && { cert: tls.cert, key: tls.key };
  const place = { port: options.port, host, ...(secure && { secure }) };
  const server = await listen(app, place, noPage(place));
  const { port } = server;
  const name = options.names?.present()[0] ?? host;
  return {
    url: urlOf({ ...place, host: name, port }),
    port,
    renew(next) {
      tls = next;
      server.renew({ cert: next.cert, key: next.key });
    },
    close() {
      options.hub.close();
      return server.close();
    },
  };
}
