// Three nodes of RabbitMQ, PostgreSQL and two ingest workers on this machine: what the way costs beside the bare queue, and
// whether anything is lost or doubled when each of them is killed under load.
//   node --import tsx tests/bench/estate/estate.ts [KILLS] [RECORDS] [MINUTES]
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { keepSeededKeys, secretFileOf } from '../../../host/keys';
import { openLogbook } from '../../../host/logbook/engines/open';
import { loadSite } from '../../../host/site/load';
import { medianOf } from '../../../simulator/compare/measures';
import { newRandom, nextUnit } from '../../../simulator/random';
import { KEYS } from '../../host/logbook/records';
import { startPostgres } from '../../support/postgres';
import { startRabbit } from '../../support/rabbitmq';
import { DEMO_SITE } from '../../system/support/cli';
import { Inserting, throughQueue } from './bare';
import { Controllers } from './controllers';
import { type Part, type Times, timesSince, timesSoFar } from './processor';
import { WorkerProcess } from './workers';

const [kills = 100, records = 10_000, minutes = 600] = process.argv.slice(2).map(Number);
/** So short that a look that comes late is no part of a rate. */
const LOOK_MS = 5;
/** Longest wait for records to be stored again after a kill, ms. */
const STUCK_MS = 400_000;
/** Records each controller makes between two kills. */
const LOAD = 120;
/** Largest part of them that may be acknowledged before the kill, and the longest wait after that, ms: about a commit. */
const LATEST = 0.7;
const WAIT_MS = 60;
/** In how many turns the rates are measured: each of three ways comes first in two of them. */
const TURNS = 6;
const WHOLE = "to the controller's acknowledgement";

const pause = (ms: number): Promise<unknown> => new Promise((resolve) => setTimeout(resolve, ms));
const sec = (ms: number): string => `${(ms / 1000).toFixed(1)} s`;
const say = (line: string): void => void process.stdout.write(`${line}\n`);

async function until(isSo: () => boolean, what: string): Promise<void> {
  const end = performance.now() + STUCK_MS;
  while (!isSo()) {
    if (performance.now() > end) throw new Error(`It has stopped: ${what}.`);
    await pause(LOOK_MS);
  }
}

interface Victim {
  name: string;
  kill(): Promise<void>;
  start(): Promise<void> | void;
}

/**
 * Kills one after the other under load, and waits after each until records are stored again. When is told by what is
 * acknowledged: a time would let a fast worker have all done before.
 */
async function campaign(controllers: Controllers, victims: readonly Victim[]): Promise<void> {
  const random = newRandom(7);
  const count = new Map<string, number>();
  const slowest = new Map<string, number>();
  let underLoad = 0;
  const began = performance.now();
  for (let n = 0; n < kills && performance.now() - began < minutes * 60_000; n++) {
    const victim = victims[Math.floor(nextUnit(random) * victims.length)];
    controllers.make(LOAD);
    const before = controllers.acknowledged;
    const enough = before + nextUnit(random) * LATEST * controllers.left();
    await until(() => controllers.acknowledged > enough, 'too little was acknowledged before a kill');
    await pause(nextUnit(random) * WAIT_MS);
    const onWay = controllers.left();
    if (onWay > 0) underLoad++;
    const at = performance.now();
    await victim.kill();
    await victim.start();
    const back = performance.now() - at;
    await until(
      () => controllers.left() === 0,
      `not all is acknowledged after kill ${n + 1} of ${victim.name}`,
    );
    count.set(victim.name, (count.get(victim.name) ?? 0) + 1);
    slowest.set(victim.name, Math.max(slowest.get(victim.name) ?? 0, performance.now() - at));
    say(
      `${n + 1}: ${victim.name} with ${onWay} records on their way, back after ${sec(back)}, all stored after ${sec(performance.now() - at)}`,
    );
  }
  const all = [...count.values()].reduce((sum, times) => sum + times, 0);
  if (all > 0) say(`${all} kills, ${underLoad} of them with records on their way`);
  for (const [name, times] of [...count].sort())
    say(`${name}: killed ${times} times, all acknowledged again within ${sec(slowest.get(name) ?? 0)}`);
}

/** Counts what is stored, and checks the chain. */
async function judge(db: string, controllers: Controllers): Promise<void> {
  const logbook = await openLogbook(db);
  const { made } = controllers;
  const names = new Set<string>();
  let stored = 0;
  for (let after = 0; ; after += 2000) {
    const entries = await logbook.after(after, 2000);
    for (const { address, journal, seq } of entries) names.add(`${address} ${journal} ${seq}`);
    stored += entries.length;
    if (entries.length < 2000) break;
  }
  const { valid, faults } = await logbook.verify(KEYS);
  const root = Buffer.from(await logbook.tree.root()).toString('base64');
  await logbook.close();
  say(
    `${made} records acknowledged, ${controllers.published} messages sent: ${made - names.size} lost, ${stored - names.size} doubled`,
  );
  say(
    `chain, links, gaps and signatures ${valid ? 'hold' : 'DO NOT HOLD'}, ${faults.length} faults; root ${root}`,
  );
  if (!valid || made !== names.size || stored !== names.size) process.exitCode = 1;
}

