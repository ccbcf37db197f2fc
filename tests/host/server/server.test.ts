import { Agent, request } from 'node:http';
import { connect } from 'node:net';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { OrderKind, Phase, TestKind } from '../../../firmware/contract/codes';
import { Limit } from '../../../firmware/contract/limits';
import type { OrderMessage, StateMessage } from '../../../firmware/contract/messages';
import { Desk } from '../../../host/accounts/desk';
import { openAccounts } from '../../../host/accounts/store';
import type { DefectsView, DefectView } from '../../../host/api/defects';
import type {
  BuildingView,
  LogbookView,
  LuminaireHistory,
  OrderOutcome,
  PlanView,
  StatusView,
} from '../../../host/api/views';
import { systemClock } from '../../../host/clock';
import { createOutlook, type Outlook } from '../../../host/house/view/outlook';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { watchChain } from '../../../host/logbook/watch';
import { createOrders, type Orders } from '../../../host/orders/orders';
import { makePlan } from '../../../host/planner/planner';
import { profileOf } from '../../../host/profiles/profile';
import { type EventHub, newEventHub, PER_SESSION_MAX, STREAMS_MAX } from '../../../host/server/events';
import { newReportMaker } from '../../../host/server/reports';
import { type PageServer, startServer } from '../../../host/server/server';
import { createSiteDoor } from '../../../host/siteDoor/door';
import { listFirst, newLoggedHouse } from '../house/bench';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const NOW = 1770000000;
const TAKING = { percent: 40, waits: '' };
const PLAN = makePlan(HOUSE, profileOf('en50172'), NOW - 86400, 30);
const PAGE = {
  html: '<!doctype html><title>t</title>',
  script: 'let a',
  style: 'b {}',
  tongues: { de: 'let d' },
};

let logbook: Logbook;
let orders: Orders;
let hub: EventHub;
let running: Awaited<ReturnType<typeof newLoggedHouse>>;
let outlook: Outlook;
let server: PageServer;

beforeEach(async () => {
  logbook = await openLogbook(':memory:');
  running = await newLoggedHouse(logbook);
  hub = newEventHub();
  orders = createOrders({
    keys: KEYS,
    clock: { nowMs: () => NOW * 1000 },
    logbook,
    publish(_topic, payload) {
      const { counter } = JSON.parse(payload) as OrderMessage;
      setImmediate(() => orders.reply('demo/a', { v: 1, counter, ok: 1, reason: 0 }));
      return true;
    },
  });
  outlook = createOutlook(HOUSE, () => PLAN);
  server = await startServer({
    ...parts(),
    ...{ port: 0, now: () => NOW, speed: () => 60 },
  });
});
function parts() {
  const { house, entering } = running;
  const { view, past } = house;
  const chain = watchChain(logbook, { now: () => NOW });
  const checkpoint = () => null;
  const reports = newReportMaker({
    site: HOUSE,
    db: ':memory:',
    simulated: false,
    now: () => NOW,
    contacts: () => [],
  });
  const books = { past, logbook, chain, checkpoint, reports };
  const door = createSiteDoor({
    ...{ site: HOUSE, file: 'house.yaml', inForce: '', fixed: 'It is fixed.', logbook, keys: KEYS, house },
    ...{ apply: async () => {}, now: () => NOW, takeOver: () => {}, taking: () => TAKING },
  });
  const pictures = () => undefined;
  const desk = new Desk({ store: openAccounts(':memory:'), clock: systemClock, enter: async () => {} });
  return { site: HOUSE, view, ...books, orders, entering, door, desk, outlook, hub, page: PAGE, pictures };
}
afterEach(async () => {
  await server.close();
  await orders.close();
  await logbook.close();
});

async function ask<T>(path: string): Promise<T> {
  const answer = await fetch(server.url + path);
  expect(answer.status).toBe(200);
  return (await answer.json()) as T;
}

