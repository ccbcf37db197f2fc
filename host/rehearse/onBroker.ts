// The simulated controllers of a site as real clients on a real broker, with the whole host beside them, at a
// chosen pace: other clients of that broker see what a building would send.
import { mkdtempSync, rmSync } from 'node:fs';
import { connect } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setTimeout as sleep } from 'node:timers/promises';
import mqtt from 'mqtt';
import { LiveFleet } from '../../simulator/live';
import type { BrokerPlace } from '../../simulator/tcp';
import { hostLogin } from '../broker/address';
import { clientIdOf, HOST_CLIENT } from '../broker/parties';
import { type KeyRing, seededKeys } from '../keys';
import { openLogbook } from '../logbook/engines/open';
import type { Logbook, Verification } from '../logbook/logbook';
import { readRecord } from '../records/schema';
import { MQTT_PORT } from '../serve/ports';
import { serve } from '../serve/serve';
import type { Site } from '../site/model';
import { followPlan } from './estate';
import {
  countVerdicts,
  newTestCounts,
  type RecordCounts,
  Rehearsal,
  recordsIn,
  type TestCounts,
} from './rehearsal';

const DAY_MS = 86400000;
/** Real time between two checks of progress, ms. */
const LOOK_MS = 50;
/** Longest wait for an answer from the broker, and for the last records after the end, ms. */
const PATIENCE_MS = 10000;
/** Simulated time between two reports of a controller, at the fastest pace, with margin, s. */
const HEARTBEAT_SEC = 21600;
/** Entries of the log book read per batch. */
const SLICE = 2000;

export interface BrokerRunOptions {
  site: Site;
  siteFile: string;
  days: number;
  seed: number;
  /** mqtt://host:port */
  broker: string;
  /** Simulated seconds per second; by default fast while nothing happens and slow during tests. */
  pace?: number;
  /** A new file for the log book; by default a temporary one. */
  db?: string;
}

export interface BrokerRun {
  violations: string[];
  tests: TestCounts;
  records: RecordCounts;
  verification: Verification;
}

/** Address of a broker. @throws Error with one sentence if the URL is not plain MQTT. */
function placeOf(url: string): BrokerPlace {
  const { protocol, hostname, port } = new URL(url);
  if (protocol !== 'mqtt:')
    throw new Error('Simulated controllers use plain MQTT; give the broker as mqtt://host:port.');
  return { host: hostname, port: port === '' ? MQTT_PORT : Number(port) };
}

/** @throws Error with one sentence if nothing listens there. */
function findBroker(place: BrokerPlace): Promise<void> {
  return new Promise((resolve, reject) => {
    const socket = connect({ ...place, timeout: PATIENCE_MS });
    const fail = () => {
      socket.destroy();
      reject(
        new Error(`No broker answers at ${place.host}:${place.port}; start it or give another address.`),
      );
    };
    socket.once('error', fail);
    socket.once('timeout', fail);
    socket.once('connect', () => {
      socket.destroy();
      resolve();
    });
  });
}

/** @throws Error with one sentence if it refuses the host or a controller, none of which has a password there. */
async function expectOpen(o: BrokerRunOptions, place: BrokerPlace, keys: KeyRing): Promise<void> {
  const login = hostLogin(o.broker, keys);
  const parties: [string, string, object][] = [
    [o.broker, HOST_CLIENT, login ? { username: login.user, password: login.password } : {}],
    [`mqtt://${place.host}:${place.port}`, clientIdOf(o.site.id, o.site.circuits[0].id), {}],
  ];
  for (const [url, clientId, as] of parties) {
    const client = mqtt.connect(url, { protocolVersion: 4, clientId, ...as, reconnectPeriod: 0 });
    const refusal = await new Promise<string | undefined>((resolve) => {
      client.once('connect', () => resolve(undefined));
      // Without a code the connection was lost, which the run itself outlives.
      client.once('error', (error: Error & { code?: unknown }) =>
        resolve(typeof error.code === 'number' ? error.message : undefined),
      );
      client.once('close', () => resolve(undefined));
    });
    await client.endAsync(true);
    if (refusal !== undefined)
      throw new Error(
        `The broker at ${place.host}:${place.port} refuses ${clientId} (${refusal}); simulate --broker brings its own ` +
          'host and needs a broker that lets anybody in.',
      );
  }
}

async function until(isDone: () => boolean, patienceMs = Number.POSITIVE_INFINITY): Promise<void> {
  for (let waited = 0; !isDone() && waited < patienceMs; waited += LOOK_MS) await sleep(LOOK_MS);
}

/** True if the host holds every record of every controller and has confirmed them. */
function isHandedOver(rehearsal: Rehearsal): boolean {
  return rehearsal.fleet.nodes.every(
    ({ controller: c }) => c !== null && c.journal.acked === c.journal.last && c.core.outCount === 0,
  );
}

async function testsIn(logbook: Logbook): Promise<TestCounts> {
  const tests = newTestCounts();
  for (let after = 0; ; ) {
    const slice = await logbook.after(after, SLICE, 'result');
    for (const { body } of slice) countVerdicts(tests, readRecord(body));
    if (slice.length === 0) return tests;
    after = slice[slice.length - 1].entry;
  }
}

async function run(o: BrokerRunOptions, db: string): Promise<BrokerRun> {
  const broker = placeOf(o.broker);
  await findBroker(broker);
  const keys = seededKeys(o.seed);
  await expectOpen(o, broker, keys);
  const logbook = await openLogbook(db);
  const rehearsal = await Rehearsal.start({ site: o.site, seed: o.seed, days: o.days, keys, logbook });
  await logbook.close();
  let live: LiveFleet | undefined;
  const served = await serve({
    ...{ site: o.site, siteFile: o.siteFile, db, keys, port: 0, broker: o.broker, quiet: true },
    ...{ simulated: true, heartbeatSec: HEARTBEAT_SEC, speed: () => live?.pace() ?? 1 },
    clock: { nowMs: () => rehearsal.fleet.utcMs() },
  });
  const { fleet } = rehearsal;
  const { desired } = served.house;
  const onRound = followPlan(fleet.spec.controllers, o.site, () => desired.plan()?.plan);
  live = new LiveFleet({ fleet, broker, onRound, ...(o.pace !== undefined && { pace: o.pace }) });
  await until(() => fleet.now >= o.days * DAY_MS);
  await until(() => isHandedOver(rehearsal), PATIENCE_MS);
  live.stop();
  await served.stop();
  const kept = await openLogbook(db);
  const done = { tests: await testsIn(kept), verification: await kept.verify(keys) };
  const records = { written: rehearsal.recordsWritten(), inLogbook: await recordsIn(kept) };
  await kept.close();
  return { ...done, records, violations: rehearsal.watch.violations };
}

/**
 * Runs the site for some days on a broker.
 * @throws Error with one sentence if there is no broker.
 */
export async function runOnBroker(o: BrokerRunOptions): Promise<BrokerRun> {
  if (o.db !== undefined) return run(o, o.db);
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-'));
  try {
    return await run(o, join(folder, 'simulation.db'));
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
