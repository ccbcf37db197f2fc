// A worker checks the next records while the database commits the last: what becomes of both when that commit fails,
// when nobody knows what became of it, and when the worker is killed then. Real RabbitMQ, real PostgreSQL.
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import amqp from 'amqplib';
import mqtt, { type MqttClient } from 'mqtt';
import { afterAll, afterEach, beforeAll, beforeEach, expect, it } from 'vitest';
import { topicOf } from '../../../firmware/contract/topics';
import { systemClock } from '../../../host/clock';
import type { Publish } from '../../../host/ingest/answers';
import { createIngest, type Ingest } from '../../../host/ingest/ingest';
import { queueOf, startWorker, type Worker } from '../../../host/ingest/worker';
import { keepSeededKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { loadSite } from '../../../host/site/load';
import { WorkerProcess } from '../../bench/estate/workers';
import { type Database, startPostgres } from '../../support/postgres';
import { type RabbitCluster, startRabbit } from '../../support/rabbitmq';
import { type Wire, wireTo } from '../../support/wire';
import { DEMO_SITE } from '../../system/support/cli';
import { type Journal, KEYS, newJournal } from '../logbook/records';

const loaded = loadSite(DEMO_SITE);
if (!('site' in loaded)) throw new Error('The demonstration site has mistakes.');
const SITE = loaded.site.id;
const ADDRESSES = loaded.site.circuits.slice(0, 3).map(({ id }) => `${SITE}/${id}`);
const ACKS = ADDRESSES.map((address) => topicOf(address, 'ack'));
/** Records of each controller before the commit that is held, in it, and after it. */
const [FIRST, HELD, NEXT] = [2, 30, 20];
const ALL = FIRST + HELD + NEXT;

let rabbit: RabbitCluster;
let database: Database;
let controllers: MqttClient;
const told = new Map<string, number>();
beforeAll(async () => {
  database = await startPostgres();
  rabbit = await startRabbit();
  controllers = await mqtt.connectAsync(rabbit.nodes[0].mqtt, { protocolVersion: 4 });
  controllers.on('message', (topic, payload) => told.set(topic, JSON.parse(payload.toString()).through));
  await controllers.subscribeAsync(ACKS, { qos: 1 });
});
afterAll(async () => {
  await controllers.endAsync(true);
  await rabbit.remove();
  await database.remove();
});

/** The statement that commits, which is prepared under this name, and the answer to it. */
const [COMMITS, COMMITTED] = ['\0add ', 'INSERT 0 '];

/** Holds a commit on its way to the server, or the answer to it on its way back. */
class Hold {
  isArmed = false;
  release = () => {};
  private reached = () => {};
  readonly arrived = new Promise<void>((resolve) => {
    this.reached = resolve;
  });

  constructor(private readonly isAnswer: boolean) {}

  look(bytes: Buffer, isBack: boolean): Promise<void> | undefined {
    if (!this.isArmed || isBack !== this.isAnswer) return undefined;
    if (!bytes.includes(isBack ? COMMITTED : COMMITS)) return undefined;
    this.isArmed = false;
    this.reached();
    return new Promise((resolve) => {
      this.release = resolve;
    });
  }
}

let schema = '';
let count = 0;
let journals: Journal[];
let wire: Wire;
let workers: WorkerProcess[] = [];
let hold: Hold;

beforeEach(async () => {
  schema = `commit_${++count}`;
  journals = ADDRESSES.map((address) => newJournal(address));
  told.clear();
  wire = await wireTo(database.url, (bytes, isBack) => hold.look(bytes, isBack));
});
afterEach(async () => {
  for (const worker of workers) await worker.kill();
  wire.close();
});

async function publish(each: number): Promise<void> {
  for (let n = 0; n < each; n++)
    for (const [i, journal] of journals.entries())
      await controllers.publishAsync(topicOf(ADDRESSES[i], 'record'), journal.next('start', { cause: 0 }), {
        qos: 1,
      });
}

const isTold = (through: number): Promise<void> =>
  expect.poll(() => ACKS.map((topic) => told.get(topic))).toEqual(ACKS.map(() => through));

/** How many records no worker has taken, and whether a worker is at work; rejects while there is no queue. */
async function queue(): Promise<{ messageCount: number; consumerCount: number }> {
  const connection = await amqp.connect(rabbit.nodes[0].amqp);
  try {
    const channel = await connection.createChannel();
    channel.on('error', () => {});
    return await channel.checkQueue(queueOf(SITE));
  } finally {
    await connection.close();
  }
}

const hasWorker = (): Promise<void> => expect.poll(queue).toMatchObject({ consumerCount: 1 });
const isTaken = (): Promise<void> => expect.poll(queue).toMatchObject({ messageCount: 0 });

/** Everything is stored once and in order, and nothing was found to be odd. @param others entries of another process */
async function expectWhole(others = 0): Promise<void> {
  await isTold(ALL);
  const logbook = await openLogbook(`${database.url}?schema=${schema}`);
  const entries = ALL * ADDRESSES.length + others;
  expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries, faults: [] });
  expect(await logbook.evidenceCount()).toBe(0);
  for (const address of ADDRESSES) {
    const seqs = (await logbook.page({ limit: 500, address })).map(({ seq }) => seq).reverse();
    expect(seqs).toEqual(Array.from({ length: ALL }, (_, i) => i + 1));
  }
  await logbook.close();
}

