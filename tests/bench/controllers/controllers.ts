// Thousands of controllers as real clients of one Mosquitto, set up by what broker-files writes: each with its own password
// and no right beyond its own topics. The whole host is beside them in a process of its own.
// Whether every record they have written is in the log book, which invariant broke, and what it cost.
//   node --import tsx tests/bench/controllers/controllers.ts [CONTROLLERS] [DAYS] [PACE] [MINUTES]
import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { TestKind, Verdict } from '../../../firmware/contract/codes';
import { mountJournal } from '../../../firmware/journal/journal';
import { brokerFiles } from '../../../host/broker/files';
import { loginOf } from '../../../host/broker/logins';
import { clientIdOf, HOST_CLIENT } from '../../../host/broker/parties';
import { keepSeededKeys, secretFileOf, seededKeys } from '../../../host/keys';
import type { Plan } from '../../../host/planner/plan/plan';
import { profileFor } from '../../../host/profiles/profile';
import { lampResults } from '../../../host/records/result';
import { fleetSpecOf, renewRules, startUtcMs } from '../../../host/rehearse/estate';
import type { Site } from '../../../host/site/model';
import { Watch } from '../../../simulator/checkers/watch';
import { Fleet } from '../../../simulator/fleet';
import type { SimulatedController } from '../../../simulator/node';
import { freePort, type MosquittoBroker, startMosquitto } from '../../support/brokers';
import { run } from '../../system/support/cli';
import { readLines } from '../../system/support/records';
import { writeEstate } from '../largeSite';
import { cpuSecOf, peakMiBOf } from '../longBook';
import type { FromHost, HostJob, ToHost } from './host';
import { SteppedFleet } from './stepped';

const [controllers = 50, days = 31, pace = 600, minutes = 600] = process.argv.slice(2).map(Number);
const SEED = 5;
const KEYS = seededKeys(SEED);
const HOST = '127.0.0.1';
/** Of 5,000 circuits, half have a function test within a week; with the usual ten minutes between two, 54 a night. */
const SHAPE = { luminaires: 4, functionTestDays: 7, staggerSec: 10 };
/** Of a controller on its link, in real time. */
const TIMES = { liveMs: 250, heartbeatSec: 60, keepAliveSec: 60 };
/** Longer than simulated time between two reports, s. */
const HEARTBEAT_SEC = 10 * 86_400;
const DAY_MS = 86_400_000;
/** Simulated time after the last day in which the last records reach the log book, ms. */
const SETTLE_MS = 7_200_000;

const say = (line: string): void => void process.stdout.write(`${line}\n`);
const daysOf = (ms: number): string => (ms / DAY_MS).toFixed(1);

class HostProcess {
  private readonly child: ChildProcess;
  private onPlan: (plan: Plan) => void = () => {};

  constructor(job: HostJob) {
    const program = fileURLToPath(new URL('host.ts', import.meta.url));
    this.child = fork(program, [JSON.stringify(job)], { execArgv: ['--import', 'tsx'] });
    this.child.once('exit', (code) => {
      if (code !== 0) throw new Error(`The host has ended with ${code}.`);
    });
  }

  get pid(): number {
    return this.child.pid as number;
  }

  /** @returns its first plan, once it serves the estate */
  async started(onPlan: (plan: Plan) => void): Promise<Plan> {
    const { plan } = await this.heard();
    this.onPlan = onPlan;
    return plan as Plan;
  }

  /** Resolves once it works by this time, and its plan is known here. */
  async tell(at: number): Promise<void> {
    this.say({ at });
    const { plan } = await this.heard();
    if (plan) this.onPlan(plan);
  }

  async stop(): Promise<void> {
    const ended = once(this.child, 'exit');
    this.say('stop');
    await ended;
  }

  private say(message: ToHost): void {
    this.child.send(message);
  }

  private async heard(): Promise<FromHost> {
    const [message] = await once(this.child, 'message');
    return message as FromHost;
  }
}

/** Texts of all records that a controller has written, oldest first, as its flash has them. */
function writtenBy({ controller: c, flash, spec }: SimulatedController): string[] {
  if (!c) throw new Error(`${spec.circuit} has no power.`);
  const { key, fileBytes, last } = c.journal;
  const texts: string[] = [];
  mountJournal(
    flash,
    key,
    spec.address,
    fileBytes,
    () => '',
    (text) => texts.push(text),
  );
  if (texts.length !== last) throw new Error(`${spec.circuit} has ${texts.length} records of ${last}.`);
  return texts;
}

function isHandedOver({ controller: c }: SimulatedController): boolean {
  return c !== null && c.journal.acked === c.journal.last && c.core.outCount === 0;
}