/** Sends exactly these headers, as a browser or an attacker would. */
function send(
  method: string,
  path: string,
  headers: Record<string, string>,
  body = '',
): Promise<[number, string]> {
  return new Promise((resolve, reject) => {
    const sent = request({ host: '127.0.0.1', port: server.port, method, path, headers }, (answer) => {
      let text = '';
      answer.on('data', (bytes) => {
        text += bytes;
      });
      answer.on('end', () => resolve([answer.statusCode ?? 0, text]));
    });
    sent.on('error', reject);
    sent.end(body);
  });
}

const ORDER = JSON.stringify({ do: 'restore', who: 'Anna' });
const order = (headers: Record<string, string>, body = ORDER, circuit = 'a') =>
  send('POST', `/api/circuits/${circuit}/orders`, { 'content-type': 'application/json', ...headers }, body);

describe('the page', () => {
  it('comes with a policy that forbids inline code and anything from elsewhere', async () => {
    for (const [path, body, type] of [
      ['/', PAGE.html, 'text/html'],
      ['/app.js', PAGE.script, 'text/javascript'],
      ['/app.css', PAGE.style, 'text/css'],
      ['/tongues/de.js', PAGE.tongues.de, 'text/javascript'],
    ]) {
      const answer = await fetch(server.url + path);
      expect(await answer.text()).toBe(body);
      expect(answer.headers.get('content-type')).toBe(`${type}; charset=utf-8`);
      const policy = answer.headers.get('content-security-policy') ?? '';
      expect(policy).toContain("default-src 'none'; script-src 'self'");
      expect(policy).not.toContain('unsafe');
    }
  });

  it('says so at an unknown address', async () => {
    expect((await fetch(`${server.url}/nothing`)).status).toBe(404);
  });
});

describe('the plan', () => {
  it('comes as a calendar that programs can subscribe to, and night by night', async () => {
    const answer = await fetch(`${server.url}/calendar.ics`);
    expect(answer.headers.get('content-type')).toBe('text/calendar; charset=utf-8');
    const text = await answer.text();
    expect(text).toBe(outlook.calendar());
    const view = await ask<PlanView>('/api/plan');
    const tests = view.nights.filter(({ mark }) => mark !== 'recharge');
    expect(tests.length).toBeGreaterThan(0);
    expect(text.match(/^UID:test-/gm)?.length).toBe(tests.length);
  });

  it('is refused under a foreign name that points here', async () => {
    expect((await send('GET', '/calendar.ics', { host: 'evil.example' }))[0]).toBe(403);
  });
});

