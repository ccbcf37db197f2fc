// The client against real brokers over TCP on loopback.
import mqtt, { type MqttClient } from 'mqtt';
import { afterAll, afterEach, beforeAll, describe, expect, it, vi } from 'vitest';
import { LinkState, type MqttOptions, mqttClose } from '../../../firmware/link/mqtt';
import {
  type Broker,
  type MosquittoBroker,
  passwordFile,
  startAedes,
  startMosquitto,
} from '../../support/brokers';
import { type Device, device as newDevice } from './device';

const PASSWORDS = { 'controller-1': 'right', host: 'host' };

const devices: Device[] = [];
const hosts: MqttClient[] = [];

function device(port: number, changes: Partial<MqttOptions> = {}): Device {
  const made = newDevice(port, changes);
  devices.push(made);
  return made;
}

async function host(broker: Broker, user = ''): Promise<MqttClient> {
  const login = user === '' ? {} : { username: user, password: 'host' };
  const client = await mqtt.connectAsync(broker.url, { reconnectPeriod: 0, ...login });
  hosts.push(client);
  return client;
}

/** Everything a subscriber receives on `topic`, as `payload retained`. */
async function listening(client: MqttClient, topic: string): Promise<string[]> {
  const heard: string[] = [];
  client.on('message', (_topic, payload, packet) => heard.push(`${payload.toString()} ${packet.retain}`));
  await client.subscribeAsync(topic, { qos: 1 });
  return heard;
}

function until(condition: () => unknown): Promise<unknown> {
  return vi.waitFor(() => expect(condition()).toBeTruthy(), { timeout: 60_000, interval: 10 });
}

async function online(d: Device): Promise<void> {
  d.toNextDeadline();
  await until(() => d.m.state === LinkState.Online);
}

/** Lets due attempts fail or succeed until one brings the client online. */
async function onlineAgain(d: Device): Promise<void> {
  while (d.m.state !== LinkState.Online) {
    d.toNextDeadline();
    await until(() => d.m.state === LinkState.Online || d.m.state === LinkState.Waiting);
  }
}

afterEach(async () => {
  for (const d of devices.splice(0)) mqttClose(d.m);
  for (const client of hosts.splice(0)) await client.endAsync(true);
});

describe.each([
  ['Mosquitto', () => startMosquitto()],
  ['Aedes', () => startAedes()],
])('with %s', (_name, startBroker: () => Promise<Broker>) => {
  let broker: Broker;
  beforeAll(async () => {
    broker = await startBroker();
  });
  afterAll(() => broker.stop());

  it('connects, subscribes and receives an order with QoS 1', async () => {
    const d = device(broker.port);
    await online(d);
    const h = await host(broker);
    // Resolves on the broker's PUBACK to the sender.
    await h.publishAsync('nightproof/site/controller-1/order', 'Süd', { qos: 1 });
    // To the client a string is bytes, here UTF-8.
    await until(() => d.seen.includes('nightproof/site/controller-1/order S\xc3\xbcd 0'));
  });

  it('publishes with QoS 1, retained, and reports the PUBACK', async () => {
    const d = device(broker.port);
    await online(d);
    const id = d.publish('nightproof/site/controller-1/state', 'charged', 1, 1);
    await until(() => d.seen.includes(`published ${id}`));
    const heard = await listening(await host(broker), 'nightproof/site/controller-1/state');
    await until(() => heard.includes('charged true'));
  });

  it('publishes with QoS 0 to a subscriber, and a packet longer than one TCP segment', async () => {
    const heard = await listening(await host(broker), 'nightproof/site/controller-1/live');
    const d = device(broker.port);
    await online(d);
    expect(d.publish('nightproof/site/controller-1/live', 'short', 0, 0)).toBe(0);
    const long = 'x'.repeat(3072);
    expect(d.publish('nightproof/site/controller-1/live', long, 0, 0)).toBe(0);
    await until(() => heard.length === 2);
    expect(heard).toEqual(['short false', `${long} false`]);
  });

  it('marks a retained message as retained', async () => {
    const topic = 'nightproof/site/controller-1/ack';
    const h = await host(broker);
    await h.publishAsync(topic, 'kept', { qos: 1, retain: true });
    // A broker may confirm a message before it has kept it.
    const heard = await listening(h, topic);
    await expect
      .poll(async () => {
        await h.subscribeAsync(topic, { qos: 1 });
        return heard;
      })
      .toContain('kept true');
    const d = device(broker.port);
    await online(d);
    await until(() => d.seen.includes(`${topic} kept 1`));
    await h.publishAsync(topic, '', { qos: 1, retain: true });
  });

  it('leaves its will when the cable is cut, and none when it disconnects properly', async () => {
    const topic = 'nightproof/site/controller-1/presence';
    const heard = await listening(await host(broker), topic);
    const polite = device(broker.port, { clientId: 'controller-2', willPayload: 'unwanted' });
    await online(polite);
    mqttClose(polite.m);
    const d = device(broker.port);
    await online(d);
    d.cutCable();
    await until(() => heard.length > 0);
    expect(heard).toEqual(['{"v":1,"online":0} false']);
    const later = await listening(await host(broker), topic);
    await until(() => later.includes('{"v":1,"online":0} true'));
  });

  it('keeps the link alive by PINGREQ and PINGRESP', async () => {
    const d = device(broker.port);
    await online(d);
    for (let i = 1; i <= 3; i++) {
      d.toNextDeadline();
      expect(d.m.pingBy).toBeGreaterThan(0);
      await until(() => d.m.pingBy === 0);
    }
    expect(d.seen).toEqual(['online']);
  });

  it('recovers unaided after the broker was stopped, and again after it was killed', async () => {
    const d = device(broker.port);
    await online(d);
    for (const end of [broker.stop, broker.kill]) {
      d.seen.splice(0);
      await end();
      await until(() => d.seen.includes('offline'));
      // One attempt finds nobody listening on the port.
      d.toNextDeadline();
      await until(() => d.m.state === LinkState.Waiting);
      await broker.start();
      await onlineAgain(d);
      const h = await host(broker);
      await h.publishAsync('nightproof/site/controller-1/order', 'again', { qos: 1 });
      await until(() => d.seen.includes('nightproof/site/controller-1/order again 0'));
      expect(d.seen.filter((what) => what === 'online')).toHaveLength(1);
    }
  });

  it('backs off when a second device takes over its client id', async () => {
    const d = device(broker.port);
    await online(d);
    const second = device(broker.port);
    await online(second);
    await until(() => d.seen.includes('offline'));
    expect(d.m.diedYoung).toBe(1);
    await online(d);
    await until(() => second.seen.includes('offline'));
    const onlineAt = d.m.onlineSince;
    await online(second);
    await until(() => d.m.state === LinkState.Waiting);
    expect(d.m.diedYoung).toBe(2);
    // The second wait of 2 s and the device's jitter of one half.
    expect(d.m.wakeAt - onlineAt).toBe(3000);
  });
});

