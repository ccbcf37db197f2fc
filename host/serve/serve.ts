// The host, put together: broker or connection to one, ingest, log book, orders, read model, page.
import type { StateMessage } from '../../firmware/contract/messages';
import { type Broker, startBroker } from '../broker/broker';
import { type Building, createBuilding } from '../building/building';
import { createOutlook } from '../building/outlook';
import { createWanted, type Numbered, type Wanted } from '../building/wanted';
import { type HostClock, nowSec, systemClock } from '../clock';
import { createIngest, type Ingest, type StoredRecord } from '../ingest/ingest';
import { type Subscriber, startSubscriber } from '../ingest/subscriber';
import { type KeyRing, openKeys, secretFileOf } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { openLogbook } from '../logbook/sqlite/open';
import { watchChain } from '../logbook/watch';
import { createOrders, type Orders } from '../orders/orders';
import { loadPage } from '../page/assets';
import { createPeople, type People } from '../people/desk';
import { rechargeSecOf } from '../planner/placing/circuitWork';
import { profileFor } from '../profiles/profile';
import { readRecord } from '../records/schema';
import { doneTests, testHistory } from '../records/testHistory';
import { type EventHub, newEventHub } from '../server/events';
import { viewOf } from '../server/routes';
import { type PageServer, startServer } from '../server/server';
import type { Circuit, Site } from '../site/model';
import { owedFullTests } from '../site/owed';
import { testSecOf } from '../site/settings';
import { type Ending, newEnding } from './ending';
import { type HeardList, newHeardList } from './heard';
import { startNoticeBoard } from './noticeBoard';
import { MQTT_PORT } from './ports';
import { type Push, startPush } from './push';

export interface ServeOptions {
  site: Site;
  siteFile: string;
  /** Broker outside, mqtt://host:port; without it the host brings its own. */
  broker?: string;
  /** Where the own broker listens: port 1883 (any free one when simulated), this machine only. */
  brokerPort?: number;
  brokerHost?: string;
  /** SQLite file; ':memory:' needs `keys`. */
  db: string;
  /** Port of the page; 0 for any free one. */
  port: number;
  host?: string;
  clock?: HostClock;
  simulated?: boolean;
  /** Seconds of `clock` per real second. */
  speed?: () => number;
  /** Without them: from the secret file beside the log book. */
  keys?: KeyRing;
  plan?: Numbered;
  /** Interval of the controllers' reports, s. */
  heartbeatSec?: number;
  /** No lines on stdout; troubles still go to stderr. */
  quiet?: boolean;
}

export interface Served {
  /** Address of the page. */
  url: string;
  /** Port of the own broker, 0 with a broker outside. */
  brokerPort: number;
  brokerUrl: string;
  logbook: Logbook;
  building: Building;
  wanted: Wanted;
  ingest: Ingest;
  orders: Orders;
  stop(): Promise<void>;
}

const HEARTBEAT_SEC = 60;
/** How often plan and settings are looked at, and what was heard is saved, ms. */
const UPKEEP_MS = 60000;
/** Delay on the way that is no sign of trouble, real s. */
const SLACK_SEC = 5;
const ORDER_LIFE_SEC = 60;

function tell(sentence: string): void {
  process.stderr.write(`${sentence}\n`);
}

/** Results, and orders for what they say of holds. */
function rebuild(building: Building, logbook: Logbook, kind: 'result' | 'order'): void {
  let after = 0;
  for (;;) {
    const slice = logbook.after(after, 2000, kind);
    for (const entry of slice) {
      const record = readRecord(entry.body);
      if (record) building.record(entry.address.split('/')[1], record, entry.at);
      after = entry.entry;
    }
    if (slice.length === 0) return;
  }
}

/** Everything that is made before a socket is opened. */
interface Parts {
  o: ServeOptions;
  clock: HostClock;
  speed: () => number;
  keys: KeyRing;
  logbook: Logbook;
  wanted: Wanted;
  building: Building;
  people: People;
  hub: EventHub;
  heard: HeardList;
}

function makeParts(o: ServeOptions): Parts {
  const clock = o.clock ?? systemClock;
  const speed = o.speed ?? (() => 1);
  const { site } = o;
  const keys = o.keys ?? openKeys(secretFileOf(o.db));
  const logbook = openLogbook(o.db);
  const hub = newEventHub();
  const people = createPeople({
    ...{ site, logbook, keys },
    floorPercent: profileFor(site).floorPercent.value,
    plan: () => wanted.plan()?.plan,
    onChange(circuit) {
      const now = nowSec(clock);
      wanted.refresh(now);
      hub.send('status', building.controller(circuit, now));
      const [entry] = logbook.page({ limit: 1 });
      if (entry) hub.send('entry', viewOf(building, entry, site.timeZone));
    },
  });
  const inForce = (circuit: Circuit): Circuit => people.inForce(circuit);
  const attended = (circuit: string) => people.attended(circuit);
  const wanted = createWanted({
    site,
    inForce,
    attended,
    memory: logbook.memory,
    history: (circuit) => testHistory(logbook, `${site.id}/${circuit}`),
    owed: (circuit) => people.owed(circuit),
    fullAt: (circuit, now) => building.controller(circuit, now).charged,
    done: (circuit, revision) => doneTests(logbook, `${site.id}/${circuit}`, revision),
    onProblem: tell,
    ...(o.plan && { given: o.plan }),
  });
  const profile = profileFor(site);
  for (const sentence of owedFullTests(site, profile)) tell(sentence);
  const building = createBuilding({
    site,
    inForce,
    attended,
    plan: () => wanted.plan(),
    fullDays: profile.full.latestDays.value,
    testSec: (circuit, kind) => testSecOf(circuit, kind, profile),
    rechargeSec: (kind) => rechargeSecOf(profile, kind),
    heartbeatSec: o.heartbeatSec ?? HEARTBEAT_SEC,
    slackSec: () => SLACK_SEC * speed(),
    simulated: o.simulated === true,
  });
  rebuild(building, logbook, 'order');
  rebuild(building, logbook, 'result');
  wanted.refresh(nowSec(clock));
  return {
    o,
    clock,
    speed,
    keys,
    logbook,
    wanted,
    building,
    people,
    hub,
    heard: newHeardList(logbook.memory),
  };
}

