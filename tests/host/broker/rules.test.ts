// The same hostile clients against the built-in broker and against a Mosquitto started with the files of
// `broker-files`: what matters is what arrives.
import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import mqtt, { type MqttClient } from 'mqtt';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { startBroker } from '../../../host/broker/broker';
import { brokerFiles } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT, statusCount } from '../../../host/broker/parties';
import type { Site } from '../../../host/site/model';
import { startMosquitto } from '../../support/brokers';
import { RawClient, type RawLogin } from '../../support/rawMqtt';
import { HOUSE } from '../house/site';
import { KEYS } from '../logbook/records';

interface Started {
  port: number;
  stop(): Promise<void>;
}

/** The house with so many luminaires in its second circuit. */
function largeHouse(many: number): Site {
  const [a, b] = HOUSE.circuits;
  const luminaires = Array.from({ length: many }, (_, n) => ({ ...b.luminaires[0], id: `L-${n}` }));
  return { ...HOUSE, circuits: [a, { ...b, luminaires }] };
}

/** Luminaires of a large site. */
const MANY = 2000;
const LARGE = largeHouse(MANY);

const controllers = HOUSE.circuits.map(({ id }) => id);

async function builtIn(): Promise<Started> {
  const limits = { refusalMs: 1 };
  const broker = await startBroker({
    port: 0,
    site: HOUSE.id,
    controllers,
    keys: KEYS,
    isOpen: false,
    retained: statusCount(LARGE),
    limits,
  });
  return { port: broker.port, stop: () => broker.close() };
}

