// Records on their whole way: a publisher's process, a real broker, and the host up to the disk. Beside it, by turns in
// the same run, a subscriber of the `mqtt` package that only counts, and the same rows simply inserted.
import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import { fileURLToPath } from 'node:url';
import Database from 'libsql';
import mqtt from 'mqtt';
import { topicOf, upTopics } from '../../../firmware/contract/topics';
import { systemClock } from '../../../host/clock';
import { createIngest, type Ingest } from '../../../host/ingest/ingest';
import { startSubscriber } from '../../../host/ingest/subscriber';
import { openLogbook } from '../../../host/logbook/engines/open';
import { KEYS } from '../../host/logbook/records';
import { type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { cpuSecOf } from '../longBook';
import { cpuMsSince } from '../tape';

const PUBLISHER = fileURLToPath(new URL('./publisher.ts', import.meta.url));
const SITE = 'bench';
/** A controller that is none: what comes from it shows that the host listens. */
const PROBE = `${SITE}/probe`;
const LOOK_MS = 20;
const CONTROLLERS = 100;
const EACH = 100;
const RECORDS = CONTROLLERS * EACH;
/** Each way is measured so often, so that a busy moment of the machine meets all. */
const TURNS = 3;
/** Rows in each transaction of the bare inserts. */
const BATCH = 500;
/** While times are measured, records come at this part of the host's rate. */
const LOAD = 0.5;

export interface Way {
  perSecond: number;
  /** Processor time of this process a record, µs. */
  cpuMicros: number;
  /** Of the publisher and of the broker. */
  publisherMicros: number;
  brokerMicros: number;
}

export interface WireRates {
  host: Way;
  subscriber: Way;
  inserts: Way;
  /** From publishing to the signed acknowledgement, at half the host's rate, ms. */
  p50Ms: number;
  p99Ms: number;
}

/** Time and processor time of one way, from its first record on. */
class Meter {
  private beganAt = 0;
  private before = process.cpuUsage();
  private ms = 0;
  private cpuMs = 0;
  private records = 0;
  /** Processor seconds of publisher and broker, when this way began and in all. */
  private othersBefore = [0, 0];
  private readonly others = [0, 0];

  constructor(private readonly pids: [publisher: number, broker: number]) {}

  begin(): void {
    this.beganAt = performance.now();
    this.before = process.cpuUsage();
    this.othersBefore = this.pids.map(cpuSecOf);
  }

  end(): void {
    this.ms += performance.now() - this.beganAt;
    this.cpuMs += cpuMsSince(this.before);
    this.records += RECORDS;
    this.pids.forEach((pid, i) => {
      this.others[i] += cpuSecOf(pid) - this.othersBefore[i];
    });
  }

  way(): Way {
    const [publisherMicros, brokerMicros] = this.others.map((sec) => (sec * 1e6) / this.records);
    const perSecond = (this.records * 1000) / this.ms;
    const cpuMicros = (this.cpuMs * 1000) / this.records;
    return { perSecond, cpuMicros, publisherMicros, brokerMicros };
  }
}

async function countOnly(url: string, publisher: ChildProcess, meter: Meter): Promise<void> {
  const client = await mqtt.connectAsync(url, { protocolVersion: 4, clean: true });
  await client.subscribeAsync(upTopics(SITE), { qos: 1 });
  await new Promise<void>((resolve) => {
    let count = 0;
    client.on('message', () => {
      if (count === 0) meter.begin();
      if (++count === RECORDS) resolve();
    });
    publisher.send('flood');
  });
  meter.end();
  await client.endAsync(true);
}

/** Publishes until the subscription at the broker is there. */
async function untilHeard(publish: () => unknown, isHeard: () => boolean): Promise<void> {
  for (; !isHeard(); await sleep(LOOK_MS)) publish();
}

/** The host on `db`, from `send` on, which has records sent, until all are durable and what `send` returned is over. */
async function withHost(url: string, db: string, send: () => unknown, meter?: Meter): Promise<void> {
  const logbook = await openLogbook(db);
  let ingest: Ingest | undefined;
  const subscriber = startSubscriber(() => ingest as Ingest, { url, site: SITE });
  const { publish } = subscriber;
  let isHeard = false;
  let came = 0;
  let sent: unknown;
  await new Promise<void>((resolve) => {
    ingest = createIngest({
      ...{ logbook, keys: KEYS, clock: systemClock, publish },
      known(address) {
        if (address === PROBE) isHeard = true;
        else if (came++ === 0) meter?.begin();
        return address !== PROBE;
      },
      onRecord({ entry }) {
        if (entry.entry === RECORDS) resolve();
      },
    });
    const probe = () => publish(topicOf(PROBE, 'record'), 'probe', { qos: 0 });
    void untilHeard(probe, () => isHeard).then(() => {
      sent = send();
    });
  });
  meter?.end();
  await sent;
  await subscriber.close();
  await logbook.close();
}

/** The rows of a log book, into the same tables with the same indexes. */
async function insertOnly(from: string, db: string, meter: Meter): Promise<void> {
  const source = new Database(from, { readonly: true });
  const controllers = source.prepare('SELECT * FROM controllers ORDER BY id').raw().all() as unknown[][];
  const rows = source.prepare('SELECT * FROM entries ORDER BY entry').raw().all() as unknown[][];
  source.close();
  await (await openLogbook(db)).close();
  const bare = new Database(db);
  bare.pragma('synchronous = FULL');
  for (const row of controllers) bare.prepare('INSERT INTO controllers VALUES (?, ?)').run(...row);
  const insert = bare.prepare('INSERT INTO entries VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)');
  meter.begin();
  for (let at = 0; at < rows.length; at += BATCH) {
    bare.exec('BEGIN IMMEDIATE');
    for (const row of rows.slice(at, at + BATCH)) insert.run(...row);
    bare.exec('COMMIT');
  }
  meter.end();
  bare.close();
}

function quantile(sorted: number[], part: number): number {
  return sorted[Math.min(sorted.length - 1, Math.floor(part * sorted.length))];
}

async function measure(broker: MosquittoBroker, publisher: ChildProcess, folder: string): Promise<WireRates> {
  const meter = (): Meter => new Meter([publisher.pid as number, broker.pid()]);
  let [hosts, subscribers, inserts] = [meter(), meter(), meter()];
  for (let turn = 0; turn <= TURNS; turn++) {
    // The first turn of each is not counted: a program that has just begun is compiled while it works.
    if (turn === 1) [hosts, subscribers, inserts] = [meter(), meter(), meter()];
    const db = join(folder, `host-${turn}.db`);
    await countOnly(broker.url, publisher, subscribers);
    await withHost(broker.url, db, () => publisher.send('flood'), hosts);
    await insertOnly(db, join(folder, `bare-${turn}.db`), inserts);
  }
  const host = hosts.way();
  let tookMs: number[] = [];
  await withHost(broker.url, join(folder, 'paced.db'), async () => {
    publisher.send(LOAD * host.perSecond);
    [tookMs] = (await once(publisher, 'message')) as [number[]];
  });
  tookMs.sort((a, b) => a - b);
  const [p50Ms, p99Ms] = [quantile(tookMs, 0.5), quantile(tookMs, 0.99)];
  return { host, subscriber: subscribers.way(), inserts: inserts.way(), p50Ms, p99Ms };
}

/** See `WireRates`. */
export async function measureWire(): Promise<WireRates> {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-wire-'));
  // Nothing is dropped, however far one way falls behind: what is measured is who takes how much.
  const broker = await startMosquitto({ config: ['max_queued_messages 0'] });
  const args = [`${broker.port}`, `${CONTROLLERS}`, `${EACH}`];
  const publisher = fork(PUBLISHER, args, { execArgv: ['--import', 'tsx'] });
  try {
    await once(publisher, 'message');
    return await measure(broker, publisher, folder);
  } finally {
    publisher.kill();
    await broker.kill();
    rmSync(folder, { recursive: true, force: true });
  }
}

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const { host, subscriber, inserts, p50Ms, p99Ms } = await measureWire();
  for (const [name, way] of Object.entries({ host, subscriber, inserts })) {
    const { perSecond, cpuMicros, publisherMicros, brokerMicros } = way;
    const micros = [cpuMicros, publisherMicros, brokerMicros].map((n) => n.toFixed(0)).join(' / ');
    process.stdout.write(
      `${name}: ${perSecond.toFixed(0)}/s; µs a record here / publisher / broker: ${micros}\n`,
    );
  }
  process.stdout.write(`acknowledged: p50 ${p50Ms.toFixed(0)} ms, p99 ${p99Ms.toFixed(0)} ms\n`);
}
