// Every route of the page, asked for by nobody and by each role: the table decides, and nothing beside it.
import type { Hono } from 'hono';
import { beforeAll, describe, expect, it } from 'vitest';
import { mayAct } from '../../../host/accounts/account';
import { Desk } from '../../../host/accounts/desk';
import { newToken } from '../../../host/accounts/password';
import { openAccounts } from '../../../host/accounts/store';
import { ROLES, type Role } from '../../../host/api/accounts';
import type { BuildingsView } from '../../../host/api/buildings';
import { ENTRY_HEADER } from '../../../host/api/inspectionLimits';
import { nowSec, systemClock } from '../../../host/clock';
import { unservedLine } from '../../../host/server/overview';
import { RIGHTS } from '../../../host/server/rights';
import { application, type BuildingParts, type ServerOptions } from '../../../host/server/server';
import { overview, type SeveralOptions, severalApplication } from '../../../host/server/several';

const store = openAccounts(':memory:');
const told: string[] = [];
const desk = new Desk({
  ...{ store, clock: systemClock, enter: async () => {} },
  complain: (_, sentence) => void told.push(sentence),
});
const problems: string[] = [];
const cookies = new Map<Role, string>();
let app: Hono;
let all: Hono;

/** Nothing is behind the routes: one that lets somebody through fails with 400, 404 or 500. */
function newApp(of = desk, host = '127.0.0.1'): Hono {
  const past = { notes: {} };
  const tls = { authority: { cert: '', fingerprint: '' } };
  const onProblem = (sentence: string) => void problems.push(sentence);
  const parts = {
    onProblem,
    desk: of,
    past,
    tls,
    site: { circuits: [] },
    page: { html: '', script: '', style: '', tongues: { de: '', fr: '', it: '' } },
  };
  return application(parts as unknown as ServerOptions, host);
}

function newOverview(): Hono {
  const buildings = { lines: () => [], parts: () => undefined, has: (id: string) => id === 'some' };
  const page = { html: '<html lang="en">', script: '', style: '', tongues: {} };
  const tls = { authority: { cert: '', fingerprint: '' } } as NonNullable<SeveralOptions['tls']>;
  return overview({ desk, page, buildings, port: 0, tls }, '127.0.0.1', () => tls.authority);
}

beforeAll(() => {
  app = newApp();
  all = newOverview();
  for (const role of ROLES) {
    const id = role.replace(' ', '-');
    const active = { password: 'set', isDisabled: false, code: '', codeUntil: 0 };
    store.put({ id, name: id, role, ...active });
    const { token, hash } = newToken();
    const now = nowSec(systemClock);
    store.putSession({ hash, account: id, began: now, used: now, proved: now });
    cookies.set(role, `__Host-nightproof=${token}`);
  }
});

/** All routes: those of one building, and those of a host for several. */
const routes = (): string[] => [
  ...new Set(
    [...app.routes, ...all.routes]
      .filter(({ method }) => method !== 'ALL')
      .map(({ method, path }) => `${method} ${path}`),
  ),
];

function ask(route: string, cookie = ''): Promise<Response> {
  const [method, pattern] = route.split(' ');
  const path = pattern.replace(/:\w+/g, 'some');
  const of = pattern.startsWith('/b/') || pattern === '/api/overview' ? all : app;
  const headers = { host: '127.0.0.1', 'content-type': 'application/json', cookie };
  return Promise.resolve(
    of.request(path, { method, headers, ...(method === 'POST' && { body: JSON.stringify({}) }) }),
  );
}

describe('the routes', () => {
  it('are all in the table, and no other is', () => {
    expect(routes().sort()).toEqual(Object.keys(RIGHTS).sort());
  });

  it.each(Object.entries(RIGHTS))('%s is for %s', async (route, need) => {
    const isOpen = need === 'everyone';
    expect([401, 403].includes((await ask(route)).status)).toBe(!isOpen);
    expect([401, 403].includes((await ask(route, '__Host-nightproof=AAAA')).status)).toBe(!isOpen);
    for (const [role, cookie] of cookies) {
      const { status } = await ask(route, cookie);
      const isAnybodys = need === 'everyone' || need === 'somebody';
      expect(status === 403, `${route} as ${role}`).toBe(!isAnybodys && !mayAct(role, need));
      expect(status, `${route} as ${role}`).not.toBe(401);
    }
  });

  it.each([
    ['127.0.0.1', 200],
    ['0.0.0.0', 401],
    ['::', 401],
  ])('without any account are open on %s: %i', async (host, status) => {
    const nobody = new Desk({ store: openAccounts(':memory:'), clock: systemClock, enter: async () => {} });
    expect(nobody.asks()).toBe(false);
    const later = newApp(nobody, host);
    const incoming = { socket: { remoteAddress: '127.0.0.1' } };
    const ask = (path: string) => later.request(path, { headers: { host: '127.0.0.1' } }, { incoming });
    expect((await ask('/api/session')).status).toBe(200);
    expect((await ask('/api/site')).status === 401).toBe(status === 401);
  });

  it('refuse an entry that a device keeps with its id, so that the device keeps it and says why', async () => {
    const headers = {
      ...{ host: '127.0.0.1', 'content-type': 'application/json', cookie: cookies.get('viewer') ?? '' },
      [ENTRY_HEADER]: 'waiting-entry',
    };
    const answer = await app.request('/api/inspections', { method: 'POST', headers, body: '{}' });
    expect(answer.status).toBe(403);
    expect(await answer.json()).toEqual({
      ...{ ok: false, id: 'waiting-entry', refused: false },
      answer: 'Only a person with the role electrician may do this; you are signed in as viewer, viewer.',
    });
  });

  it('tell the people at the host who asked for what he may not do', async () => {
    told.splice(0);
    await ask('POST /api/site', cookies.get('electrician'));
    expect(told).toEqual(['The account electrician asked for POST /api/site without the right to it.']);
  });

  it('that fail say nothing of the inside to who asked, and all to the people at the host', async () => {
    problems.splice(0);
    const answer = await ask('GET /api/site', cookies.get('viewer'));
    expect(answer.status).toBe(500);
    expect(await answer.json()).toEqual({
      ok: false,
      answer: 'The host could not answer; the reason is in its own lines. Try again in a moment.',
    });
    expect(problems).toEqual([expect.stringMatching(/^GET \/api\/site could not be answered: .*undefined/)]);
  });

  it('that are new are refused until they are in the table', async () => {
    const later = newApp();
    later.get('/api/new', (c) => c.text('secret'));
    const answer = await later.request('/api/new', {
      headers: { host: '127.0.0.1', cookie: cookies.get('administrator') ?? '' },
    });
    expect(answer.status).toBe(403);
  });
});

