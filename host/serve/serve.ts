// The host, put together: broker or connection to one, ingest, log book, orders, state of the house, page. What comes
// in becomes an event, the event is applied to the house, and what has changed goes out.
import { controllerOf } from '../../firmware/contract/topics';
import { hostLogin, withoutPassword } from '../broker/address';
import { noBroker } from '../broker/broker';
import { loginOf } from '../broker/logins';
import { HOST_CLIENT } from '../broker/parties';
import type { CheckpointKeeper } from '../checkpoints/keeper';
import { type HostClock, nowSec, risingMs, systemClock } from '../clock';
import type { Numbered } from '../house/desired/desired';
import { createEntering } from '../house/enter';
import { createHouse, type House } from '../house/house';
import { type ListingOptions, noteLists } from '../house/notes/listing';
import { isNoteAddress } from '../house/notes/notes';
import { type PastState, replay } from '../house/past';
import { newPastStore, type PastStore, storedPast } from '../house/pastStore';
import { createOutlook } from '../house/view/outlook';
import type { Publish } from '../ingest/answers';
import { createIngest, type Ingest } from '../ingest/ingest';
import { type Subscriber, startSubscriber } from '../ingest/subscriber';
import { startAlerts } from '../integrators/alerts/alerts';
import type { AlertSettings } from '../integrators/alerts/settings';
import { startMetrics } from '../integrators/metrics';
import { isInTest } from '../integrators/status';
import {
  hostWill,
  type StatusBoard,
  type StatusListener,
  startStatusBoard,
} from '../integrators/statusBoard';
import { type KeyRing, openKeys, secretFileOf } from '../keys';
import { isLogbookThere, lockLogbook, openLogbook } from '../logbook/engines/open';
import type { Entry, Logbook } from '../logbook/logbook';
import { loadMemory, type WrittenMemory } from '../logbook/memory';
import { isSimulated, noteSimulated } from '../logbook/simulated';
import { watchChain } from '../logbook/watch';
import { isThisMachine } from '../loopback';
import { createOrders, type Orders, sendAgain } from '../orders/orders';
import { loadPage } from '../page/assets';
import { profileFor } from '../profiles/profile';
import { expectOwn } from '../proof/owner';
import { type EventHub, newEventHub } from '../server/events';
import { missingPictures, picturesOf } from '../server/floorPlans';
import { expectFree } from '../server/listen';
import { newReportMaker } from '../server/reports';
import { noPage, type PageServer, startServer } from '../server/server';
import type { Site } from '../site/model';
import { owedFullTests } from '../site/owed';
import { createSiteDoor } from '../siteDoor/door';
import type { Tls } from '../tls/kept';
import { type Ending, newEnding } from './ending';
import { createFollower, type Follower } from './follow';
import { openDesk } from './frontDesk';
import { isLongResult, startKeeper } from './heads';
import { type HeardList, newHeardList } from './heard';
import { startNoticeBoard } from './noticeBoard';
import { LOCALHOST, ownBrokerPort, startOwnBroker } from './ownBroker';
import { expectSafePage, type PageDoor, pageDoor } from './pageDoor';
import { PageKeeper } from './pageKeeper';
import { type Push, startPush } from './push';
import { fixedWords, settleSiteFile } from './siteFile';
import { createTakingOver, type ReadySite } from './takingOver';
import { outliveLostLines, tell } from './tell';

