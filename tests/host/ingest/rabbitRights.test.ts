// The rights that docs/estate.md has people give in RabbitMQ, given by its own commands to a real node: what a controller may
// do with its password, by MQTT and by AMQP, and nothing else.
import { once } from 'node:events';
import { readFileSync } from 'node:fs';
import amqp from 'amqplib';
import mqtt, { type MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { downTopics, topicOf } from '../../../firmware/contract/topics';
import { type RabbitCluster, startRabbit } from '../../support/rabbitmq';

const PASSWORD = 'of-this-test';
const HOST = 'nightproof-host';
const RECORD = topicOf('demo/a', 'record');

let rabbit: RabbitCluster;
let host: MqttClient;
const clients: MqttClient[] = [];
const heard: string[] = [];

/** The document's commands that give somebody rights, of one circuit. */
function commandsFor(circuit: string): string[] {
  const commands = readFileSync('docs/estate.md', 'utf8').match(
    /^rabbitmqctl (add_user|set_\w*permissions) .*$/gm,
  );
  return (commands ?? []).map((line) =>
    line.replaceAll('SITE', 'demo').replaceAll('CIRCUIT', circuit).replaceAll('PASSWORD', PASSWORD),
  );
}

async function enter(username: string, clientId = username): Promise<MqttClient> {
  const url = new URL(rabbit.nodes[0].mqtt);
  const client = await mqtt.connectAsync(`mqtt://${url.host}`, {
    ...{ username, password: PASSWORD, clientId, protocolVersion: 4, reconnectPeriod: 0 },
  });
  client.on('error', () => {});
  clients.push(client);
  return client;
}

/** Whether the broker takes it. The plugin ends the connection of whoever asks for what it may not. */
async function isTaken(client: MqttClient, work: () => Promise<unknown>): Promise<boolean> {
  const ended = new Promise<false>((resolve) => client.once('close', () => resolve(false)));
  return Promise.race([
    ended,
    work().then(
      () => true,
      () => false,
    ),
  ]);
}

beforeAll(async () => {
  rabbit = await startRabbit();
  const [a, b] = ['a', 'b'].map(commandsFor);
  expect(a).toHaveLength(5);
  const ofHost = (line: string) => line.includes(HOST);
  await rabbit.control([...a, ...b.filter((line) => !ofHost(line))].join('\n'));
  host = await enter(HOST);
  host.on('message', (topic) => heard.push(topic));
  await host.subscribeAsync('nightproof/demo/#', { qos: 1 });
});
afterAll(async () => {
  for (const client of clients) await client.endAsync(true);
  await rabbit.remove();
});

it('a controller hears what is for it, and is heard', async () => {
  const a = await enter('demo.a');
  const told: string[] = [];
  a.on('message', (topic) => told.push(topic));
  const granted = await a.subscribeAsync(downTopics('demo/a'), { qos: 1 });
  expect(granted.map(({ qos }) => qos)).toEqual(downTopics('demo/a').map(() => 1));
  for (const kind of ['presence', 'state', 'record', 'reply', 'live'] as const)
    await a.publishAsync(topicOf('demo/a', kind), '{}', { qos: 1 });
  await expect.poll(() => heard).toContain(RECORD);
  for (const topic of downTopics('demo/a')) await host.publishAsync(topic, '{}', { qos: 1 });
  await expect.poll(() => told.toSorted()).toEqual(downTopics('demo/a').toSorted());
});

it.each<[string, (a: MqttClient) => Promise<unknown>]>([
  ['a record of another', (a) => a.publishAsync(topicOf('demo/b', 'record'), '{}', { qos: 1 })],
  ['an order to another', (a) => a.publishAsync(topicOf('demo/b', 'order'), '{}', { qos: 1 })],
  ['an order to itself', (a) => a.publishAsync(topicOf('demo/a', 'order'), '{}', { qos: 1 })],
  ['status in the name of the host', (a) => a.publishAsync('nightproof/demo/status/host', '{}', { qos: 1 })],
])('a controller cannot send %s', async (_what, send) => {
  heard.length = 0;
  const a = await enter('demo.a');
  expect(await isTaken(a, () => send(a))).toBe(false);
  const b = await enter('demo.b');
  await b.publishAsync(topicOf('demo/b', 'state'), '{}', { qos: 1 });
  await expect.poll(() => heard).toEqual([topicOf('demo/b', 'state')]);
});

it('a controller cannot listen to another, or under its name', async () => {
  const a = await enter('demo.a');
  expect(await isTaken(a, () => a.subscribeAsync(topicOf('demo/b', 'order'), { qos: 1 }))).toBe(false);
  const all = await enter('demo.a');
  expect(await isTaken(all, () => all.subscribeAsync('nightproof/#', { qos: 1 }))).toBe(false);
  const masked = await enter('demo.a', 'demo.b');
  expect(await isTaken(masked, () => masked.subscribeAsync(topicOf('demo/b', 'order'), { qos: 1 }))).toBe(
    false,
  );
});

it("a controller's password opens nothing more by AMQP", async () => {
  const b = await enter('demo.b');
  await b.subscribeAsync(topicOf('demo/b', 'order'), { qos: 1 });
  const { host: place } = new URL(rabbit.nodes[0].amqp);
  const connection = await amqp.connect(`amqp://demo.a:${PASSWORD}@${place}`);
  connection.on('error', () => {});
  const attempt = async (work: (channel: amqp.Channel) => Promise<unknown>): Promise<string> => {
    const channel = await connection.createConfirmChannel();
    const closed = once(channel, 'error').then(([error]) => (error as Error).message);
    return Promise.race([
      closed,
      work(channel).then(
        () => 'taken',
        (error: Error) => error.message,
      ),
    ]);
  };
  const refused = expect.stringContaining('ACCESS_REFUSED');
  expect(await attempt((channel) => channel.consume('mqtt-subscription-demo.bqos1', () => {}))).toEqual(
    refused,
  );
  expect(await attempt((channel) => channel.checkQueue('nightproof.demo.records'))).not.toBe('taken');
  expect(await attempt((channel) => channel.assertQueue('of its own'))).toEqual(refused);
  expect(await attempt((channel) => channel.deleteQueue('mqtt-subscription-demo.bqos1'))).toEqual(refused);
  const forge = async (channel: amqp.Channel): Promise<void> => {
    channel.publish('amq.topic', 'nightproof.demo.b.record', Buffer.from('{}'));
    await (channel as amqp.ConfirmChannel).waitForConfirms();
  };
  expect(await attempt(forge)).toEqual(refused);
  await connection.close();
});
