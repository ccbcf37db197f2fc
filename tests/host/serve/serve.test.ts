import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { OrderMessage, StateMessage } from '../../../firmware/contract/messages';
import type { LogbookView, OrderOutcome, StatusView } from '../../../host/api/views';
import { signMessage } from '../../../host/keys';
import { type Served, type ServeOptions, serve } from '../../../host/serve/serve';
import { startMosquitto } from '../../support/brokers';
import { HOUSE } from '../house/site';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const A = 'demo/a';

let folder: string;
let host: Served | undefined;
let controller: MqttClient | undefined;
let kinds: string[];
let nowMs: number;
/** Rises with every state, as a controller's monotonic clock does. */
let up = 0;

beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-serve-'));
  kinds = [];
  nowMs = 1770000000000;
});
afterEach(async () => {
  controller?.end(true);
  await host?.stop();
  host = undefined;
  rmSync(folder, { recursive: true, force: true });
});

async function start(more: Partial<ServeOptions> = {}): Promise<Served> {
  host = await serve({
    ...{ site: HOUSE, siteFile: 'house.yaml', db: join(folder, 'log.db'), port: 0, brokerPort: 0 },
    ...{ keys: KEYS, clock: { nowMs: () => nowMs }, quiet: true },
    ...more,
  });
  return host;
}

/** A controller that answers every order with yes. */
async function joinAs(url: string): Promise<MqttClient> {
  controller?.end(true);
  const client = await mqtt.connectAsync(url, { clientId: 'demo.a', protocolVersion: 4 });
  controller = client;
  client.on('message', (topic, payload) => {
    const kind = topic.split('/')[3];
    kinds.push(kind);
    if (kind !== 'order') return;
    const { counter } = JSON.parse(payload.toString()) as OrderMessage;
    client.publish(
      'nightproof/demo/a/reply',
      signMessage(KEYS, A, 'reply', { v: 1, counter, ok: 1, reason: 0 }),
    );
  });
  const downward = ['order', 'plan', 'settings', 'ack', 'time'];
  await client.subscribeAsync(downward.map((kind) => `nightproof/demo/a/${kind}`));
  return client;
}

function sendState(client: MqttClient, more: Partial<StateMessage> = {}): void {
  up++;
  const state = {
    ...{ v: 1, journal: '0a1b2c3d', boot: 1, up, utc: 1770000000, clock: 2, phase: 1, reason: 0, waiting: 0 },
    ...{
      bits: 3,
      test: 0,
      type: 0,
      since: 0,
      charged: 0,
      last: 0,
      acked: 0,
      settings: 0,
      plan: 0,
      overdue: 0,
    },
    refused: 0,
    ...more,
  } satisfies StateMessage;
  const text = signMessage(KEYS, A, 'state', state);
  client.publish('nightproof/demo/a/state', text, { qos: 1, retain: true });
}

async function ask<T>(path: string): Promise<T> {
  return (await (await fetch(`${host?.url}${path}`)).json()) as T;
}

const contact = async () => (await ask<StatusView>('/api/status')).controllers[0].contact;

it.each(['its own broker', 'a Mosquitto outside'])(
  'takes a record from the wire to the page and an order back, with %s',
  async (which) => {
    const outside = which === 'its own broker' ? undefined : await startMosquitto();
    await start(outside ? { broker: outside.url } : {});
    const client = await joinAs(host?.brokerUrl ?? '');
    await expect
      .poll(async () => {
        sendState(client);
        return contact();
      })
      .toBe('reporting');
    // First the settings; the next state requests the plan.
    await expect
      .poll(() => {
        sendState(client);
        return new Set(kinds);
      })
      .toEqual(new Set(['time', 'settings', 'plan']));
    const body = newJournal(A).next(
      'result',
      resultFields(
        [
          [1, 0, 90, 300, 300, 290, 2],
          [2, 1, 0, 0, 0, 0, 2],
        ],
        { settings: host?.house.desired.settingsRevision('a') },
      ),
    );
    client.publish('nightproof/demo/a/record', body, { qos: 1 });
    await expect.poll(() => kinds).toContain('ack');
    const page = await ask<LogbookView>('/api/logbook');
    // Before it came the notes on whom the settings of both circuits describe.
    expect(page).toMatchObject({ total: 3, chain: { checked: 3, entries: 3, broken: null } });
    expect(page.entries.map(({ kind }) => kind)).toEqual(['result', 'listed', 'listed']);
    expect(page.entries[0]).toMatchObject({ circuit: 'a', mark: 'fail', body });
    expect((await ask<StatusView>('/api/status')).counts).toEqual({ pass: 1, fail: 1, void: 0, untested: 1 });
    const outcome = await fetch(`${host?.url}/api/circuits/a/orders`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      body: JSON.stringify({ do: 'restore', who: 'Anna' }),
    });
    expect((await outcome.json()) as OrderOutcome).toMatchObject({ ok: true });
    await host?.stop();
    await outside?.kill();
  },
);

