// One building of a running host: what comes in from its controllers becomes an event, the event is applied to the house,
// and what has changed goes out. Broker, page and accounts are the host's, and may be shared with other buildings.
import { controllerOf } from '../../firmware/contract/topics';
import { hostLogin } from '../broker/address';
import { loginOf } from '../broker/logins';
import { birthTopic, HOST_CLIENT } from '../broker/parties';
import type { CheckpointKeeper } from '../checkpoints/keeper';
import { nowSec } from '../clock';
import { createEntering } from '../house/enter';
import type { House } from '../house/house';
import { noteLists } from '../house/notes/listing';
import { isNoteAddress } from '../house/notes/notes';
import { createOutlook } from '../house/view/outlook';
import type { Publish } from '../ingest/answers';
import { createIngest, type Ingest } from '../ingest/ingest';
import { type Subscriber, startSubscriber } from '../ingest/subscriber';
import { startAlerts } from '../integrators/alerts/alerts';
import { discoveryMessages, onBirth } from '../integrators/discovery';
import { isInTest } from '../integrators/status';
import {
  hostWill,
  type StatusBoard,
  type StatusListener,
  startStatusBoard,
} from '../integrators/statusBoard';
import type { Entry } from '../logbook/logbook';
import { watchChain } from '../logbook/watch';
import { createOrders, type Orders, sendAgain } from '../orders/orders';
import { picturesOf } from '../server/floorPlans';
import { newReportMaker } from '../server/reports';
import type { BuildingParts } from '../server/server';
import { createSiteDoor } from '../siteDoor/door';
import type { Ending } from './ending';
import { createFollower, type Follower, followEvery } from './follow';
import { isLongResult, startKeeper } from './heads';
import { startNoticeBoard } from './noticeBoard';
import { listing, type OpenBuilding } from './openBuilding';
import { type Push, startPush } from './push';
import { fixedWords } from './siteFile';
import { createTakingOver, type ReadySite } from './takingOver';
import { tell } from './tell';

/** What a building is connected to. */
export interface Connections {
  /** mqtt://host:port */
  brokerUrl: string;
  /** Whether the broker is the host's own. */
  isOwn: boolean;
  /** Get what is told of each circuit. */
  listeners: StatusListener[];
}

export interface Building {
  ingest: Ingest;
  orders: Orders;
  follower: Follower;
  /** What the page shows of it, and what it may be asked. */
  parts: BuildingParts;
  /** True while one of its tests runs. */
  isTesting(): boolean;
}