async function mosquitto(): Promise<Started> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-files-'));
  const wish = {
    buildings: [{ site: LARGE, keys: KEYS }],
    readers: ['hall'],
    host: '127.0.0.1',
    port: 1,
    folder,
  };
  const { texts } = brokerFiles(wish);
  for (const [name, text] of Object.entries(texts)) writeFileSync(join(folder, name), text, { mode: 0o600 });
  // All of the file but the port and the settings that the test's Mosquitto brings itself.
  const config = readFileSync(join(folder, 'nightproof.conf'), 'utf8')
    .split('\n')
    .filter((line) => line && !/^(#|listener|allow_anonymous|persistence|password_file)/.test(line));
  const broker = await startMosquitto({ passwordFile: join(folder, 'passwords'), config });
  expect(statSync(join(folder, 'passwords')).mode & 0o777).toBe(0o600);
  return {
    port: broker.port,
    async stop() {
      await broker.stop();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

const login = (user: string, clientId = user): RawLogin => ({ clientId, ...loginOf(KEYS, user) });

describe.each([
  ['the built-in broker', builtIn],
  ['Mosquitto with the files for it', mosquitto],
])('%s', (_name, start) => {
  let broker: Started;
  let host: MqttClient;
  const heard: string[] = [];
  beforeAll(async () => {
    broker = await start();
    const { user, password } = loginOf(KEYS, HOST_CLIENT);
    host = await mqtt.connectAsync(`mqtt://127.0.0.1:${broker.port}`, {
      ...{ clientId: 'nightproof-host-1', username: user, password, protocolVersion: 4 },
    });
    host.on('message', (topic, payload) => heard.push(`${topic} ${payload.toString()}`));
    const kinds = ['record', 'state', 'presence', 'live', 'reply'];
    await host.subscribeAsync(
      kinds.map((kind) => `nightproof/demo/+/${kind}`),
      { qos: 1 },
    );
  });
  afterAll(async () => {
    await host.endAsync(true);
    await broker.stop();
  });

  const code = async (who: RawLogin) => {
    const client = await RawClient.open(broker);
    const answer = await client.logIn(who);
    client.close();
    return answer;
  };
  const enter = (who: RawLogin) => RawClient.joined(broker, who);

  /** A reader of the library that integrators use, and what it was told last on each topic. */
  async function collect(user: string, clientId: string) {
    const { password } = loginOf(KEYS, user);
    const got = new Map<string, string>();
    const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${broker.port}`, {
      ...{ clientId, username: user, password, protocolVersion: 4, reconnectPeriod: 0 },
    });
    client.on('message', (topic, payload) => got.set(topic, payload.toString()));
    await client.subscribeAsync('nightproof/demo/status/luminaire/+', { qos: 1 });
    return { client, got };
  }

  /** A record of controller a has arrived after all that was sent before. */
  async function proof(controller: RawClient, text: string): Promise<void> {
    controller.publish('nightproof/demo/a/record', text, 1);
    await expect.poll(() => heard).toContain(`nightproof/demo/a/record ${text}`);
  }

  it('lets in nobody without a password of the site', async () => {
    expect(await code(login('demo.a'))).toBe(0);
    const refused = [
      { clientId: 'demo.a' },
      { clientId: 'laptop' },
      { clientId: 'nightproof-host-2' },
      { clientId: 'demo.a', user: 'demo.a', password: loginOf(KEYS, 'demo.b').password },
      { clientId: 'demo.a', user: 'demo.x', password: 'x' },
    ];
    for (const who of refused) expect([4, 5], JSON.stringify(who)).toContain(await code(who));
  });

  it('takes no controller over under its client id', async () => {
    const real = await enter(login('demo.a'));
    for (const user of ['demo.b', 'reader-hall']) await code(login(user, 'demo.a'));
    await proof(real, 'still here');
    expect(real.isClosed).toBe(false);
    real.close();
  });

  it('carries nothing that its sender may not say, whatever the flags', async () => {
    const real = await enter(login('demo.a'));
    await real.subscribe('nightproof/demo/a/order', 'nightproof/demo/a/plan', 'nightproof/demo/a/time');
    for (const user of ['demo.b', 'reader-hall']) {
      for (const kind of [
        'order',
        'plan',
        'settings',
        'ack',
        'time',
        'record',
        'state',
        'live',
        'presence',
        'reply',
      ])
        for (const retain of [0, 1] as const) {
          const client = await enter(login(user));
          client.publish(`nightproof/demo/a/${kind}`, 'forged', 1, retain);
          for (const told of ['notice', 'status/host', 'status/building', 'status/luminaire/A-01'])
            client.publish(`nightproof/demo/${told}`, 'forged', 0, retain);
          client.close();
        }
    }
    const will = { willTopic: 'nightproof/demo/a/presence', willPayload: 'forged' };
    const dying = await RawClient.open(broker);
    await dying.logIn({ ...login('demo.b'), ...will });
    dying.close();
    await proof(real, 'after all that');
    expect(heard.filter((line) => line.endsWith('forged'))).toEqual([]);
    expect(real.heard.includes('forged')).toBe(false);
    // Nor has any of it been kept for those who come later.
    const reader = await enter(login('reader-hall'));
    await reader.subscribe('nightproof/demo/+/presence', 'nightproof/demo/+/state', 'nightproof/demo/notice');
    const status = ['host', 'building', 'circuit/+', 'luminaire/+'].map(
      (of) => `nightproof/demo/status/${of}`,
    );
    expect(await reader.subscribe(...status)).not.toContain(128);
    await host.publishAsync('nightproof/demo/notice', 'mind the hall', { qos: 1 });
    await expect.poll(() => reader.heard.includes('mind the hall')).toBe(true);
    expect(reader.heard.includes('forged')).toBe(false);
    reader.close();
    real.close();
  });

  it('shows a reader what goes up and nothing that goes down, and a controller only its own', async () => {
    const [reader, b] = [await enter(login('reader-hall')), await enter(login('demo.b'))];
    await reader.subscribe('nightproof/demo/+/record', '#', '$SYS/#', 'nightproof/demo/a/order');
    await b.subscribe('nightproof/demo/b/ack', '#', '$SYS/#', 'nightproof/demo/+/ack');
    const real = await enter(login('demo.a'));
    await host.publishAsync('nightproof/demo/a/order', 'secret order', { qos: 1 });
    await host.publishAsync('nightproof/demo/a/ack', 'secret ack', { qos: 1 });
    await host.publishAsync('nightproof/demo/b/ack', 'own ack', { qos: 1 });
    await proof(real, 'for the reader');
    await expect.poll(() => reader.heard.includes('for the reader')).toBe(true);
    await expect.poll(() => b.heard.includes('own ack')).toBe(true);
    for (const client of [reader, b])
      for (const word of ['secret', '$SYS']) expect(client.heard.includes(word)).toBe(false);
    expect(b.heard.includes('for the reader')).toBe(false);
    for (const client of [reader, b, real]) client.close();
  });

  it('gives a reader the status of every luminaire of a large site, and a late one too', async () => {
    const text = (n: number) => JSON.stringify({ luminaire: `L-${n}`, words: 'x'.repeat(500) });
    const topic = (n: number) => `nightproof/demo/status/luminaire/L-${n}`;
    const early = await collect('reader-hall', 'early');
    for (let n = 0; n < MANY; n += 50)
      await Promise.all(
        Array.from({ length: 50 }, (_, i) =>
          host.publishAsync(topic(n + i), text(n + i), { qos: 1, retain: true }),
        ),
      );
    await expect.poll(() => early.got.size).toBe(MANY);
    // Where the user's name is the client id, it takes the place of the other.
    const late = await collect('reader-hall', 'late');
    await expect.poll(() => late.got.size).toBe(MANY);
    expect(late.got.get(topic(MANY - 1))).toBe(text(MANY - 1));
    for (const one of [early, late]) await one.client.endAsync(true);
  });

  it('ends a client that sends too long a packet', async () => {
    const b = await enter(login('demo.b'));
    b.publish('nightproof/demo/b/record', 'x'.repeat(9000));
    await b.untilClosed();
  });
});