interface Working {
  ingest: Ingest;
  worker: Worker;
  problems: string[];
  end(): Promise<void>;
}

async function working(): Promise<Working> {
  const logbook = await openLogbook(`${wire.url}?schema=${schema}`);
  const problems: string[] = [];
  const send: Publish = (...message) => worker.publish(...message);
  const ingest = createIngest({
    ...{ logbook, keys: KEYS, clock: systemClock, publish: send, onProblem: (why) => problems.push(why) },
  });
  const worker = startWorker(() => ingest, { urls: [rabbit.nodes[0].amqp], site: SITE });
  const end = async (): Promise<void> => {
    await worker.close();
    await logbook.close();
  };
  return { ingest, worker, problems, end };
}

/** Has a commit of a worker held, and more records checked behind it. */
async function heldCommit({ ingest }: Working): Promise<void> {
  await hasWorker();
  await publish(FIRST);
  await isTold(FIRST);
  hold.isArmed = true;
  await publish(HELD);
  await hold.arrived;
  await publish(NEXT);
  await expect.poll(() => ingest.waiting()).toBeGreaterThanOrEqual(NEXT * ADDRESSES.length);
  expect(ACKS.map((topic) => told.get(topic))).toEqual(ACKS.map(() => FIRST));
}

it('begins again from what is stored when a commit is refused', async () => {
  hold = new Hold(false);
  const one = await working();
  database.sql(
    `SET search_path = ${schema}; CREATE TABLE trouble (x integer);
    CREATE FUNCTION look() RETURNS trigger LANGUAGE plpgsql SET search_path = ${schema} AS $$ BEGIN
    IF EXISTS (SELECT 1 FROM trouble) THEN RAISE EXCEPTION 'no commit today'; END IF; RETURN NULL; END $$;
    CREATE CONSTRAINT TRIGGER look AFTER INSERT ON entries DEFERRABLE INITIALLY DEFERRED
    FOR EACH ROW EXECUTE FUNCTION look()`,
  );
  await heldCommit(one);
  database.sql(`INSERT INTO ${schema}.trouble VALUES (1)`);
  hold.release();
  await expect.poll(() => one.problems.join()).toMatch(/no commit today/);
  expect(database.sql(`SELECT count(*) FROM ${schema}.entries`)).toBe(`${FIRST * ADDRESSES.length}`);
  database.sql(`DELETE FROM ${schema}.trouble`);
  await expectWhole();
  await expect.poll(() => Reflect.get(one.worker, 'taken')).toHaveLength(0);
  expect(one.ingest.counts).toMatchObject({ stored: ALL * ADDRESSES.length, duplicates: 0 });
  await one.end();
});

it('begins again when the database is lost before it has committed, and another has written since', async () => {
  hold = new Hold(false);
  const one = await working();
  await heldCommit(one);
  const other = await openLogbook(`${database.url}?schema=${schema}`);
  // It waits for the end of the commit that is held.
  const between = other.appendBatch([newJournal('demo/other').record()]);
  wire.cut();
  hold.release();
  expect(await between).toMatchObject([{ entry: { entry: FIRST * ADDRESSES.length + 1 } }]);
  await expectWhole(1);
  await other.close();
  await one.end();
});

it('goes on when the database has committed and its answer is lost', async () => {
  hold = new Hold(true);
  const one = await working();
  await heldCommit(one);
  wire.cut();
  hold.release();
  await expectWhole();
  expect(one.ingest.counts).toMatchObject({ stored: ALL * ADDRESSES.length, duplicates: 0 });
  await one.end();
});

it.each([
  ['before', false],
  ['after', true],
])('is followed by the other worker when it is killed %s the commit', async (_, isAnswer) => {
  hold = new Hold(isAnswer);
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-worker-commit-'));
  keepSeededKeys(join(folder, secretFileOf(`${database.url}?schema=${schema}`)), 1);
  workers = [wire.url, database.url].map(
    (db) => new WorkerProcess(folder, DEMO_SITE, [rabbit.nodes[0].amqp], `${db}?schema=${schema}`),
  );
  workers[0].start();
  await hasWorker();
  await publish(FIRST);
  await isTold(FIRST);
  workers[1].start();
  hold.isArmed = true;
  await publish(HELD);
  await hold.arrived;
  await publish(NEXT);
  await isTaken();
  await workers[0].kill();
  wire.cut();
  hold.release();
  await expectWhole();
  await isTaken();
  rmSync(folder, { recursive: true, force: true });
});