describe('the views', () => {
  it('give building, status, log book and luminaire', async () => {
    const state = { phase: Phase.Charged, bits: 3, type: 0 } as StateMessage;
    running.house.apply({ kind: 'state', circuit: 'a', state, heardAt: NOW - 5, heardUp: -5 });
    const journal = newJournal('demo/a');
    const lamps = [
      [1, 0, 90, 300, 300, 290, 2],
      [2, 1, 0, 0, 0, 0, 2],
    ];
    await listFirst(logbook, HOUSE);
    await logbook.appendBatch([
      journal.record(),
      journal.record('result', resultFields(lamps, { type: TestKind.Brief })),
      newJournal('demo/b').record(),
    ]);
    await running.follow();
    expect(await ask('/api/building')).toMatchObject({
      id: 'demo',
      timeZone: 'Europe/Berlin',
      simulated: false,
    });
    const status = await ask<StatusView>('/api/status');
    expect(status).toMatchObject({ now: NOW, speed: 60, tonight: [], taking: TAKING });
    expect(status.controllers.map((c) => c.contact)).toEqual(['reporting', 'never heard']);
    const page = await ask<LogbookView>('/api/logbook?limit=2');
    expect(page).toMatchObject({
      total: 5,
      chain: { checked: 5, entries: 5, broken: null },
    });
    expect(page.entries.map((e) => [e.entry, e.circuit, e.mark])).toEqual([
      [5, 'b', 'note'],
      [4, 'a', 'fail'],
    ]);
    const results = await ask<LogbookView>('/api/logbook?circuit=a&kind=result');
    expect(results).toMatchObject({ total: 1, entries: [{ entry: 4 }] });
    for (const query of ['kind=failed', 'kind=failed&circuit=a'])
      expect(await ask<LogbookView>(`/api/logbook?${query}`)).toMatchObject({
        total: null,
        entries: [{ entry: 4 }],
      });
    for (const query of ['kind=failed&circuit=b', 'kind=failed&before=4'])
      expect((await ask<LogbookView>(`/api/logbook?${query}`)).entries).toEqual([]);
    expect((await ask<LogbookView>('/api/logbook?before=2')).entries.map((e) => e.entry)).toEqual([1]);
    const history = await ask<LuminaireHistory>('/api/luminaires/A-02');
    expect(history.results).toMatchObject([{ verdict: 'fail', seconds: 0 }]);
    expect(history.diagnosis).toContain('dead lamp');
  });

  it.each([
    ['/api/luminaires/Z-99', 404, 'There is no luminaire "Z-99" in this site.'],
    ['/api/logbook?limit=0', 400, 'one of them is wrong'],
    ['/api/logbook?before=x', 400, 'one of them is wrong'],
    ["/api/logbook?circuit='--", 400, 'one of them is wrong'],
  ])('explain in one sentence what is wrong with %s', async (path, code, sentence) => {
    const answer = await fetch(server.url + path);
    expect(answer.status).toBe(code);
    expect(((await answer.json()) as OrderOutcome).answer).toContain(sentence);
  });
});