/** Compares what the controllers have written with what is stored, and checks the chain. */
async function judge(fleet: Fleet, db: string): Promise<void> {
  const lines = await readLines(db);
  const stored = new Set(lines.map(({ entry }) => `${entry.address} ${entry.body}`));
  const written = fleet.nodes.flatMap((node) =>
    writtenBy(node).map((text) => `${node.spec.address} ${text}`),
  );
  const lost = written.filter((text) => !stored.has(text)).length;
  say(
    `${written.length} records written, ${lines.length} stored, ${lost} lost, ${lines.length - stored.size} doubled`,
  );
  const verdicts = { pass: 0, fail: 0, void: 0 };
  const tested = new Set<string>();
  let results = 0;
  for (const { circuit, record } of lines) {
    if (record.kind !== 'result') continue;
    results++;
    if (record.type === TestKind.Brief) tested.add(circuit);
    for (const { verdict } of lampResults(record))
      verdicts[verdict === Verdict.Pass ? 'pass' : verdict === Verdict.Fail ? 'fail' : 'void']++;
  }
  say(
    `${results} results of ${JSON.stringify(verdicts)}; ${tested.size} controllers have made a function test`,
  );
  const { code, stdout, stderr } = await run('logbook', 'verify', '--db', db);
  say(`logbook verify ends with ${code}: ${stdout.trim()} ${stderr.trim()}`);
  if (lost > 0 || lines.length !== written.length || code !== 0) process.exitCode = 1;
}

async function startBroker(folder: string, site: Site): Promise<MosquittoBroker> {
  const port = await freePort();
  const { texts } = brokerFiles({
    buildings: [{ site, keys: KEYS }],
    ...{ readers: [], host: HOST, port, folder },
  });
  for (const [name, text] of Object.entries(texts)) writeFileSync(join(folder, name), text);
  return startMosquitto({ port, whole: texts['nightproof.conf'] });
}

/** Gives every controller the password that its broker knows. */
function logIn(fleet: Fleet, site: Site): void {
  for (const { controller: c, spec } of fleet.nodes)
    if (c) c.link.mqtt.options.password = loginOf(KEYS, clientIdOf(site.id, spec.circuit)).password;
}

function tellCost(what: string, pid: number): void {
  say(`${what}: ${cpuSecOf(pid).toFixed(0)} s of a processor, ${peakMiBOf(pid).toFixed(0)} MiB at most`);
}

async function play(folder: string, site: Site, siteFile: string, broker: MosquittoBroker): Promise<void> {
  const db = join(folder, 'estate.db');
  keepSeededKeys(secretFileOf(db), SEED);
  const start = startUtcMs(site);
  const began = performance.now();
  const realSec = (): string => ((performance.now() - began) / 1000).toFixed(0);
  const host = new HostProcess({
    ...{
      siteFile,
      db,
      broker: `mqtt://${HOST_CLIENT}@${HOST}:${broker.port}`,
      seed: SEED,
      pace,
      startUtcMs: start,
    },
    heartbeatSec: HEARTBEAT_SEC,
  });
  const plan = await host.started((next) => renewRules(fleet.spec.controllers, site, next));
  say(`the host serves the estate after ${realSec()} s`);
  tellCost('host', host.pid);
  const spec = fleetSpecOf({
    ...{ site, profile: profileFor(site), plan, keys: KEYS, seed: SEED, days, link: TIMES },
  });
  const watch = new Watch(start);
  const fleet = new Fleet({ ...spec, isSparing: true }, () => {}, [watch]);
  logIn(fleet, site);
  const stepped = new SteppedFleet({
    ...{ fleet, broker: { host: HOST, port: broker.port }, times: TIMES, pace },
    tell: (at) => host.tell(at),
  });
  const online = () => fleet.nodes.filter(({ controller: c }) => c?.link.online === 1).length;
  const planned = () => fleet.nodes.filter(({ controller: c }) => (c?.core.planRevision ?? 0) > 0).length;
  let told = 0;
  const tell = (): void => {
    for (const line of watch.violations.slice(told)) say(`BROKEN: ${line}`);
    told = watch.violations.length;
    say(
      `${realSec()} s: day ${daysOf(fleet.now)}, ${online()} online, ${planned()} with a plan, ${watch.openings} openings, ` +
        `${stepped.reports} reports, ${stepped.unanswered} of them unanswered`,
    );
  };
  for (let day = 1; day <= days && performance.now() - began < minutes * 60_000; day++) {
    await stepped.run(day * DAY_MS);
    tell();
  }
  const log = broker.log();
  const count = (what: RegExp): number => log.match(what)?.length ?? 0;
  say(
    `Mosquitto: ${count(/New client connected/g)} connections, ${count(/being dropped/g)} times short of room`,
  );
  await stepped.run(fleet.now + SETTLE_MS, () => fleet.nodes.every(isHandedOver));
  tell();
  say(`${watch.violations.length} invariants broken`);
  tellCost('host', host.pid);
  tellCost('Mosquitto', broker.pid());
  tellCost('controllers', process.pid);
  stepped.stop();
  await host.stop();
  await judge(fleet, db);
  if (watch.violations.length > 0) process.exitCode = 1;
}

const folder = mkdtempSync(join(tmpdir(), 'nightproof-controllers-'));
const { site, file } = writeEstate(folder, controllers, SHAPE);
const broker = await startBroker(folder, site);
try {
  await play(folder, site, file, broker);
} finally {
  await broker.stop();
  rmSync(folder, { recursive: true, force: true });
}