export interface ServeOptions {
  site: Site;
  siteFile: string;
  /** External broker, mqtt://host:port; without it the host starts its own. */
  broker?: string;
  /** Where its own broker listens: port 1883 (any free one if simulated), this machine only. */
  brokerPort?: number;
  brokerHost?: string;
  /** On its network are only those who may see all and need no password. */
  trustedNetwork?: boolean;
  /** SQLite file; ':memory:' needs `keys`. */
  db: string;
  /** Port of the page; 0 for any free one. */
  port: number;
  /** Address the page is served on; this machine only by default. Beyond it, by TLS and with accounts. */
  host?: string;
  /** Names by which devices in the building find this machine, beside its addresses. */
  names?: readonly string[];
  /** PEM files to use in place of certificates of the host's own. */
  tlsCert?: string;
  tlsKey?: string;
  /** What the page is served with if no certificate can be had: that of the host before a takeover. */
  tls?: Tls;
  /** Addresses of this machine that others reach; by default as its interfaces say. */
  addresses?: () => string[];
  clock?: HostClock;
  simulated?: boolean;
  /** Seconds of `clock` per real second. */
  speed?: () => number;
  /** By default from the secret file beside the log book. */
  keys?: KeyRing;
  plan?: Numbered;
  /** Has the host work with a site changed on the page; without it the page changes none. */
  takeOver?: (next: ReadySite) => void;
  /** Of the text that `site` was read from; by default that of the file as it is. */
  siteRevision?: string;
  /** What the log book said of `site` up to an entry; by default as stored, or read from the first entry on. */
  past?: PastState;
  /** Who is told of alarms, and how. */
  alerts?: AlertSettings;
  /** Port of the numbers for Prometheus on this machine; 0 for any free one. */
  metrics?: number;
  /** Interval of the controllers' reports, s. */
  heartbeatSec?: number;
  /** No lines on stdout; problems still go to stderr. */
  quiet?: boolean;
}

export interface Served {
  /** Address of the page, also where it could not be served yet. */
  url: string;
  /** What the page is served with; undefined without TLS. */
  tls(): Tls | undefined;
  /** Port of its own broker, 0 with an external one. */
  brokerPort: number;
  brokerUrl: string;
  logbook: Logbook;
  house: House;
  ingest: Ingest;
  orders: Orders;
  stop(): Promise<void>;
}

const HEARTBEAT_SEC = 60;
/** Time between checks of plan and settings, and between saves of what was heard, ms. */
const UPKEEP_MS = 60000;
/** Transit delay that does not indicate trouble, real s. */
const SLACK_SEC = 5;
const ORDER_LIFE_SEC = 60;

/** Everything made before a socket is opened. */
interface Parts {
  o: ServeOptions;
  clock: HostClock;
  speed: () => number;
  keys: KeyRing;
  logbook: Logbook;
  memory: WrittenMemory;
  house: House;
  hub: EventHub;
  heard: HeardList;
  pastStore: PastStore;
  /** Revision of the site file it was started with; '' if it is not read. */
  siteRevision: string;
  front: PageDoor;
}

async function makeParts(o: ServeOptions, front: PageDoor): Promise<Parts> {
  const { site } = o;
  const clock = o.clock ?? systemClock;
  const speed = o.speed ?? (() => 1);
  const keys = o.keys ?? openKeys(secretFileOf(o.db));
  const logbook = await openLogbook(o.db);
  await expectOwn(logbook, site, o.db).catch(async (error) => {
    await logbook.close();
    throw error;
  });
  if (o.simulated) await noteSimulated(logbook);
  const simulated = await isSimulated(logbook);
  const memory = await loadMemory(logbook.memory, tell);
  const siteRevision = await settleSiteFile(o, logbook, keys, nowSec(clock));
  for (const sentence of owedFullTests(site, profileFor(site))) tell(sentence);
  for (const sentence of missingPictures(site, o.siteFile)) tell(sentence);
  const stored = o.past ? undefined : await storedPast({ site, keys, memory }, logbook);
  const past = o.past ?? stored;
  const house = createHouse({
    ...{ site, keys, memory, simulated, onProblem: tell },
    heartbeatSec: o.heartbeatSec ?? HEARTBEAT_SEC,
    slackSec: () => SLACK_SEC * speed(),
    upSec: () => risingMs(clock) / 1000,
    ...(o.plan && { given: o.plan }),
    ...(past && { past }),
  });
  const pastStore = newPastStore({ site, keys, memory }, stored?.entry ?? 0);
  await replay(logbook, house.past.entry(), (entry) => house.apply({ kind: 'entry', entry }));
  pastStore.keep(house.past);
  house.apply({ kind: 'time', now: nowSec(clock) });
  await noteLists({
    ...listing({ site, keys, logbook, house, clock }),
    take: (entry) => void house.apply({ kind: 'entry', entry }),
  });
  return {
    o,
    clock,
    speed,
    keys,
    logbook,
    memory,
    house,
    hub: newEventHub(),
    heard: newHeardList(memory, clock),
    pastStore,
    siteRevision,
    front,
  };
}

