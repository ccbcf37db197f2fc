import mqtt, { type IClientOptions, type MqttClient } from 'mqtt';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type Broker, startBroker } from '../../../host/broker/broker';
import { loginOf } from '../../../host/broker/logins';
import { HOST_CLIENT } from '../../../host/broker/parties';
import { RawClient } from '../../support/rawMqtt';
import { KEYS } from '../logbook/records';

let broker: Broker;
let problems: string[];
let clients: MqttClient[];

beforeEach(async () => {
  problems = [];
  clients = [];
  broker = await startBroker({
    ...{ port: 0, site: 'demo', controllers: ['a', 'b'], keys: KEYS, isOpen: true },
    onProblem: (sentence) => problems.push(sentence),
  });
});
afterEach(async () => {
  for (const client of clients) client.end(true);
  await broker.close();
});

/** Joins a client; host and readers with their passwords. */
async function join(clientId: string, more: IClientOptions = {}): Promise<MqttClient> {
  const { user, password } = loginOf(KEYS, clientId.startsWith(HOST_CLIENT) ? HOST_CLIENT : clientId);
  const client = await mqtt.connectAsync(broker.url, {
    ...{ clientId, protocolVersion: 4, reconnectPeriod: 0 },
    ...(/^(nightproof|reader)-/.test(clientId) && { username: user, password }),
    ...more,
  });
  client.on('error', () => {});
  clients.push(client);
  return client;
}

function nextText(client: MqttClient): Promise<string> {
  return new Promise((resolve) => client.once('message', (_topic, payload) => resolve(payload.toString())));
}

function untilClosed(client: MqttClient): Promise<void> {
  return new Promise((resolve) => client.once('close', () => resolve()));
}

const EVERYTHING = ['record', 'state', 'presence', 'live', 'reply'].map(
  (kind) => `nightproof/demo/+/${kind}`,
);

async function listener(
  topic: string | string[] = EVERYTHING,
  clientId = 'nightproof-host-test',
): Promise<{ client: MqttClient; heard: string[] }> {
  const client = await join(clientId);
  const heard: string[] = [];
  client.on('message', (where, payload, packet) =>
    heard.push(`${where} ${payload.toString()}${packet.retain ? ' retained' : ''}`),
  );
  await client.subscribeAsync(topic, { qos: 1 });
  return { client, heard };
}

it('carries a controller and its host both ways', async () => {
  const { client, heard } = await listener();
  const controller = await join('demo.a');
  await controller.subscribeAsync('nightproof/demo/a/ack', { qos: 1 });
  const arrived = nextText(controller);
  await controller.publishAsync('nightproof/demo/a/record', 'one', { qos: 1 });
  await client.publishAsync('nightproof/demo/a/ack', 'two', { qos: 1 });
  expect(await arrived).toBe('two');
  expect(heard).toContain('nightproof/demo/a/record one');
});

it('delivers retained, QoS 1 and QoS 0 messages of one burst once each, although they overtake each other', async () => {
  const { heard } = await listener();
  const controller = await join('demo.a');
  const sent: string[] = [];
  for (let i = 0; i < 50; i++) {
    controller.publish('nightproof/demo/a/state', `state ${i}`, { qos: 0, retain: true });
    controller.publish('nightproof/demo/a/record', `record ${i}`, { qos: 1 });
    controller.publish('nightproof/demo/a/live', `live ${i}`, { qos: 0 });
    sent.push(`state ${i}`, `record ${i}`, `live ${i}`);
  }
  await controller.publishAsync('nightproof/demo/a/record', 'end', { qos: 1 });
  await expect.poll(() => heard.length).toBe(sent.length + 1);
  const texts = heard.map((line) => line.split(' ').slice(1).join(' '));
  expect(texts.sort()).toEqual([...sent, 'end'].sort());
});