/** What one of the ways took in all turns: ms of time, and of processors by part. */
interface Taken {
  records: number;
  ms: number;
  /** Records a second in each turn. */
  rates: number[];
  times: Times | undefined;
}

/** Rates of the three ways by turns, so that a busy moment of the machine meets all. */
async function rates(
  each: number,
  ways: { [name: string]: (count: number) => Promise<number> },
): Promise<void> {
  const taken = new Map<string, Taken>(
    Object.keys(ways).map((name) => [name, { records: 0, ms: 0, rates: [], times: undefined }]),
  );
  // The first turn warms up.
  for (let turn = 0; turn <= TURNS; turn++) {
    const order = Object.entries(ways);
    // What comes after the same way each time would bear what that leaves to be done.
    order.push(...order.splice(0, turn % order.length));
    for (const [name, way] of order) {
      const sum = taken.get(name)!;
      const before = timesSoFar();
      const ms = await way(each);
      if (turn === 0) continue;
      const times = timesSince(before);
      const parts = Object.keys(times) as Part[];
      sum.times = Object.fromEntries(
        parts.map((part) => [part, times[part] + (sum.times?.[part] ?? 0)]),
      ) as Times;
      sum.ms += ms;
      sum.rates.push((each * 1000) / ms);
      sum.records += each;
    }
  }
  const rateOf = ({ records, ms }: Taken): number => (records * 1000) / ms;
  const whole = taken.get(WHOLE)!;
  for (const [name, sum] of taken) {
    // What another program did to one turn does not move it.
    const middle = medianOf(whole.rates.map((rate, turn) => rate / sum.rates[turn]))!;
    const used = Object.entries(sum.times!).map(([part, ms]) => `${part} ${(ms / sum.records).toFixed(3)}`);
    say(
      `${name}: ${rateOf(sum).toFixed(0)}/s, ${(rateOf(whole) / rateOf(sum)).toFixed(2)} x, in the middle of the turns ${middle.toFixed(2)} x; processor ms a record: ${used.join(', ')}`,
    );
  }
}

/** The whole way, and the bare ones it is compared with. */
async function rateOfWays(
  controllers: Controllers,
  circuits: number,
  node: { amqp: string; mqtt: string },
  db: string,
): Promise<void> {
  // For its tables and indexes.
  await (await openLogbook(`${db}?schema=bare`)).close();
  const inserting = await Inserting.on(node, db);
  const whole = async (count: number): Promise<number> => {
    controllers.make(count / circuits);
    const began = performance.now();
    controllers.look();
    await until(() => controllers.left() === 0, 'the load without kills');
    return performance.now() - began;
  };
  try {
    await rates(Math.ceil(records / TURNS / circuits) * circuits, {
      'bare quorum queue': (count) => throughQueue(node, count),
      'bare quorum queue and inserts': (count) => inserting.through(node, count),
      [WHOLE]: whole,
    });
  } finally {
    inserting.end();
  }
}

async function run(folder: string): Promise<void> {
  const loaded = loadSite(DEMO_SITE);
  if (!('site' in loaded)) throw new Error('The demonstration site has mistakes.');
  const { site } = loaded;
  const database = await startPostgres();
  const rabbit = await startRabbit(3);
  const { nodes } = rabbit;
  keepSeededKeys(join(folder, secretFileOf(database.url)), 1);
  const addresses = site.circuits.map(({ id }) => `${site.id}/${id}`);
  const controllers = new Controllers(
    nodes.map(({ mqtt }) => mqtt),
    addresses,
  );
  const amqpUrls = nodes.map(({ amqp }) => amqp);
  const workers = [0, 1].map(
    (i) =>
      new WorkerProcess(folder, DEMO_SITE, [...amqpUrls.slice(i), ...amqpUrls.slice(0, i)], database.url),
  );
  try {
    // The first has the queue's leader at its own node, which is also that of the controllers.
    workers[0].start();
    controllers.make(1);
    await until(() => controllers.left() === 0, 'the first records');
    workers[1].start();
    await rateOfWays(controllers, addresses.length, nodes[0], database.url);
    const victims: Victim[] = [
      ...nodes.map((node, i) => ({
        name: `node ${i + 1}`,
        kill: () => node.kill(),
        start: () => node.start(),
      })),
      ...workers.map((worker, i) => ({
        ...{ name: `worker ${i + 1}`, kill: () => worker.kill(), start: () => worker.start() },
      })),
      { name: 'database', kill: () => database.end('SIGKILL'), start: () => database.start() },
    ];
    await campaign(controllers, victims);
    await judge(database.url, controllers);
  } finally {
    await controllers.end();
    for (const worker of workers) await worker.kill();
    await rabbit.remove();
    await database.remove();
  }
}

const folder = mkdtempSync(join(tmpdir(), 'nightproof-estate-'));
try {
  await run(folder);
} finally {
  rmSync(folder, { recursive: true, force: true });
}