describe('an order', () => {
  it('is sent and answered', async () => {
    const [code, text] = await order({ origin: server.url, host: `127.0.0.1:${server.port}` });
    expect([code, JSON.parse(text)]).toEqual([
      200,
      { ok: true, answer: 'The controller has accepted the order to restore the supply.' },
    ]);
    expect(await logbook.orders.recent(5)).toMatchObject([{ address: 'demo/a', who: 'Anna' }]);
  });

  it.each([
    [{ do: 'clear fault' }, OrderKind.ClearFault, 0],
    [{ do: 'release' }, OrderKind.Release, 0],
    [{ do: 'hold', hours: 8 }, OrderKind.Hold, 28800],
    [{ do: 'hold', hours: 168 }, OrderKind.Hold, Limit.HoldSecMax],
    [{ do: 'test', kind: 'limited' }, OrderKind.Test, TestKind.Limited],
    [{ do: 'test', kind: 'commissioning' }, OrderKind.Test, TestKind.Commissioning],
    [{ do: 'extend', minutes: 10 }, OrderKind.Extend, 600],
  ])('reaches the controller as requested: %o', async (asked, what, arg) => {
    expect((await order({}, JSON.stringify({ ...asked, who: 'Anna' })))[0]).toBe(200);
    expect(await logbook.orders.recent(1)).toMatchObject([{ do: what, arg, who: 'Anna' }]);
  });

  it('to accept measured currents is handled by the host itself, and refused with the reason', async () => {
    const asked = (luminaire: string) => JSON.stringify({ do: 'accept', luminaire, who: 'Anna' });
    expect(JSON.parse((await order({}, asked('A-01')))[1])).toMatchObject({
      ok: false,
      answer: expect.stringContaining('no complete test of circuit a'),
    });
    const lamps = [
      [1, 0, 90, 300, 280, 290, 2],
      [2, 1, 0, 0, 0, 0, 2],
    ];
    await listFirst(logbook, HOUSE);
    await logbook.appendBatch([newJournal('demo/a').record('result', resultFields(lamps))]);
    await running.follow();
    expect(JSON.parse((await order({}, asked('A-02')))[1]).answer).toContain('A-02: it did not pass.');
    expect(JSON.parse((await order({}, asked('B-01')))[1]).answer).toBe('Circuit a has no luminaire B-01.');
    expect(JSON.parse((await order({}, asked('')))[1]).answer).toBe(
      'Every luminaire of circuit a is judged by measured currents already.',
    );
    expect(JSON.parse((await order({}, asked('A-01')))[1])).toMatchObject({
      ok: true,
      answer: expect.stringContaining('A-01 on battery 300 mA -> 280 mA'),
    });
    const { baseline } = await ask<LuminaireHistory>('/api/luminaires/A-01');
    expect(baseline).toMatchObject({
      ...{ site: { battery: 300 }, inForce: { battery: 280 }, accepted: { who: 'Anna', at: NOW } },
      measured: { battery: 280, mains: null, refusal: '' },
    });
    const page = await ask<LogbookView>('/api/logbook?circuit=a&kind=baseline');
    expect(page.entries.map((entry) => entry.text)).toEqual([
      'Anna accepted the measured lamp currents of entry 3: A-01 on battery 300 mA -> 280 mA.',
    ]);
    expect(await logbook.orders.recent(5)).toEqual([]);
  });

  it('accepts a repair, and refuses one for a luminaire of another circuit', async () => {
    const asked = (luminaire: string) =>
      JSON.stringify({ do: 'repaired', luminaire, part: 'battery', who: 'Anna' });
    expect(JSON.parse((await order({}, asked('B-01')))[1])).toMatchObject({ ok: false });
    expect(JSON.parse((await order({}, asked('A-01')))[1])).toMatchObject({ ok: true });
    const page = await ask<LogbookView>('/api/logbook?circuit=a&kind=repaired');
    expect(page.entries.map((entry) => entry.text)).toEqual([
      expect.stringMatching(/^Anna repaired A-01 \(battery changed\); a duration test is due by .+\.$/),
    ]);
  });

  it('enters who sees to a defect, shows it with the defect, and still does after a restart', async () => {
    const asked = (more: object) =>
      JSON.stringify({
        ...{ do: 'defect', luminaire: 'A-01', owner: 'Žofie Dvořáková', due: '2032-01-31' },
        ...{ interim: 'torches at the "north" door', words: '', who: 'Jürgen', ...more },
      });
    const say = async (more = {}) => JSON.parse((await order({}, asked(more)))[1]) as OrderOutcome;
    expect(await say()).toEqual({ ok: false, answer: 'Luminaire A-01 has no open defect.' });
    await listFirst(logbook, HOUSE);
    const journal = newJournal('demo/a');
    const fail = [2, 4, 1200, 300, 300, 0, 2];
    const result = (started: number, lamp: number[]) =>
      journal.record('result', resultFields([lamp, lamp], { type: TestKind.Full, started }));
    await logbook.appendBatch([result(NOW - 900_000, fail)]);
    await running.follow();
    expect(await say({ due: '2026-02-01' })).toMatchObject({
      ok: false,
      answer: expect.stringMatching(/^The due date 2026-02-01 is over/),
    });
    expect(await say()).toEqual({
      ok: true,
      answer:
        'Recorded: Jürgen entered for the defect of A-01: owner Žofie Dvořáková; due 2032-01-31; interim measure: ' +
        'torches at the "north" door.',
    });
    const { open } = await ask<DefectsView>('/api/defects');
    expect(open.filter(({ luminaire }) => luminaire !== '')).toMatchObject([
      { luminaire: 'A-01', days: 11, care: { owner: 'Žofie Dvořáková', who: 'Jürgen', at: NOW } },
      { luminaire: 'A-02', days: 11, care: null },
    ]);
    const again = await newLoggedHouse(logbook);
    await again.follow();
    const page = { skip: 0, limit: 20 };
    expect(again.house.past.defects.state()).toEqual(running.house.past.defects.state());
    expect(again.house.view.defects(NOW, page)).toEqual(running.house.view.defects(NOW, page));
    const repair = { do: 'repaired', luminaire: 'A-02', part: 'other', who: 'Anna' };
    expect(JSON.parse((await order({}, JSON.stringify(repair)))[1])).toMatchObject({ ok: true });
    running.refresh(NOW);
    const after = await ask<DefectsView>('/api/defects');
    const repaired = after.open.find(({ luminaire }) => luminaire === 'A-02')!;
    expect(await ask<DefectView[]>('/api/luminaires/A-02/defects')).toEqual([repaired]);
    expect(repaired).toMatchObject({
      ...{ state: 'repaired', needs: 'full', repairs: [{ who: 'Anna', at: NOW }] },
      retestNow: { kind: '', why: 'Its controller is not heard, so no order reaches it.' },
    });
    expect(repaired.retestAt - NOW).toBeLessThan(15 * 86_400);
    expect(repaired.retestAt).toBeGreaterThan(NOW);
    expect(after.counts).toEqual({
      ...{ failed: 2, luminaires: 0, circuits: 2, overdue: 0, toRetest: 1, ownerless: 3 },
    });
    const part = await ask<DefectsView>('/api/defects?open=1');
    expect([part.open, part.counts]).toEqual([after.open.slice(0, 1), after.counts]);
    await logbook.appendBatch([result(NOW, [1, 0, 3600, 300, 300, 290, 2])]);
    await running.follow();
    expect(await ask<DefectsView>('/api/defects?closed=1&limit=1')).toMatchObject({
      ...{ open: [{ circuit: 'a', luminaire: '' }, { circuit: 'b' }] },
      ...{ closed: [{ luminaire: 'A-02', days: 11 }], closedTotal: 2, forgotten: 0 },
    });
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true });
  });

  it.each([
    ['a repair of no part', { do: 'repaired', luminaire: 'A-01', part: 'roof' }],
    ['a hold without hours', { do: 'hold' }],
    ['a hold of 169 hours', { do: 'hold', hours: 169 }],
    ['a hold of half an hour', { do: 'hold', hours: 0.5 }],
    ['a test of no kind', { do: 'test', kind: '' }],
    ['a walk-round of 46 minutes', { do: 'extend', minutes: 46 }],
  ])('is refused with what to send: %s', async (_what, asked) => {
    const [code, text] = await order({}, JSON.stringify({ ...asked, who: 'Anna' }));
    expect([code, JSON.parse(text).answer]).toEqual([400, expect.stringContaining('"hours" from 1 to 168')]);
    expect(await logbook.orders.recent(5)).toEqual([]);
  });

  it.each<[string, Record<string, string>]>([
    ['another page in the same browser', { origin: 'http://evil.example' }],
    ['the same machine on another port', { origin: 'http://127.0.0.1:1' }],
    ['a page without origin', { origin: 'null' }],
    ['a form', { 'content-type': 'application/x-www-form-urlencoded' }],
    ['a cross-site request', { 'sec-fetch-site': 'cross-site' }],
    ['a name that only points here', { host: 'evil.example', origin: 'http://evil.example' }],
  ])('is refused from %s', async (_from, headers) => {
    const [code] = await order(headers);
    expect(code).toBe(403);
    expect(await logbook.orders.recent(5)).toEqual([]);
  });

  it('cannot be read under a foreign name that points here either', async () => {
    expect((await send('GET', '/api/status', { host: 'evil.example' }))[0]).toBe(403);
    expect((await send('GET', '/api/status', { host: `localhost:${server.port}` }))[0]).toBe(200);
  });

  it.each([
    ['no name', '{"do":"restore"}', 'a', 400],
    ['an empty name', '{"do":"restore","who":" "}', 'a', 400],
    ['a name of 41 characters', JSON.stringify({ do: 'restore', who: 'x'.repeat(41) }), 'a', 400],
    ['a name with a quote', JSON.stringify({ do: 'restore', who: 'A"' }), 'a', 400],
    ['a wish that is none', '{"do":"open","who":"Anna"}', 'a', 400],
    ['no JSON', 'restore', 'a', 400],
    ['an unknown circuit', ORDER, 'x', 404],
    ['far too long a text', `${ORDER}${' '.repeat(5000)}`, 'a', 413],
  ])('is refused with %s', async (_what, body, circuit, code) => {
    expect((await order({}, body, circuit))[0]).toBe(code);
    expect(await logbook.orders.recent(5)).toEqual([]);
  });
});