it('keeps a will and a retained state for later subscribers', async () => {
  const will = {
    topic: 'nightproof/demo/a/presence',
    payload: Buffer.from('gone'),
    qos: 1,
    retain: true,
  } as const;
  const controller = await join('demo.a', { will });
  await controller.publishAsync('nightproof/demo/a/state', 'charged', { qos: 1, retain: true });
  const gone = nextText((await listener('nightproof/demo/a/presence')).client);
  controller.stream.destroy();
  await gone;
  const late = await join('nightproof-host-late');
  const first = nextText(late);
  await late.subscribeAsync('nightproof/demo/a/state', { qos: 1 });
  expect(await first).toBe('charged');
});

it.each([
  [
    'an order that would be stored',
    'nightproof-host-x',
    'nightproof/demo/a/order',
    true,
    'must not be retained',
  ],
  ['a record that would be stored', 'demo.a', 'nightproof/demo/a/record', true, 'must not be retained'],
  ["another controller's topic", 'demo.a', 'nightproof/demo/b/record', false, 'controller a may not'],
  ['an order from a controller', 'demo.a', 'nightproof/demo/a/order', false, 'controller a may not'],
  ['a record from a stranger', 'laptop', 'nightproof/demo/a/record', false, 'not a controller'],
  ['an order from a stranger', 'laptop', 'nightproof/demo/a/order', false, 'not the host'],
  ['a topic of another site', 'demo.a', 'nightproof/other/a/record', false, 'not belong'],
  ['too long a message', 'demo.a', 'nightproof/demo/a/record', false, 'too long'],
])('turns away %s and its sender', async (what, id, topic, retain, why) => {
  const { heard } = await listener();
  const sender = await join(id);
  const closed = untilClosed(sender);
  sender.publish(topic, what === 'too long a message' ? 'x'.repeat(5000) : 'x', { qos: 1, retain });
  await closed;
  const controller = await join('demo.a');
  await controller.publishAsync('nightproof/demo/a/record', 'after', { qos: 1 });
  await expect.poll(() => heard).toEqual(['nightproof/demo/a/record after']);
  expect(problems.join()).toContain(why);
});

it("does not let a controller subscribe to others' topics", async () => {
  const controller = await join('demo.a');
  await expect(controller.subscribeAsync('nightproof/demo/b/order', { qos: 1 })).rejects.toThrow();
  await expect(controller.subscribeAsync('nightproof/#', { qos: 1 })).rejects.toThrow();
  expect(problems).toHaveLength(2);
});

it('refuses an unreadable client id', async () => {
  await expect(join('a b\u0007')).rejects.toThrow(/[Ii]dentifier rejected/);
});

it('survives a client that sends garbage or disconnects mid-packet', async () => {
  for (const bytes of ['GET / HTTP/1.1\r\n\r\n', '\x10\x1f\x00']) {
    const client = await RawClient.open(broker);
    client.send(bytes);
    client.socket.end();
    await client.untilClosed();
  }
  expect(problems).toEqual([
    'The broker refused something: something at 127.0.0.1 does not speak MQTT 3.1.1, and was disconnected.',
  ]);
  expect((await join('demo.a')).connected).toBe(true);
});

it('says in one sentence that the port is taken', async () => {
  await expect(
    startBroker({ port: broker.port, site: 'demo', controllers: [], keys: KEYS, isOpen: true }),
  ).rejects.toThrow(
    `The MQTT broker cannot listen on 127.0.0.1 port ${broker.port}: another program is using it; choose another with --broker-port`,
  );
});

it("keeps the host's notice for later subscribers, and accepts it only from the host", async () => {
  const host = await join('nightproof-host-1');
  await host.publishAsync('nightproof/demo/notice', 'mind the hall', { qos: 1, retain: true });
  const { heard } = await listener('nightproof/demo/notice', 'reader-hall');
  await expect.poll(() => heard).toEqual(['nightproof/demo/notice mind the hall retained']);
  for (const id of ['demo.a', 'somebody']) {
    const other = await join(id);
    const closed = untilClosed(other);
    other.publish('nightproof/demo/notice', 'all is well', { qos: 1, retain: true });
    await closed;
    expect(problems[problems.length - 1]).toContain(
      `client ${id} may not publish nightproof/demo/notice, which the host does`,
    );
  }
  expect(heard.length).toBe(1);
});