type ListingParts = Pick<Parts, 'keys' | 'logbook' | 'house' | 'clock'> & { site: Site };

/** How this host notes which luminaires each revision of the settings describes. */
function listing({ site, keys, logbook, house, clock }: ListingParts): Omit<ListingOptions, 'take'> {
  return {
    ...{ site, keys, logbook, listed: house.past.notes.listed, now: () => nowSec(clock) },
    revisionOf: (circuit) => house.desired.settingsRevision(circuit),
  };
}

/** Whether the log book says whom the settings of a circuit describe. */
function isListed({ desired, past }: House, circuit: string): boolean {
  const revision = desired.settingsRevision(circuit);
  return revision === undefined || past.notes.listed(circuit, revision) !== undefined;
}

interface Following {
  follower: Follower;
  /** Notes whom changed settings describe. It never rejects. */
  list(): Promise<void>;
}

/** Applies entries to the house and shows them on the open pages. */
function startFollower(p: Parts, push: Push, keeper: CheckpointKeeper): Following {
  const { house, hub, logbook } = p;
  let listed = Promise.resolve();
  const list = (): Promise<void> => {
    const note = () =>
      noteLists({ ...listing({ ...p, site: p.o.site }), take: (entry) => follower.take(entry) });
    listed = listed.then(note).catch((error: Error) => tell(error.message));
    return listed;
  };
  const follower = createFollower({
    ...{ house, logbook, onProblem: tell },
    onApplied(entry, record) {
      // What people enter changes plan and settings at once.
      if (isNoteAddress(entry.address) && entry.kind !== 'listed') {
        house.apply({ kind: 'time', now: nowSec(p.clock) });
        void list();
      }
      if (hub.listeners() > 0) hub.send('entry', house.view.entry(entry, record));
      push.status(controllerOf(entry.address));
      if (record && isLongResult(record)) void keeper.make().then(() => keeper.look());
    },
  });
  return { follower, list };
}

function makeIngest(
  p: Parts,
  {
    push,
    orders,
    following,
    publish,
  }: { push: Push; orders: Orders; following: Following; publish: Publish },
): Ingest {
  const { house } = p;
  const ids = new Set(p.o.site.circuits.map((circuit) => `${p.o.site.id}/${circuit.id}`));
  return createIngest({
    logbook: p.logbook,
    keys: p.keys,
    clock: p.clock,
    publish,
    known: (address) => ids.has(address),
    desired: (address) => {
      const circuit = controllerOf(address);
      return isListed(house, circuit) ? house.desired.of(circuit) : {};
    },
    onState(address, state, retained, text) {
      const heard = p.heard.note(address, { text, retained, stateUtc: state.utc });
      const circuit = controllerOf(address);
      house.apply({ kind: 'state', circuit, state, heardAt: heard.at, heardUp: heard.up });
      if (!isListed(house, circuit)) void following.list();
      push.status(circuit);
    },
    onRecord: ({ entry, record }) => void following.follower.take(entry, record),
    onReply: (address, reply) => orders.reply(address, reply),
    sendAgain: (address) => sendAgain(orders, address),
    onLive(address, live) {
      const circuit = controllerOf(address);
      if (!house.apply({ kind: 'live', circuit, live })) return;
      const reading = house.reported.of(circuit).live;
      if (reading) push.live(reading);
    },
    onPresence(address, { online }) {
      const circuit = controllerOf(address);
      house.apply({ kind: 'presence', circuit, online: online === 1 });
      push.status(circuit);
    },
    onProblem: tell,
  });
}

/** Reading a long log book takes minutes, so a port that is taken is said before. @throws Error */
async function expectPorts(o: ServeOptions): Promise<void> {
  const page = { port: o.port, host: o.host ?? LOCALHOST };
  await expectFree(page, noPage(page));
  if (o.broker !== undefined) return;
  const broker = { port: ownBrokerPort(o), host: o.brokerHost ?? LOCALHOST };
  await expectFree(broker, noBroker(broker));
}