describe('the routes of two buildings', () => {
  const two = new Desk({
    store,
    clock: systemClock,
    enter: async () => {},
    buildings: () => ['north', 'south'],
  });
  let shared: ReturnType<typeof severalApplication>;
  const own = new Map<Role, string>();

  beforeAll(() => {
    const parts = (id: string) => ({ past: { notes: {} }, site: { id, circuits: [] } });
    const known = new Map(['north', 'south'].map((id) => [id, parts(id) as unknown as BuildingParts]));
    const lines = () => [...known.keys()].map((id) => unservedLine(id, id, ''));
    const page = { html: '<html lang="en">', script: '', style: '', tongues: {} };
    const tls = { authority: { cert: '', fingerprint: '' } } as NonNullable<SeveralOptions['tls']>;
    const buildings = { lines, parts: (id: string) => known.get(id), has: (id: string) => known.has(id) };
    shared = severalApplication(
      { desk: two, page, buildings, port: 0, tls },
      '127.0.0.1',
      () => tls.authority,
    );
    for (const role of ROLES) {
      const id = `north-${role.replace(' ', '-')}`;
      const active = { password: 'set', isDisabled: false, code: '', codeUntil: 0 };
      store.put({ id, name: id, role, ...(role !== 'administrator' && { at: { north: role } }), ...active });
      const { token, hash } = newToken();
      const now = nowSec(systemClock);
      store.putSession({ hash, account: id, began: now, used: now, proved: now });
      own.set(role, `__Host-nightproof=${token}`);
    }
  });

  const at = async (base: string, route: string, cookie: string): Promise<number> => {
    const [method, pattern] = route.split(' ');
    const url = `https://127.0.0.1${base}${pattern.replace(/:\w+/g, 'some')}`;
    const headers = { host: '127.0.0.1', 'content-type': 'application/json', cookie };
    const body = method === 'POST' ? JSON.stringify({}) : undefined;
    return (await shared.fetch(new Request(url, { method, headers, ...(body && { body }) }))).status;
  };
  const ofBuilding = Object.entries(RIGHTS).filter(
    ([route]) => !route.includes('/b/') && route !== 'GET /api/overview',
  );

  it.each(ofBuilding)('%s is for %s of that building, and for nobody of the other', async (route, need) => {
    const isAnybodys = need === 'everyone' || need === 'somebody';
    for (const [role, cookie] of own) {
      const may = isAnybodys || mayAct(role, need);
      expect((await at('/b/north', route, cookie)) === 403, `north as ${role}`).toBe(!may);
      const mayThere = isAnybodys || role === 'administrator';
      expect((await at('/b/south', route, cookie)) === 403, `south as ${role}`).toBe(!mayThere);
      expect((await at('/b/south', route, '')) === 401, 'south as nobody').toBe(need !== 'everyone');
    }
  });

  it('tell of the buildings that one may see, and of all of them only who may see all', async () => {
    const seen = async (role: Role): Promise<string[]> => {
      const headers = { host: '127.0.0.1', cookie: own.get(role)! };
      const answer = await shared.fetch(new Request('https://127.0.0.1/api/overview', { headers }));
      return ((await answer.json()) as BuildingsView).buildings.map(({ id }) => id);
    };
    expect(await seen('electrician')).toEqual(['north']);
    expect(await seen('administrator')).toEqual(['north', 'south']);
    expect(await at('', 'GET /metrics', own.get('electrician')!)).toBe(403);
    expect(await at('', 'GET /metrics', own.get('administrator')!)).toBe(404);
  });

  it('ask an account that was made for the only building of a host to be given a role first', async () => {
    expect(await at('/b/north', 'GET /api/status', cookies.get('electrician')!)).toBe(403);
    expect(await at('/b/north', 'GET /api/session', cookies.get('electrician')!)).toBe(200);
  });
});