it('knows after a restart what it knew before, and does not take old news for new', async () => {
  await start();
  const client = await joinAs(host?.brokerUrl ?? '');
  await expect
    .poll(async () => {
      sendState(client);
      return contact();
    })
    .toBe('reporting');
  const body = newJournal(A).next(
    'result',
    resultFields(
      [
        [2, 1, 0, 0, 0, 0, 2],
        [1, 0, 90, 300, 300, 290, 2],
      ],
      { settings: host?.house.desired.settingsRevision('a') },
    ),
  );
  client.publish('nightproof/demo/a/record', body, { qos: 1 });
  await expect.poll(() => kinds).toContain('ack');
  const revision = host?.house.desired.plan()?.revision;
  client.end(true);
  await host?.stop();
  nowMs += 3600 * 1000;
  await start();
  const status = await ask<StatusView>('/api/status');
  expect(status.controllers[0]).toMatchObject({ contact: 'silent', heardAt: 1770000000, phase: 'charged' });
  expect(status.controllers[0].lamps.map((lamp) => lamp.verdict)).toEqual(['fail', 'pass']);
  expect(host?.house.desired.plan()?.revision).toBe(revision);
});

it("starts nothing if the page's port is taken, and says so in one sentence", async () => {
  const first = await start();
  const port = Number(new URL(first.url).port);
  const options = { site: HOUSE, siteFile: 'house.yaml', keys: KEYS, brokerPort: 0, quiet: true };
  await expect(serve({ ...options, db: join(folder, 'other.db'), port })).rejects.toThrow(
    /^The page cannot be served on 127.0.0.1 port \d+: another program is using it, perhaps Nightproof in another window: stop it there with Ctrl-C, or choose another port with --port\.$/,
  );
});

it('creates a secret beside the log book if none is given', async () => {
  const db = join(folder, 'log.db');
  const first = await serve({ site: HOUSE, siteFile: 'house.yaml', db, port: 0, brokerPort: 0, quiet: true });
  await first.stop();
  const again = await serve({ site: HOUSE, siteFile: 'house.yaml', db, port: 0, brokerPort: 0, quiet: true });
  await again.stop();
  expect(first.url).toMatch(/^http:\/\/127\.0\.0\.1:\d+$/);
});

it.each(['its own broker', 'Mosquitto'])(
  'leaves the notice for displays and people on %s, and changes it when a test switches the supply off',
  async (which) => {
    const outside = which === 'its own broker' ? undefined : await startMosquitto();
    await start(outside ? { broker: outside.url } : {});
    const url = host?.brokerUrl ?? '';
    const display = await mqtt.connectAsync(url, { clientId: 'display-at-the-door', protocolVersion: 4 });
    const texts: string[] = [];
    display.on('message', (_topic, payload) =>
      texts.push((JSON.parse(payload.toString()) as { text: string }).text),
    );
    await display.subscribeAsync('nightproof/demo/notice', { qos: 1 });
    await expect
      .poll(() => texts.join())
      .toMatch(/Not known whether the batteries are full in any circuit\./);
    sendState(await joinAs(url), { phase: 2, charged: 1770003600 });
    await expect
      .poll(() => texts[texts.length - 1])
      .toMatch(
        /^Hall \(circuit a\): batteries recharging, batteries full again on .* If the power fails: leave Hall/,
      );
    display.end(true);
    await host?.stop();
    host = undefined;
    await outside?.kill();
  },
);