describe('refused by the broker', () => {
  it.each([
    ['Mosquitto', () => startMosquitto({ passwordFile: passwordFile(PASSWORDS) }), 5],
    [
      'Aedes',
      () =>
        startAedes(0, {
          authenticate: (_client, user, password, done) =>
            done(
              null,
              PASSWORDS[(user ?? '') as keyof typeof PASSWORDS] === (password ?? Buffer.alloc(0)).toString(),
            ),
        }),
      5,
    ],
  ])(
    'keeps the code and backs off with a wrong password, and gets in with the right one: %s',
    async (_name, startBroker: () => Promise<Broker>, code) => {
      const broker = await startBroker();
      try {
        const wrong = device(broker.port, { user: 'controller-1', password: 'wrong' });
        wrong.toNextDeadline();
        await until(() => wrong.m.state === LinkState.Waiting);
        expect(wrong.m.refused).toBe(code);
        expect(wrong.seen).toEqual([]);
        expect(wrong.m.backOffMs).toBe(2000);
        const right = device(broker.port, { user: 'controller-1', password: 'right' });
        await online(right);
        expect(right.m.refused).toBe(0);
      } finally {
        await broker.stop();
      }
    },
  );

  it('keeps 0x80 when Aedes refuses a topic', async () => {
    const broker = await startAedes(0, {
      authorizeSubscribe: (_client, subscription, done) =>
        done(null, subscription.topic.endsWith('/ack') ? null : subscription),
    });
    try {
      const d = device(broker.port);
      d.toNextDeadline();
      await until(() => d.m.state === LinkState.Waiting);
      expect(d.m.refused).toBe(0x80);
      expect(d.seen).toEqual([]);
    } finally {
      await broker.stop();
    }
  });
});

describe('a half-open link', () => {
  let broker: MosquittoBroker;
  beforeAll(async () => {
    broker = await startMosquitto();
  });
  afterAll(() => broker.stop());
  afterEach(() => broker.thaw());

  it('is dropped when Mosquitto, frozen, does not answer PINGREQ', async () => {
    const d = device(broker.port);
    await online(d);
    broker.freeze();
    d.toNextDeadline();
    expect(d.m.state).toBe(LinkState.Online);
    d.toNextDeadline();
    expect(d.seen).toEqual(['online', 'offline']);
    broker.thaw();
    await onlineAgain(d);
  });

  it('is dropped when Mosquitto, frozen, does not answer a QoS 1 PUBLISH', async () => {
    const d = device(broker.port, { keepAliveSec: 0 });
    await online(d);
    broker.freeze();
    expect(d.publish('nightproof/site/controller-1/record', 'x', 1, 0)).toBeGreaterThan(0);
    d.toNextDeadline();
    expect(d.seen).toEqual(['online', 'offline']);
  });

  it('is dropped when Mosquitto, frozen, accepts TCP and does not answer CONNECT', async () => {
    broker.freeze();
    const d = device(broker.port);
    d.toNextDeadline();
    await until(() => d.m.state === LinkState.Connecting);
    d.toNextDeadline();
    expect(d.m.state).toBe(LinkState.Waiting);
    broker.thaw();
    await onlineAgain(d);
  });
});