it('ends the connection with the answer to a body that is too long, so that no other request meets its rest', async () => {
  const body = 'x'.repeat(2_000_000);
  const socket = connect(server.port, '127.0.0.1');
  const got: Buffer[] = [];
  socket.on('data', (part: Buffer) => got.push(part));
  // Half of it only: a client that keeps sending is not waited for.
  socket.write(
    `POST /api/circuits/a/orders HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Type: application/json\r\n` +
      `Content-Length: ${body.length}\r\n\r\n${body.slice(0, 200_000)}`,
  );
  await new Promise((resolve) => socket.once('close', resolve).on('error', () => {}));
  const answer = Buffer.concat(got).toString();
  expect(answer).toMatch(/^HTTP\/1\.1 413 /);
  expect(answer).toMatch(/\r\nconnection: close\r\n/i);
  expect(answer).toContain('"answer":"The request is too long."');
  // Whoever keeps connections opens another.
  const agent = new Agent({ keepAlive: true, maxSockets: 1 });
  const ask = (method: string, path: string, text = '') =>
    new Promise<number | undefined>((resolve, reject) => {
      const headers = { 'content-type': 'application/json' };
      const asked = request({ port: server.port, method, path, agent, headers }, (got) => {
        got.resume().on('end', () => resolve(got.statusCode));
      });
      asked.on('error', reject).end(text);
    });
  for (let n = 0; n < 3; n++) {
    expect(await ask('POST', '/api/circuits/a/orders', 'x'.repeat(20_000))).toBe(413);
    expect(await ask('GET', '/api/status')).toBe(200);
  }
  agent.destroy();
});

