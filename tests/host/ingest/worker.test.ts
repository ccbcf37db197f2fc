// Records by MQTT through a real RabbitMQ, whose queue keeps them until a worker has stored them.
import { mkdtempSync, rmSync } from 'node:fs';
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

async function queued(): Promise<number> {
  const connection = await amqp.connect(rabbit.nodes[0].amqp);
  try {
    return (await (await connection.createChannel()).checkQueue(queueOf('demo'))).messageCount;
  } finally {
    await connection.close();
  }
}

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
  await expect.poll(queued).toBe(0);
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
