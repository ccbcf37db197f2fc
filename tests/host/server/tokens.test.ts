// What a program may do with an access token: every route with every scope, and tokens in an address.
import type { Hono } from 'hono';
import { beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { OrderKind } from '../../../firmware/contract/codes';
import { Desk } from '../../../host/accounts/desk';
import { newToken } from '../../../host/accounts/password';
import { openAccounts } from '../../../host/accounts/store';
import { TOKEN_SCOPES, type TokenScope } from '../../../host/api/tokens';
import { nowSec, systemClock } from '../../../host/clock';
import { RIGHTS } from '../../../host/server/rights';
import { application, type ServerOptions } from '../../../host/server/server';
import { overview } from '../../../host/server/several';

const store = openAccounts(':memory:');
const told: string[] = [];
const desk = new Desk({
  ...{ store, clock: systemClock, enter: async () => {} },
  tell: (sentence) => void told.push(sentence),
});
const secrets = new Map<TokenScope, string>();
/** What was ordered. */
const given: object[] = [];
let app: Hono;
let all: Hono;
let cookie = '';

beforeAll(async () => {
  // Nothing is behind most routes: one that lets somebody through fails with 400, 404 or 500.
  const parts = {
    ...{
      desk,
      past: { notes: {} },
      site: { id: 'demo', circuits: [] },
      page: { html: '', script: '', style: '', tongues: {} },
    },
    ...{ outlook: { calendar: () => 'BEGIN:VCALENDAR' }, now: () => 0, entering: { by: () => ({}) } },
    view: { luminaires: () => [{}] },
    numbers: { text: async () => ({ text: 'nightproof_open_defects 0', type: 'text/plain; version=0.0.4' }) },
    orders: { give: async (_: string, wish: object) => given.push(wish) && { ok: true, answer: 'Done.' } },
  };
  app = application(parts as unknown as ServerOptions, '127.0.0.1');
  const buildings = { lines: () => [], parts: () => undefined, has: () => false };
  all = overview({ desk, page: parts.page, buildings, port: 0 }, '127.0.0.1', () => undefined);
  const none = { isDisabled: false, code: '', codeUntil: 0 };
  store.put({ id: 'ada', name: 'Ada Vail', role: 'administrator', password: 'set', ...none });
  const { token, hash } = newToken();
  const now = nowSec(systemClock);
  store.putSession({ hash, account: 'ada', began: now, used: now, proved: now });
  cookie = `nightproof=${token}`;
  for (const scope of TOKEN_SCOPES) {
    const wish = { do: 'make', name: `For ${scope}`, scope, days: 1 } as const;
    secrets.set(scope, (await desk.tokens.change(wish, { id: 'ada', name: 'Ada Vail' })).secret ?? '');
  }
});
beforeEach(() => void given.splice(0));

function ask(route: string, secret: string, more: Record<string, string> = {}, body: object = {}) {
  const [method, pattern] = route.split(' ');
  const headers = {
    ...{ host: '127.0.0.1', 'content-type': 'application/json', ...more },
    ...(secret !== '' && { authorization: `Bearer ${secret}` }),
  };
  const sent = { method, headers, ...(method === 'POST' && { body: JSON.stringify(body) }) };
  const of = pattern === '/api/overview' ? all : app;
  return Promise.resolve(of.request(pattern.replace(/:\w+/g, 'some'), sent));
}

/** Written down by hand, beside the table that it checks. */
const OPEN: Record<TokenScope, RegExp> = {
  calendar: /^GET \/calendar\.ics$/,
  metrics: /^GET \/metrics$/,
  trace: /^POST \/api\/circuits\/:id\/traces$/,
  read: /^GET \/(calendar\.ics|metrics|floor-plans\/:id|api\/(overview|building|status(\/packed)?|plan|defects|logbook|luminaires\/:id(\/defects)?|events|duties|site))$/,
};

describe('an access token', () => {
  // The overview is a route of a host for several buildings only, and no token opens it.
  const asked = Object.entries(RIGHTS).filter(
    ([route, need]) => need !== 'everyone' && route !== 'GET /api/overview',
  );

  it.each(asked)('opens %s only if it is for that', async (route) => {
    for (const [scope, secret] of secrets)
      expect((await ask(route, secret)).status !== 401, `${scope}: ${route}`).toBe(OPEN[scope].test(route));
  });

  it('orders no more than a trace, whatever else is asked for, and signs it', async () => {
    const secret = secrets.get('trace') ?? '';
    const wish = { do: 'test', kind: 'full', who: 'Somebody Else' };
    const answer = await ask('POST /api/circuits/:id/traces', secret, {}, wish);
    expect(answer.status).toBe(200);
    const [{ id }] = desk.tokens.list().filter(({ scope }) => scope === 'trace');
    expect(given).toMatchObject([{ do: OrderKind.Trace, who: 'For trace', account: `access token ${id}` }]);
    expect((await ask('POST /api/circuits/:id/orders', secret, {}, wish)).status).toBe(401);
    expect(given).toHaveLength(1);
  });

  it('is good in an address for the calendar only, and only one for the calendar is', async () => {
    const at = (path: string, scope: TokenScope) => ask(`GET ${path}?token=${secrets.get(scope)}`, '');
    const answer = await at('/calendar.ics', 'calendar');
    expect(await answer.text()).toBe('BEGIN:VCALENDAR');
    expect(answer.headers.get('cache-control')).toBe('no-store');
    expect(answer.headers.get('referrer-policy')).toBe('no-referrer');
    expect((await at('/calendar.ics', 'read')).status).toBe(401);
    expect((await at('/api/status', 'read')).status).toBe(401);
    expect((await at('/metrics', 'metrics')).status).toBe(401);
  });

  it('is judged by itself, whatever cookie comes along, and is no session', async () => {
    expect((await ask('GET /api/accounts', '', { cookie })).status).toBe(200);
    expect((await ask('GET /api/accounts', secrets.get('read') ?? '', { cookie })).status).toBe(401);
    const asCookie = { cookie: `nightproof=${secrets.get('read')}` };
    expect((await ask('GET /api/status', '', asCookie)).status).toBe(401);
  });

  it('is refused when it is stolen and withdrawn, told of once, and told itself to nobody', async () => {
    const by = { id: 'ada', name: 'Ada Vail' };
    const wish = { do: 'make', name: 'Lost phone', scope: 'calendar', days: 1 } as const;
    const { secret = '' } = await desk.tokens.change(wish, by);
    expect((await ask('GET /calendar.ics', secret)).status).toBe(200);
    const lost = desk.tokens.list().find(({ name }) => name === 'Lost phone')?.id ?? '';
    const withdraw = { do: 'withdraw', token: lost };
    expect((await ask('POST /api/tokens', '', { cookie }, withdraw)).status).toBe(200);
    told.splice(0);
    for (let n = 0; n < 3; n++) {
      const answer = await ask('GET /calendar.ics', secret);
      expect(answer.headers.get('www-authenticate')).toBe('Bearer error="invalid_token"');
      expect(await answer.json()).toEqual({ ok: false, answer: `The access token ${lost} was withdrawn.` });
    }
    expect(told).toHaveLength(1);
    expect(told[0]).not.toContain(secret);
    const list = await ask('GET /api/tokens', '', { cookie });
    expect(await list.text()).not.toMatch(/nightproof_|hash/);
  });

  it('is made by an administrator over HTTP, who gets it once and no cookie with it', async () => {
    const wish = { do: 'make', name: 'Monitoring', scope: 'metrics', days: 90 };
    const answer = await ask('POST /api/tokens', '', { cookie }, wish);
    expect(answer.headers.get('set-cookie')).toBeNull();
    const { secret } = (await answer.json()) as { secret: string };
    expect(await (await ask('GET /metrics', secret)).text()).toContain('nightproof_open_defects 0');
    const wrong = { ...wish, scope: 'administrator' };
    expect((await ask('POST /api/tokens', '', { cookie }, wrong)).status).toBe(400);
  });
});