describe('what is sent', () => {
  it('is compressed for who takes that, and plain for who does not', async () => {
    const whole = await fetch(`${server.url}/api/plan`, { headers: { 'accept-encoding': 'identity' } });
    const packed = await fetch(`${server.url}/api/plan`);
    expect(whole.headers.get('content-encoding')).toBe(null);
    expect(packed.headers.get('content-encoding')).toBe('gzip');
    expect(packed.headers.get('vary')).toBe('Accept-Encoding');
    expect(await packed.text()).toBe(await whole.text());
  });

  /** A test in which every luminaire of the circuit drew this current, mA. */
  const measureAll = async (milliamps: number): Promise<void> => {
    await listFirst(logbook, HOUSE);
    const row = [1, 0, 3600, milliamps, milliamps, milliamps, 2];
    const fields = resultFields([row, row], { type: 2, seconds: 3600 });
    await logbook.appendBatch([newJournal('demo/a').record('result', fields)]);
    await running.follow();
  };

  it('is sent once while it stays the same, and anew when it has changed', async () => {
    const tagOf = async (path: string) => (await fetch(server.url + path)).headers.get('etag') ?? '';
    const again = (path: string, tag: string) =>
      fetch(server.url + path, { headers: { 'if-none-match': tag } });
    for (const path of ['/app.js', '/tongues/de.js', '/api/plan', '/api/building']) {
      const same = await again(path, await tagOf(path));
      expect([same.status, await same.text()]).toEqual([304, '']);
      // Otherwise the browser would forget what it has kept.
      expect(same.headers.get('cache-control')).toBe('private, no-cache');
    }
    const before = await tagOf('/api/building');
    await measureAll(250);
    await running.entering.accept('a', 'A-01', 'Anna', NOW);
    const changed = await again('/api/building', before);
    expect(changed.status).toBe(200);
    expect(((await changed.json()) as BuildingView).circuits[0].luminaires[0].batteryMilliamps).toBe(250);
  });

  it('is what holds now, whatever has been recorded or entered since it was kept', async () => {
    const { entering, house } = running;
    const changes = [
      () => measureAll(250),
      () => entering.accept('a', 'A-01', 'Anna', NOW),
      () => entering.attend('a', 2, 'Anna', NOW),
      () => entering.repaired('a', { luminaire: 'A-01', part: 'battery', who: 'Anna', at: NOW }),
      () => entering.accept('a', 'A-02', 'Anna', NOW),
    ];
    const seen = new Set<string>();
    for (const change of [() => {}, ...changes]) {
      await change();
      await running.follow();
      const body = await (await fetch(`${server.url}/api/building`)).text();
      expect(body).toBe(JSON.stringify(house.view.building()));
      seen.add(body);
    }
    expect(seen.size).toBeGreaterThan(2);
  });

  it('is never kept if it changes by itself', async () => {
    expect((await fetch(`${server.url}/api/status`)).headers.get('cache-control')).toBe('no-store');
  });
});

