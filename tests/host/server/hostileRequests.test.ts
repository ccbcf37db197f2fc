// What is asked for with names, encodings and bodies that nobody types: nothing is found by a path, decoded twice or read without
// a limit, and a browser is told to keep nothing after signing out.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Hono } from 'hono';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { Desk } from '../../../host/accounts/desk';
import { hashPassword, newToken } from '../../../host/accounts/password';
import { openAccounts } from '../../../host/accounts/store';
import { nowSec, systemClock } from '../../../host/clock';
import { picturesOf } from '../../../host/server/floorPlans';
import { RIGHTS } from '../../../host/server/rights';
import { application, type ServerOptions } from '../../../host/server/server';
import type { Site } from '../../../host/site/model';

const PASSWORD = 'five llamas hum at dusk';
const SVG = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"/>';

let folder: string;
let app: Hono;
let cookie: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-hostile-'));
  mkdirSync(join(folder, 'site'));
  for (const name of ['secret.svg', 'site/ground.svg']) writeFileSync(join(folder, name), SVG);
  const store = openAccounts(':memory:');
  const none = { isDisabled: false, code: '', codeUntil: 0 };
  const password = await hashPassword(PASSWORD);
  store.put({ id: 'zoe', name: 'Zoë Łuk', role: 'administrator', password, ...none });
  const { token, hash } = newToken();
  const now = nowSec(systemClock);
  store.putSession({ hash, account: 'zoe', began: now, used: now, proved: now });
  cookie = `nightproof=${token}`;
  const floorPlans = [{ id: 'ground', picture: 'ground.svg' }];
  const site = { id: 'demo', circuits: [], floorPlans } as unknown as Site;
  const parts = {
    ...{ site, desk: new Desk({ store, clock: systemClock, enter: async () => {} }) },
    past: { notes: {} },
    page: { html: '', script: '', style: '', tongues: { de: 'German' } },
    pictures: picturesOf(site, join(folder, 'site', 'site.yaml')),
  };
  app = application(parts as unknown as ServerOptions, '127.0.0.1');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const get = (path: string) => app.request(path, { headers: { host: '127.0.0.1', cookie } });
const post = (path: string, body: string, more: Record<string, string> = { cookie }) =>
  app.request(path, {
    ...{ method: 'POST', body },
    headers: { host: '127.0.0.1', 'content-type': 'application/json', ...more },
  });

describe('files', () => {
  it('are given by the ids of the site, whatever path is asked for', async () => {
    expect(await (await get('/floor-plans/ground')).text()).toBe(SVG);
    const paths = [
      ...[
        'ground.svg',
        '..%2fsecret.svg',
        '..%2Fsite%2Fground.svg',
        '%2e%2e%2fsecret.svg',
        '..%5csecret.svg',
      ],
      ...[encodeURIComponent(join(folder, 'secret.svg')), 'ground%00', 'constructor', '__proto__'],
    ];
    for (const path of paths) expect((await get(`/floor-plans/${path}`)).status, path).toBe(404);
    for (const path of ['..%2fapp.js', 'de', 'de.ts', '..%2f..%2fpackage.json', 'constructor'])
      expect((await get(`/tongues/${path}`)).status, path).toBe(404);
    expect((await get('/tongues/de.js')).status).toBe(200);
  });
});

describe('what is sent', () => {
  it('is decoded once, before it is checked', async () => {
    expect((await get('/floor-plans/%67round')).status).toBe(200);
    expect((await get('/floor-plans/%2567round')).status).toBe(404);
    const signIn = async (account: string) =>
      (await post('/api/session', `{"account":"${account}","password":"${PASSWORD}"}`, {})).status;
    expect(await signIn('\\u007aoe')).toBe(200);
    expect(await signIn('\\\\u007aoe')).toBe(400);
    expect(await signIn('%7aoe')).toBe(400);
    expect(await signIn('&#122;oe')).toBe(400);
  });

  const posts = Object.keys(RIGHTS).filter((route) => route.startsWith('POST '));
  it.each(posts)('by %s is read up to a limit, and refused beyond it', async (route) => {
    const path = route.slice(5).replace(/:\w+/g, 'some');
    const answer = await post(path, JSON.stringify({ account: 'x'.repeat(1_000_000) }));
    expect([answer.status, ((await answer.json()) as { ok: boolean }).ok]).toEqual([413, false]);
  });
});

it('signing out has the browser drop what it has kept of the building', async () => {
  const answer = await post('/api/session/end', '{"everywhere":false}');
  expect([answer.status, answer.headers.get('clear-site-data')]).toEqual([200, '"cache"']);
});
