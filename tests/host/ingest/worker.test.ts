// Records by MQTT through a real RabbitMQ, whose queue keeps them until a worker has stored them.
import { mkdtempSync, rmSync } from 'node:fs';
import { type AddressInfo, createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import amqp from 'amqplib';
import mqtt, { type MqttClient } from 'mqtt';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { topicOf } from '../../../firmware/contract/topics';
import { systemClock } from '../../../host/clock';
import type { Publish } from '../../../host/ingest/answers';
import { createIngest, type Ingest } from '../../../host/ingest/ingest';
import { queueOf, startWorker, type Worker } from '../../../host/ingest/worker';
import { openLogbook } from '../../../host/logbook/engines/open';
import { type RabbitCluster, startRabbit } from '../../support/rabbitmq';
import { wireTo } from '../../support/wire';
import { KEYS, newJournal, resultFields } from '../logbook/records';

const RECORDS = 120;
const RESULT = resultFields(Array.from({ length: 16 }, () => [1, 0, 90, 300, 300, 290, 2]));
const ADDRESSES = ['demo/a', 'demo/b', 'demo/c'];

let rabbit: RabbitCluster;
let folder: string;
let controllers: MqttClient;
/** How far each controller was told that its journal is stored. */
const acknowledged = new Map<string, number>();

beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-worker-'));
  rabbit = await startRabbit();
  controllers = await mqtt.connectAsync(rabbit.nodes[0].mqtt, { protocolVersion: 4 });
  controllers.on('message', (topic, payload) => {
    const { through } = JSON.parse(payload.toString());
    acknowledged.set(topic, Math.max(through, acknowledged.get(topic) ?? 0));
  });
  await controllers.subscribeAsync(
    ADDRESSES.map((address) => topicOf(address, 'ack')),
    { qos: 1 },
  );
});
afterAll(async () => {
  await controllers.endAsync(true);
  await rabbit.remove();
  rmSync(folder, { recursive: true, force: true });
});

interface Working {
  worker: Worker;
  ingest: Ingest;
  problems: string[];
  end(): Promise<void>;
}

/** A worker as the command runs it, on the log book `log.db`. */
async function working(pagesMax = 0): Promise<Working> {
  const logbook = await openLogbook(join(folder, 'log.db'), { pagesMax });
  const problems: string[] = [];
  const publish: Publish = (...message) => worker.publish(...message);
  const ingest = createIngest({
    ...{ logbook, keys: KEYS, clock: systemClock, publish, onProblem: (why) => problems.push(why) },
  });
  let connected = () => {};
  const isConnected = new Promise<void>((resolve) => {
    connected = resolve;
  });
  const worker = startWorker(() => ingest, {
    ...{ urls: [rabbit.nodes[0].amqp], site: 'demo', onConnect: connected },
    onProblem: (why) => problems.push(why),
  });
  await isConnected;
  const end = async (): Promise<void> => {
    await worker.close();
    await logbook.close();
  };
  return { worker, ingest, problems, end };
}

async function queued(site = 'demo'): Promise<number> {
  const connection = await amqp.connect(rabbit.nodes[0].amqp);
  try {
    return (await (await connection.createChannel()).checkQueue(queueOf(site))).messageCount;
  } finally {
    await connection.close();
  }
}

it('goes on after a connection that is lost during a slow commit', async () => {
  const wire = await wireTo(rabbit.nodes[0].amqp);
  const logbook = await openLogbook(':memory:');
  let release: (() => void) | undefined;
  let isSlow = true;
  const slow: typeof logbook.appendBatch = async (records) => {
    if (isSlow)
      await new Promise<void>((resolve) => {
        release = resolve;
      });
    isSlow = false;
    return logbook.appendBatch(records);
  };
  const publish: Publish = (...message) => worker.publish(...message);
  const book = Object.assign(Object.create(logbook) as typeof logbook, { appendBatch: slow });
  const ingest = createIngest({ logbook: book, keys: KEYS, clock: systemClock, publish });
  let connections = 0;
  const worker = startWorker(() => ingest, {
    ...{ urls: [wire.url], site: 'slow', onConnect: () => connections++ },
  });
  await expect.poll(() => connections).toBe(1);
  const journal = newJournal('slow/a');
  await controllers.publishAsync(topicOf('slow/a', 'record'), journal.next('result', RESULT), { qos: 1 });
  await expect.poll(() => release).toBeDefined();
  wire.cut();
  await expect.poll(() => connections).toBe(2);
  await expect.poll(() => Reflect.get(worker, 'taken')).toHaveLength(1);
  release?.();
  await expect.poll(() => queued('slow')).toBe(0);
  await expect.poll(() => Reflect.get(worker, 'taken')).toHaveLength(0);
  await worker.close();
  wire.close();
  await logbook.close();
});

it('tries the next node where one takes the connection and says nothing', async () => {
  const mute = createServer();
  await new Promise<void>((resolve) => mute.listen(0, '127.0.0.1', resolve));
  const { port } = mute.address() as AddressInfo;
  const urls = [`amqp://127.0.0.1:${port}`, rabbit.nodes[0].amqp];
  const connected: string[] = [];
  const problems: string[] = [];
  const ingest = createIngest({
    ...{ logbook: await openLogbook(':memory:'), keys: KEYS, clock: systemClock, publish: () => false },
  });
  const worker = startWorker(() => ingest, {
    ...{
      urls,
      site: 'mute',
      onConnect: (url) => connected.push(url),
      onProblem: (why) => problems.push(why),
    },
  });
  await expect.poll(() => connected).toEqual([urls[1]]);
  expect(problems.join()).toMatch(/^No work with the queue at .* \(connect ETIMEDOUT\); still trying\.$/);
  await worker.close();
  mute.close();
});

it('stores every record once and in order, whichever worker is at work', async () => {
  // The first has room for a few records only, as on a full disk.
  const full = await working(40);
  const second = await working();
  const journals = ADDRESSES.map((address) => ({ address, journal: newJournal(address) }));
  const publish = async (count: number): Promise<void> => {
    for (let n = 0; n < count; n++)
      for (const { address, journal } of journals)
        await controllers.publishAsync(topicOf(address, 'record'), journal.next('result', RESULT), {
          qos: 1,
        });
  };
  await publish(RECORDS / 2);
  await expect.poll(() => full.problems.join()).toMatch(/^The disk of the log book .* is full\./);
  // It confirmed to the queue only what it has acknowledged, and the other waits for its turn.
  expect(second.ingest.counts.stored).toBe(0);
  await full.end();
  await publish(RECORDS / 2);
  const all = ADDRESSES.map((address) => [topicOf(address, 'ack'), RECORDS]);
  await expect.poll(() => [...acknowledged].sort()).toEqual(all);
  await expect.poll(() => queued()).toBe(0);
  expect(full.ingest.counts.stored + second.ingest.counts.stored).toBe(RECORDS * ADDRESSES.length);
  await second.end();

  const logbook = await openLogbook(join(folder, 'log.db'));
  expect(await logbook.verify(KEYS)).toMatchObject({
    valid: true,
    entries: RECORDS * ADDRESSES.length,
    faults: [],
  });
  for (const address of ADDRESSES) {
    const seqs = (await logbook.page({ limit: 500, address })).map(({ seq }) => seq).reverse();
    expect(seqs).toEqual(Array.from({ length: RECORDS }, (_, i) => i + 1));
  }
  await logbook.close();
});