describe('the event stream', () => {
  it('begins with the clock, carries what happens, and ends with the server', async () => {
    const answer = await fetch(`${server.url}/api/events`);
    expect(answer.headers.get('content-type')).toBe('text/event-stream');
    const reader = answer.body!.pipeThrough(new TextDecoderStream()).getReader();
    expect((await reader.read()).value).toBe(`event: clock\ndata: {"now":${NOW},"speed":60}\n\n`);
    hub.send('status', running.house.view.controller('a', NOW));
    expect((await reader.read()).value).toContain('event: status\ndata: {"circuit":"a"');
    hub.close();
    expect((await reader.read()).done).toBe(true);
  });

  it('opens only so many streams of one session, and of all', () => {
    const first = { now: NOW, speed: 1 };
    const reader = { session: 'one', mayStay: () => true };
    const mine = Array.from({ length: PER_SESSION_MAX + 1 }, () => hub.open(first, reader));
    expect(mine.filter((stream) => stream === undefined)).toHaveLength(1);
    const others = Array.from({ length: STREAMS_MAX }, () => hub.open(first));
    expect(others.filter((stream) => stream !== undefined)).toHaveLength(STREAMS_MAX - PER_SESSION_MAX);
  });

  it('ends a stream at the first tick after its session has ended', () => {
    let isIn = true;
    hub.open({ now: NOW, speed: 1 }, { session: 'one', mayStay: () => isIn });
    hub.send('clock', { now: NOW, speed: 1 });
    expect(hub.listeners()).toBe(1);
    isIn = false;
    hub.send('clock', { now: NOW, speed: 1 });
    expect(hub.listeners()).toBe(0);
  });

  it('forgets a page that has gone, and drops one that does not read', async () => {
    const gone = new AbortController();
    await fetch(`${server.url}/api/events`, { signal: gone.signal });
    expect(hub.listeners()).toBe(1);
    gone.abort();
    await expect.poll(() => hub.listeners()).toBe(0);
    const lazy = hub.open({ now: NOW, speed: 1 });
    const status = running.house.view.controller('a', NOW);
    for (let i = 0; i < 5000; i++) hub.send('status', status);
    expect(hub.listeners()).toBe(0);
    await lazy?.cancel();
  });
});

it('says in one sentence that the port is taken', async () => {
  await expect(
    startServer({ ...parts(), port: server.port, now: () => NOW, speed: () => 1 }),
  ).rejects.toThrow(
    `The page cannot be served on 127.0.0.1 port ${server.port}: another program is using it, perhaps Nightproof in another window: stop it there with Ctrl-C, or choose another port with --port.`,
  );
});