function startUpkeep(p: Parts, { follower, list }: Following, keeper: CheckpointKeeper): NodeJS.Timeout {
  const look = async (): Promise<void> => {
    try {
      await follower.catchUp();
      p.house.apply({ kind: 'time', now: nowSec(p.clock) });
      await list();
      p.heard.save();
      p.pastStore.keep(p.house.past);
      await keeper.look();
    } catch (error) {
      tell((error as Error).message);
    }
  };
  return setInterval(() => void look(), UPKEEP_MS);
}

/** Connects to the broker, and keeps there what the building's state is in words. */
function joinBroker(
  p: Parts,
  {
    url,
    isOwn,
    ingest,
    listeners,
  }: { url: string; isOwn: boolean; ingest: Ingest; listeners: StatusListener[] },
): { connection: Subscriber; board: StatusBoard } {
  const { keys, house, memory, speed, clock } = p;
  const { site } = p.o;
  const now = (): number => nowSec(clock);
  const login = isOwn ? loginOf(keys, HOST_CLIENT) : hostLogin(url, keys);
  const connection = startSubscriber(() => ingest, {
    ...{ url, site: site.id, onProblem: tell },
    ...(login && { login }),
    ...{ will: hostWill(site, now()), onConnect: () => board.connected() },
  });
  const { simulated } = house.view.building();
  const board = startStatusBoard({
    ...{ site, house, memory, now, speed, onProblem: tell, simulated },
    listeners,
    deliver: (topic, text) => connection.retain(topic, text),
  });
  return { connection, board };
}

/** Serves the numbers for Prometheus, where they are wanted. */
async function startNumbers({ o, house, clock }: Parts, ending: Ending): Promise<StatusListener[]> {
  if (o.metrics === undefined) return [];
  const { simulated } = house.view.building();
  const metrics = await startMetrics({ site: o.site, simulated, port: o.metrics, now: () => nowSec(clock) });
  ending.add(() => metrics.close());
  return [metrics];
}

/** Tells of alarms, where that is wanted. @throws Error */
function startTelling({ o, house, memory, clock }: Parts, ending: Ending): StatusListener[] {
  if (o.alerts === undefined) return [];
  const { simulated } = house.view.building();
  const alerts = startAlerts({
    ...{ site: o.site, simulated, settings: o.alerts, memory, now: () => nowSec(clock), onProblem: tell },
  });
  ending.add(() => alerts.stop());
  return [alerts];
}