/** Time between checks of plan and settings, and between saves of what was heard, ms. */
const UPKEEP_MS = 60000;
/** Between looks for what ingest workers have stored, ms. */
const FOLLOW_MS = 1000;
const ORDER_LIFE_SEC = 60;

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
function startFollower(p: OpenBuilding, push: Push, keeper: CheckpointKeeper): Following {
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
  p: OpenBuilding,
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

function startUpkeep(
  p: OpenBuilding,
  { follower, list }: Following,
  keeper: CheckpointKeeper,
): NodeJS.Timeout {
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
  p: OpenBuilding,
  {
    url,
    isOwn,
    ingest,
    listeners,
  }: { url: string; isOwn: boolean; ingest: Ingest; listeners: StatusListener[] },
  ending: Ending,
): { connection: Subscriber; board: StatusBoard } {
  const { keys, house, memory, speed, clock } = p;
  const { site, discovery } = p.o;
  const now = (): number => nowSec(clock);
  const birth = onBirth(() => board.repeat());
  ending.add(() => birth.stop());
  const login = isOwn ? loginOf(keys, HOST_CLIENT) : hostLogin(url, keys);
  const connection = startSubscriber(() => ingest, {
    ...{ url, site: site.id, onProblem: tell },
    ...(login && { login }),
    ...(p.o.workers && { leavesRecords: true }),
    ...{ will: hostWill(site, now()), onConnect: () => board.connected() },
    ...(discovery !== undefined && { other: { topic: birthTopic(discovery), take: birth.take } }),
  });
  const { simulated } = house.view.building();
  const board = startStatusBoard({
    ...{ site, house, memory, now, speed, onProblem: tell, simulated },
    listeners,
    ...(discovery !== undefined && { fixed: discoveryMessages(site, discovery) }),
    deliver: (topic, text) => connection.retain(topic, text),
  });
  return { connection, board };
}

/** Tells of alarms, where that is wanted. @throws Error */
function startTelling({ o, house, memory, clock }: OpenBuilding, ending: Ending): StatusListener[] {
  if (o.alerts === undefined) return [];
  const { simulated } = house.view.building();
  const alerts = startAlerts({
    ...{ site: o.site, simulated, settings: o.alerts, memory, now: () => nowSec(clock), onProblem: tell },
  });
  ending.add(() => alerts.stop());
  return [alerts];
}

/** Connects ingest, orders and status to the broker. @throws Error with one sentence */
async function connect(
  p: OpenBuilding,
  { brokerUrl, isOwn, listeners }: Connections,
  keeper: CheckpointKeeper,
  ending: Ending,
): Promise<Pick<Building, 'ingest' | 'orders' | 'follower'>> {
  const { o, clock, keys, logbook, house, hub, speed } = p;
  const { site } = o;
  const { view } = house;
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
  const lifeSec = (): number => ORDER_LIFE_SEC * Math.max(1, speed());
  const orders = createOrders({ keys, clock, publish, logbook, lifeSec });
  ending.add(() => orders.close());
  const ingest = makeIngest(p, { push, orders, following, publish });
  p.heard.replay(ingest);
  const all = [...listeners, ...startTelling(p, ending)];
  ({ connection: subscriber, board } = joinBroker(
    p,
    { url: brokerUrl, isOwn, ingest, listeners: all },
    ending,
  ));
  const [connection, told] = [subscriber, board];
  ending.add(() => connection.close());
  ending.add(() => told.stop());
  ending.add(startNoticeBoard({ site: site.id, view, publish, now, onProblem: tell }));
  const upkeep = startUpkeep(p, following, keeper);
  if (p.o.workers) ending.add(followEvery(following.follower, FOLLOW_MS));
  ending.add(() => clearInterval(upkeep));
  return { ingest, orders, follower: following.follower };
}

/** What the page needs of a building. */
function partsOf(
  p: OpenBuilding,
  { orders, follower }: Pick<Building, 'orders' | 'follower'>,
  keeper: CheckpointKeeper,
  ending: Ending,
): BuildingParts {
  const { o, clock, keys, logbook, house, hub, speed } = p;
  const { site } = o;
  const { view, past, desired } = house;
  const now = (): number => nowSec(clock);
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
  const pictures = picturesOf(site, o.siteFile);
  const books = { past, logbook, chain, checkpoint, reports };
  return { site, view, ...books, orders, entering, door, outlook, hub, now, speed, pictures };
}

/**
 * Keeps the checkpoints of a building's log book.
 * @throws Error with one sentence if the key of a witness is mistyped
 */
export async function startHeads(p: OpenBuilding, ending: Ending): Promise<CheckpointKeeper> {
  const { o, logbook, keys, clock } = p;
  const keeper = await startKeeper({
    ...{ site: o.site, logbook, keys, now: () => nowSec(clock), onProblem: tell },
  });
  ending.add(() => keeper.make());
  return keeper;
}

/**
 * Connects an open building to its controllers.
 * @param ending gets what ends it
 * @throws Error with one sentence
 */
export async function startBuilding(
  p: OpenBuilding,
  connections: Connections,
  keeper: CheckpointKeeper,
  ending: Ending,
): Promise<Building> {
  const { site } = p.o;
  const connected = await connect(p, connections, keeper, ending);
  const parts = partsOf(p, connected, keeper, ending);
  const isTesting = () =>
    site.circuits.some(({ id }) => isInTest(p.house.view.controller(id, nowSec(p.clock))));
  return { ...connected, parts, isTesting };
}
