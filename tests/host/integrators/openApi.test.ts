// The document of the HTTP interface: by another project's check of OpenAPI, and against every answer of a running host.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { Validator } from '@seriousme/openapi-schema-validator';
import Ajv2020 from 'ajv/dist/2020';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { codeHash } from '../../../host/accounts/password';
import { accountsFileOf, openAccounts } from '../../../host/accounts/store';
import type { AccountOutcome } from '../../../host/api/accounts';
import type { DutiesView } from '../../../host/api/duties';
import type { TokenOutcome } from '../../../host/api/tokens';
import type { LogbookView, StatusView } from '../../../host/api/views';
import { contractFiles } from '../../../host/integrators/documents/contract';
import { openKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { Rehearsal } from '../../../host/rehearse/rehearsal';
import { DESCRIBED } from '../../../host/server/described';
import { RIGHTS } from '../../../host/server/rights';
import { startMosquitto } from '../../support/brokers';
import { buildLodge, firstFull } from '../../system/support/lodge';
import { goLive } from '../../system/support/night';

interface Media {
  schema?: Record<string, unknown>;
}
interface Document {
  openapi: string;
  paths: Record<string, Record<string, { responses: Record<string, { content: Record<string, Media> }> }>>;
  components: { schemas: Record<string, object> };
}
const document = JSON.parse(contractFiles()['openapi.json']) as Document;

/** An answer with a field the document does not know is not as the document says. */
function closed(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(closed);
  if (typeof schema !== 'object' || schema === null) return schema;
  const parts = Object.fromEntries(Object.entries(schema).map(([key, part]) => [key, closed(part)]));
  return 'properties' in schema && 'type' in schema && !('additionalProperties' in schema)
    ? { ...parts, additionalProperties: false }
    : parts;
}
const { Refusal, ...exact } = document.components.schemas;
const components = { schemas: { ...(closed(exact) as object), Refusal } };
const ajv = new Ajv2020({ strict: true, allErrors: true, keywords: ['components'] });

async function expectDescribed(route: string, answer: Response): Promise<unknown> {
  const [method, pattern] = route.split(' ');
  const { responses } = document.paths[pattern.replace(/:(\w+)/g, '{$1}')][method.toLowerCase()];
  const { content } = responses[String(answer.status)] ?? responses.default;
  const type = (answer.headers.get('content-type') ?? '').split(';')[0];
  expect(Object.keys(content), `${route}: ${answer.status}`).toContain(type);
  const { schema } = content[type];
  if (!schema) return undefined;
  const body: unknown = await answer.json();
  const check = ajv.compile({ ...schema, components });
  check(body);
  expect(check.errors ?? [], `${route}: ${JSON.stringify(body).slice(0, 500)}`).toEqual([]);
  return body;
}

/** Only a host for several buildings has these: tests/host/serve/several.test.ts asks for them. */
const OF_SEVERAL = ['GET /api/overview', 'GET /b/:building', 'GET /b/:building/'];

describe('the OpenAPI document', () => {
  it('is one of version 3.1 by a check that is not ours', async () => {
    const validator = new Validator();
    expect(await validator.validate(document as never)).toEqual({ valid: true });
    expect(validator.version).toBe('3.1');
    const wrong = { ...document, paths: { '/': { get: { responses: { 200: {} } } } } };
    expect(await validator.validate(wrong as never)).toMatchObject({ valid: false });
  });

  it('describes every route, and no other', () => {
    expect(Object.keys(DESCRIBED).sort()).toEqual(Object.keys(RIGHTS).sort());
  });
});

describe('a running host', () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-openapi-'));
  const asked = new Set<string>();
  let cookie = '';
  let url = '';
  const ends: (() => unknown)[] = [];

  beforeAll(async () => {
    writeFileSync(join(folder, 'plan.svg'), '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 4 3"/>');
    const plan = 'floorPlans: [{ id: plan, name: Plan, picture: plan.svg, floor: ground }]\nareas:';
    const lodge = buildLodge(folder, 2, 30, 600, (text) => text.replace('areas:', plan));
    const db = join(folder, 'log.db');
    const keys = openKeys(secretFileOf(db));
    const logbook = await openLogbook(db);
    const { days } = firstFull(lodge.site, 'wing-1');
    const rehearsal = await Rehearsal.start({ site: lodge.site, seed: 5, days: days + 2, keys, logbook });
    await rehearsal.runDays(days + 1);
    await logbook.close();
    const store = openAccounts(accountsFileOf(db));
    const made = { isDisabled: false, password: '', code: codeHash('one-time-code'), codeUntil: 4e9 };
    store.put({ id: 'anna', name: 'Anna Prober', role: 'administrator', ...made });
    store.close();
    const broker = await startMosquitto();
    ends.push(() => broker.stop());
    const { served, stop } = await goLive(rehearsal, { lodge, broker, pace: 1, db, keys });
    ends.unshift(stop);
    url = served.url;
  });
  afterAll(async () => {
    for (const end of ends) await end();
    rmSync(folder, { recursive: true, force: true });
  });

  /** Asks as somebody signed in would, and checks the answer. */
  async function ask<T>(route: string, status: number, body?: unknown, path?: string): Promise<T> {
    const [method, pattern] = route.split(' ');
    const headers = { cookie, ...(method === 'POST' && { 'content-type': 'application/json' }) };
    const sent = { method, headers, ...(body !== undefined && { body: JSON.stringify(body) }) };
    const answer = await fetch(url + (path ?? pattern), sent);
    const said = answer.status === status ? '' : await answer.text();
    expect(answer.status, `${route}: ${said}`).toBe(status);
    cookie = answer.headers.getSetCookie().map((one) => one.split(';')[0])[0] ?? cookie;
    asked.add(route);
    const told = await expectDescribed(route, answer);
    if (!answer.bodyUsed) await answer.body?.cancel();
    return told as T;
  }

  it('answers as the document says about people', async () => {
    const password = 'seven blue lamps at noon';
    await ask('POST /api/session', 400, { account: 'anna', password });
    await ask('POST /api/session/code', 200, { account: 'anna', code: 'one-time-code', password });
    const own = cookie;
    cookie = '';
    await ask('GET /api/building', 401);
    cookie = own;
    await ask('GET /api/session', 200);
    await ask('POST /api/session/prove', 200, { password });
    await ask('POST /api/password', 400, { old: 'wrong', password });
    const proof = { response: '{}' };
    await ask('POST /api/session/passkey/options', 400, {});
    await ask('POST /api/session/passkey', 400, proof);
    await ask('POST /api/passkeys/options', 400, { password });
    await ask('POST /api/passkeys', 400, { ...proof, name: 'phone' });
    await ask('POST /api/passkeys/remove', 400, { id: 'none', password });
    await ask('GET /api/passkeys', 200);
    const made = { do: 'make', account: 'ben', name: 'Ben Lind', role: 'viewer' };
    expect((await ask<AccountOutcome>('POST /api/accounts', 200, made)).code).toMatch(/\w/);
    await ask('POST /api/accounts', 400, made);
    expect((await ask<unknown[]>('GET /api/accounts', 200)).length).toBe(2);
    const wish = { do: 'make', name: 'Monitoring', scope: 'metrics', days: 30 };
    expect((await ask<TokenOutcome>('POST /api/tokens', 200, wish)).secret).toMatch(/^nightproof_/);
    await ask('POST /api/tokens', 400, { ...wish, name: '' });
    expect((await ask<unknown[]>('GET /api/tokens', 200)).length).toBe(1);
  });

  it('and about the building, its luminaires and its log book', async () => {
    const status = () => ask<StatusView>('GET /api/status', 200);
    await expect
      .poll(async () => (await status()).controllers.every((one) => one.contact === 'reporting'))
      .toBe(true);
    expect((await status()).counts.fail).toBeGreaterThan(0);
    await ask('GET /api/status/packed', 200);
    await ask('GET /api/building', 200);
    await ask('GET /api/plan', 200);
    await ask('GET /api/notice', 200);
    await ask('GET /api/defects', 200, undefined, '/api/defects?limit=5');
    await ask('GET /api/defects', 400, undefined, '/api/defects?limit=nothing');
    const log = await ask<LogbookView>('GET /api/logbook', 200, undefined, '/api/logbook?limit=500');
    expect(log.entries.length).toBeGreaterThan(5);
    await ask('GET /api/logbook', 200, undefined, '/api/logbook?kind=failed&circuit=wing-1');
    await ask('GET /api/luminaires/:id', 200, undefined, '/api/luminaires/W1-02');
    await ask('GET /api/luminaires/:id', 404, undefined, '/api/luminaires/none');
    await ask('GET /api/luminaires/:id/defects', 200, undefined, '/api/luminaires/W1-02/defects');
    await ask('GET /api/luminaires/:id/defects', 404, undefined, '/api/luminaires/none/defects');
    await ask('GET /api/site', 200);
    await ask('GET /floor-plans/:id', 200, undefined, '/floor-plans/plan');
    await ask('GET /floor-plans/:id', 404, undefined, '/floor-plans/none');
    await ask('GET /calendar.ics', 200);
    await ask('GET /api/events', 200);
  });

  it('and to what people order and enter', async () => {
    const orders = (id: string, status: number, body: unknown) =>
      ask('POST /api/circuits/:id/orders', status, body, `/api/circuits/${id}/orders`);
    await orders('wing-1', 200, { do: 'hold', hours: 1 });
    await orders('wing-1', 400, { do: 'dance' });
    await orders('none', 404, { do: 'hold', hours: 1 });
    const traces = 'POST /api/circuits/:id/traces';
    await ask(traces, 200, {}, '/api/circuits/wing-1/traces');
    await ask(traces, 404, {}, '/api/circuits/none/traces');
    const { duties } = await ask<DutiesView>('GET /api/duties', 200);
    const { id: duty, points } = duties[0];
    const marks = points.map(({ id }) => ({ point: id, mark: 'in order', luminaires: [], words: '' }));
    const { now } = await ask<StatusView>('GET /api/status', 200);
    const look = { id: 'look-0001', duty, who: '', done: now, scope: 'site', points: marks, words: '' };
    await ask('POST /api/inspections', 200, look);
    await ask('POST /api/inspections', 400, { id: 'look-0002' });
    await ask('GET /api/duties', 200);
    const { entries } = await ask<LogbookView>('GET /api/logbook', 200);
    const { entry } = entries.find(({ withdrawn }) => withdrawn !== undefined)!;
    await ask('POST /api/withdrawals', 200, { entry, who: '', why: 'entered for a trial' });
    await ask('POST /api/withdrawals', 400, {});
    await ask('POST /api/site', 400, { changes: [] });
    const changes = [{ do: 'set', part: 'site', id: '', field: 'name', value: 'Lodge' }];
    await ask('POST /api/site', 409, { revision: 'none', who: '', changes });
    // What they make has tests of its own, and takes long.
    await ask('POST /api/labels', 400, {});
    await ask('POST /api/report', 400, { from: '2026-01-05', to: 'tomorrow' });
  });

  it('and at its other addresses, so that every route was asked', async () => {
    for (const route of ['GET /', 'GET /app.js', 'GET /app.css']) await ask(route, 200);
    await ask('GET /tongues/:file', 200, undefined, '/tongues/de.js');
    await ask('GET /tongues/:file', 404, undefined, '/tongues/none.js');
    await ask('GET /metrics', 404);
    // Only with a certificate of its own.
    for (const route of ['GET /trust', 'GET /nightproof-ca.crt']) await ask(route, 404);
    await ask('POST /api/session/end', 200, { everywhere: false });
    expect([...asked].sort()).toEqual(
      Object.keys(RIGHTS)
        .filter((route) => !OF_SEVERAL.includes(route))
        .sort(),
    );
  });
});