async function start(p: Parts, ending: Ending): Promise<Served> {
  const { o, clock, keys, logbook, house, hub, speed, front } = p;
  const { site } = o;
  const { view, past, desired } = house;
  const keeper = await startKeeper({ site, logbook, keys, now: () => nowSec(clock), onProblem: tell });
  ending.add(() => keeper.make());
  const broker = o.broker === undefined ? await startOwnBroker(p) : undefined;
  if (broker) ending.add(() => broker.close());
  const brokerUrl = broker?.url ?? o.broker ?? '';
  let subscriber: Subscriber | undefined;
  const publish: Publish = (...message) => subscriber?.publish(...message) ?? false;
  const now = (): number => nowSec(clock);
  const pages = startPush({
    ...{ hub, view, circuits: site.circuits.map((c) => c.id), now, speed, onProblem: tell },
  });
  ending.add(() => pages.stop());
  let board: StatusBoard | undefined;
  const status = (circuit: string): void => {
    pages.status(circuit);
    board?.changed(circuit);
  };
  const push: Push = { ...pages, status };
  const following = startFollower(p, push, keeper);
  const { follower } = following;
  const lifeSec = (): number => ORDER_LIFE_SEC * Math.max(1, speed());
  const orders = createOrders({ keys, clock, publish, logbook, lifeSec });
  ending.add(() => orders.close());
  const ingest = makeIngest(p, { push, orders, following, publish });
  p.heard.replay(ingest);
  const listeners = [...(await startNumbers(p, ending)), ...startTelling(p, ending)];
  ({ connection: subscriber, board } = joinBroker(p, {
    ...{ url: brokerUrl, isOwn: broker !== undefined, ingest, listeners },
  }));
  const [connection, told] = [subscriber, board];
  ending.add(() => connection.close());
  ending.add(() => told.stop());
  ending.add(startNoticeBoard({ site: site.id, view, publish, now, onProblem: tell }));
  const upkeep = startUpkeep(p, following, keeper);
  ending.add(() => clearInterval(upkeep));
  const isOpen = isThisMachine(front.host);
  const isTesting = () => site.circuits.some(({ id }) => isInTest(view.controller(id, now())));
  const reception = await openDesk({
    ...{ site, db: o.db, isOpen, logbook, keys, now, take: follower.take, isTesting },
  });
  const { desk } = reception;
  ending.add(reception.close);
  const page = await loadPage();
  const chain = watchChain(logbook, { now, onProblem: tell });
  ending.add(() => chain.stop());
  const outlook = createOutlook(site, () => desired.plan()?.plan);
  const apply = (entry: Entry) => follower.take(entry);
  const entering = createEntering({ site, house, logbook, keys, apply });
  const start = (next: ReadySite) => o.takeOver?.(next);
  const taking = createTakingOver({ site, keys, logbook, start, onProblem: tell });
  ending.add(() => taking.stop());
  const door = createSiteDoor({
    ...{ site, file: o.siteFile, inForce: p.siteRevision, fixed: fixedWords(o), logbook, keys, house, apply },
    ...{ now, takeOver: taking.begin.bind(taking), taking: taking.view.bind(taking) },
  });
  ending.add(() => door.idle());
  const checkpoint = () => keeper.view() ?? null;
  const contacts = () => view.contacts();
  const reports = newReportMaker({ site, db: o.db, simulated: o.simulated === true, now, contacts });
  ending.add(() => reports.stop());
  const books = { past, logbook, chain, checkpoint, reports };
  const pictures = picturesOf(site, o.siteFile);
  const parts = { site, view, ...books, orders, entering, door, desk, outlook, hub, now, speed, pictures };
  const open = (at: PageDoor): Promise<PageServer> => startServer({ ...parts, page, port: o.port, ...at });
  const nowMs = (): number => systemClock.nowMs();
  const kept = new PageKeeper({ ...o, door: front, open, nowMs });
  await kept.start();
  ending.add(() => kept.close());
  const { place, trust } = kept.words();
  const url = kept.url();
  if (!o.quiet)
    process.stdout.write(
      `${o.site.name} (${o.siteFile}): page ${place}, MQTT ${withoutPassword(brokerUrl)}, log book ${o.db}\n${trust}${reception.words(url)}`,
    );
  const stop = (): Promise<void> => ending.run();
  const brokerPort = broker?.port ?? 0;
  return { url, tls: () => kept.tls(), brokerPort, brokerUrl, logbook, house, ingest, orders, stop };
}

/** All that can be refused before a socket is opened. */
async function prepare(o: ServeOptions, isFirst: boolean): Promise<Parts> {
  await expectPorts(o);
  const front = await pageDoor(o, systemClock.nowMs(), isFirst);
  return makeParts(o, front);
}

/**
 * Starts the host of one site and returns how to reach and stop it.
 * @throws Error with one sentence if a port is taken, or log book or secret cannot be used.
 */
export async function serve(options: ServeOptions): Promise<Served> {
  outliveLostLines();
  expectSafePage(options);
  const ending = newEnding();
  const isFirst = options.tls === undefined && !isLogbookThere(options.db);
  const lock = lockLogbook(options.db);
  ending.add(() => lock.release());
  const parts = await prepare(options, isFirst).catch((error: unknown) => {
    lock.release();
    throw error;
  });
  ending.add(() => parts.logbook.close());
  ending.add(() => parts.logbook.mark(false));
  await parts.logbook.mark(true);
  ending.add(() => parts.memory.written());
  ending.add(() => parts.heard.save());
  ending.add(() => parts.pastStore.keep(parts.house.past, true));
  try {
    const served = await start(parts, ending);
    lock.tell(served.url);
    return served;
  } catch (error) {
    await ending.run();
    throw error;
  }
}
