// The host of one building, put together: broker or connection to one, the building, its page and who may use that.
import { resolve } from 'node:path';
import { accountsFileOf } from '../accounts/store';
import { withoutPassword } from '../broker/address';
import type { Broker } from '../broker/broker';
import type { BrokerTls } from '../broker/secure';
import { nowSec, systemClock } from '../clock';
import type { House } from '../house/house';
import type { Ingest } from '../ingest/ingest';
import { type Metrics, startMetrics } from '../integrators/metrics';
import type { StatusListener } from '../integrators/statusBoard';
import { isLogbookThere, lockLogbook } from '../logbook/engines/open';
import type { Logbook } from '../logbook/logbook';
import type { Orders } from '../orders/orders';
import { startServer } from '../server/server';
import type { Tls } from '../tls/kept';
import { type Building, startBuilding, startHeads } from './building';
import { type DoorOptions, openDoors } from './doors';
import { type Ending, newEnding } from './ending';
import { expectPorts } from './freePorts';
import { madeIn, onlyBook } from './frontDesk';
import { type BuildingOptions, type OpenBuilding, openBuilding } from './openBuilding';
import { type FirstWords, type OpenPage, openPage } from './openPage';
import { brokerSite, openOwnBroker } from './ownBroker';
import { expectSafePage, type PageDoor, pageDoor } from './pageDoor';
import { outliveLostLines } from './tell';

export interface ServeOptions extends BuildingOptions, DoorOptions {
  /** External broker, mqtt://host:port; without it the host starts its own. */
  broker?: string;
  /** Where its own broker listens: port 1883 (any free one if simulated), this machine only. */
  brokerPort?: number;
  brokerHost?: string;
  /** On its network are only those who may see all and need no password. */
  trustedNetwork?: boolean;
  /** A second place of its own broker, by TLS, for readers and platforms. */
  brokerTls?: BrokerTls;
  /** That place cannot be had, and readers and platforms may log in nowhere else. */
  shutsReaders?: boolean;
  /** Port of the page; 0 for any free one. */
  port: number;
  /** Address the page is served on; this machine only by default. Beyond it, by TLS and with accounts. */
  host?: string;
  /** Names by which devices in the building find this machine, beside its addresses. */
  names?: readonly string[];
  /** PEM files to use in place of certificates of the host's own. */
  tlsCert?: string;
  tlsKey?: string;
  /** File of its own certificates; by default beside the log book. */
  tlsFile?: string;
  /** What the page is served with if no certificate can be had: that of the host before a takeover. */
  tls?: Tls;
  /** Addresses of this machine that others reach; by default as its interfaces say. */
  addresses?: () => string[];
  /** Port of the numbers for Prometheus on this machine; 0 for any free one. */
  metrics?: number;
  /** No lines on stdout; problems still go to stderr. */
  quiet?: boolean;
  /** Told in one sentence if another host has taken the log book from this one, which must end then. */
  onTaken?: (sentence: string) => void;
}

export interface Served {
  /** Address of the page, also where it could not be served yet. */
  url: string;
  /** How people reach the page from their devices. */
  words: FirstWords;
  /** True until the first administrator has signed in with the printed code. */
  awaitsFirst(): boolean;
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

/** Serves the numbers for Prometheus, where they are wanted. */
async function startNumbers({ metrics: port }: ServeOptions, ending: Ending): Promise<Metrics | undefined> {
  if (port === undefined) return undefined;
  const metrics = await startMetrics(port);
  ending.add(() => metrics.close());
  return metrics;
}

/** Has the numbers of a building among them. */
function listening(metrics: Metrics | undefined, { o, house, clock }: OpenBuilding): StatusListener[] {
  const { simulated } = house.view.building();
  return metrics ? [metrics.of({ site: o.site, simulated, now: () => nowSec(clock) })] : [];
}

/** Opens the page, and says where everything is. */
async function startPage(
  o: ServeOptions,
  p: OpenBuilding,
  at: { building: Building; front: PageDoor; brokerUrl: string; metrics: Metrics | undefined },
  ending: Ending,
): Promise<Pick<OpenPage, 'kept' | 'desk' | 'words'>> {
  const { site } = o;
  const { building, front, brokerUrl, metrics } = at;
  const { logbook, keys } = p;
  const { parts, follower, isTesting } = building;
  const accounts = {
    ...{ file: accountsFileOf(o.db), mark: `${resolve(o.db)} ${site.id}` },
    ...{ isTesting, madeBefore: await madeIn({ logbook, keys }), isDemonstration: o.simulated === true },
    books: onlyBook({ site, logbook, keys, now: parts.now, take: follower.take }),
  };
  const { kept, desk, words, steps } = await openPage(
    { wish: o, front, desk: accounts, metrics, serve: (frame) => startServer({ ...parts, ...frame }) },
    ending,
  );
  if (!o.quiet)
    process.stdout.write(
      `${site.name} (${o.siteFile}): page ${words.place}, MQTT ${withoutPassword(brokerUrl)}, log book ${o.db}\n${steps}`,
    );
  return { kept, desk, words };
}

/** Its own broker, unless there is another. @throws Error with one sentence when the port is taken */
async function startOwnBroker(o: ServeOptions, p: OpenBuilding, ending: Ending): Promise<Broker | undefined> {
  if (o.broker !== undefined) return undefined;
  const site = await brokerSite(o, p);
  const broker = await openOwnBroker(o);
  ending.add(() => broker.close());
  broker.admit(site);
  return broker;
}

async function start(o: ServeOptions, p: OpenBuilding, front: PageDoor, ending: Ending): Promise<Served> {
  const keeper = await startHeads(p, ending);
  const broker = await startOwnBroker(o, p, ending);
  const brokerUrl = broker?.url ?? o.broker ?? '';
  const metrics = await startNumbers(o, ending);
  const listeners = [...listening(metrics, p), ...(await openDoors(o, p, ending))];
  const building = await startBuilding(
    p,
    { brokerUrl, isOwn: broker !== undefined, listeners },
    keeper,
    ending,
  );
  const { kept, desk, words } = await startPage(o, p, { building, front, brokerUrl, metrics }, ending);
  const { logbook, house } = p;
  const { ingest, orders } = building;
  return {
    awaitsFirst: () => desk.awaitsFirst(),
    ...{ url: kept.url(), words, tls: () => kept.tls(), brokerPort: broker?.port ?? 0, brokerUrl },
    ...{ logbook, house, ingest, orders, stop: () => ending.run() },
  };
}

/**
 * Starts the host of one site and returns how to reach and stop it.
 * @throws Error with one sentence if a port is taken, or log book or secret cannot be used.
 */
export async function serve(options: ServeOptions): Promise<Served> {
  outliveLostLines();
  await expectSafePage(options);
  const ending = newEnding();
  const isFirst = options.tls === undefined && !(await isLogbookThere(options.db));
  const lock = await lockLogbook(options.db, options.onTaken);
  ending.add(() => lock.release());
  try {
    await expectPorts(options);
    const front = await pageDoor(options, systemClock.nowMs(), isFirst);
    const served = await start(options, await openBuilding(options, ending), front, ending);
    lock.tell(served.url);
    return served;
  } catch (error) {
    await ending.run();
    throw error;
  }
}