function showRecord(p: Parts, push: Push, stored: StoredRecord): void {
  const circuit = stored.address.split('/')[1];
  if (stored.record) p.building.record(circuit, stored.record, stored.at);
  const [entry] = p.logbook.after(stored.entry - 1, 1);
  if (entry && p.hub.listeners() > 0) p.hub.send('entry', viewOf(p.building, entry, p.o.site.timeZone));
  push.status(circuit);
}

function makeIngest(p: Parts, push: Push, orders: Orders, publish: Subscriber['publish']): Ingest {
  const ids = new Set(p.o.site.circuits.map((circuit) => `${p.o.site.id}/${circuit.id}`));
  const circuitOf = (address: string): string => address.split('/')[1];
  const takeState = (address: string, state: StateMessage, retained: boolean, text: string): void => {
    const at = p.heard.note(address, text, retained, state.utc, nowSec(p.clock));
    p.building.state(circuitOf(address), state, at);
    push.status(circuitOf(address));
  };
  return createIngest({
    logbook: p.logbook,
    keys: p.keys,
    clock: p.clock,
    publish,
    known: (address) => ids.has(address),
    desired: (address, state) => p.wanted.desired(circuitOf(address), state),
    onState: takeState,
    onRecord: (stored) => showRecord(p, push, stored),
    onReply: (address, reply) => orders.reply(address, reply),
    onLive(address, live) {
      const reading = p.building.live(circuitOf(address), live);
      if (reading) push.live(reading);
    },
    onPresence(address, { online }) {
      p.building.presence(circuitOf(address), online === 1);
      push.status(circuitOf(address));
    },
    onProblem: tell,
  });
}

function startOwnBroker(o: ServeOptions): Promise<Broker> {
  return startBroker({
    port: o.brokerPort ?? (o.simulated ? 0 : MQTT_PORT),
    ...(o.brokerHost !== undefined && { host: o.brokerHost }),
    site: o.site.id,
    controllers: o.site.circuits.map((circuit) => circuit.id),
    onProblem: tell,
  });
}

function startUpkeep(p: Parts): NodeJS.Timeout {
  return setInterval(() => {
    try {
      p.people.refresh();
      p.wanted.refresh(nowSec(p.clock));
      p.heard.save();
    } catch (error) {
      tell((error as Error).message);
    }
  }, UPKEEP_MS);
}

async function start(p: Parts, ending: Ending): Promise<Served> {
  const { o, logbook, building, wanted, hub, speed } = p;
  const broker = o.broker === undefined ? await startOwnBroker(o) : undefined;
  if (broker) ending.add(() => broker.close());
  const brokerUrl = broker?.url ?? o.broker ?? '';
  let subscriber: Subscriber | undefined;
  const publish: Subscriber['publish'] = (...message) => subscriber?.publish(...message) ?? false;
  const now = (): number => nowSec(p.clock);
  const push = startPush({ hub, building, circuits: o.site.circuits.map((c) => c.id), now, speed });
  ending.add(() => push.stop());
  const lifeSec = (): number => ORDER_LIFE_SEC * Math.max(1, speed());
  const orders = createOrders({ keys: p.keys, clock: p.clock, publish, logbook, lifeSec });
  ending.add(() => orders.close());
  const ingest = makeIngest(p, push, orders, publish);
  p.heard.replay(ingest);
  const connection = startSubscriber(() => ingest, { url: brokerUrl, site: o.site.id, onProblem: tell });
  subscriber = connection;
  ending.add(() => connection.close());
  ending.add(startNoticeBoard({ site: o.site.id, building, publish, now }));
  const upkeep = startUpkeep(p);
  ending.add(() => clearInterval(upkeep));
  const page = await loadPage();
  const chain = watchChain(logbook);
  const site = { id: o.site.id, timeZone: o.site.timeZone };
  const outlook = createOutlook(o.site, () => wanted.plan()?.plan);
  const parts = { site, building, logbook, chain, orders, people: p.people, outlook, hub, now, speed };
  const place = { port: o.port, ...(o.host !== undefined && { host: o.host }) };
  const server: PageServer = await startServer({ ...parts, page, ...place });
  ending.add(() => server.close());
  if (!o.quiet)
    process.stdout.write(
      `${o.site.name} (${o.siteFile}): page ${server.url}, MQTT ${brokerUrl}, log book ${o.db}\n`,
    );
  const stop = (): Promise<void> => ending.run();
  const brokerPort = broker?.port ?? 0;
  return { url: server.url, brokerPort, brokerUrl, logbook, building, wanted, ingest, orders, stop };
}

/**
 * Starts the host of one site and gives back how to reach and stop it.
 * @throws Error with one sentence when a port is taken, or log book or secret cannot be used.
 */
export async function serve(options: ServeOptions): Promise<Served> {
  const parts = makeParts(options);
  const ending = newEnding();
  ending.add(() => parts.logbook.close());
  ending.add(() => parts.heard.save());
  try {
    return await start(parts, ending);
  } catch (error) {
    await ending.run();
    throw error;
  }
}
