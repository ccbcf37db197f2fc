// The broker of a running host: where it listens, and who may log in.
import { type Broker, type BrokerSite, openBroker } from '../broker/broker';
import { passwordsSeen } from '../broker/logins';
import { oldControllers } from '../broker/oldControllers';
import { discoveryCount, statusCount } from '../broker/parties';
import type { BrokerTls } from '../broker/secure';
import { systemClock } from '../clock';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Memory } from '../logbook/memory';
import { isThisMachine } from '../loopback';
import type { Site } from '../site/model';
import { BrokerKeeper } from './brokerKeeper';
import { MQTT_PORT } from './ports';
import { tell } from './tell';

export const LOCALHOST = '127.0.0.1';

/** Most controllers named in one line. */
const NAMED_MAX = 10;

export interface BrokerWish {
  /** Port 1883 (any free one if simulated), this machine only, by default. */
  brokerPort?: number;
  brokerHost?: string;
  simulated?: boolean;
  trustedNetwork?: boolean;
  /** A second place to listen, by TLS, for readers and platforms. */
  brokerTls?: BrokerTls;
  /** That place cannot be had, and readers and platforms may log in nowhere else. */
  shutsReaders?: boolean;
}

export function ownBrokerPort(o: BrokerWish): number {
  return o.brokerPort ?? (o.simulated ? 0 : MQTT_PORT);
}

/** Says who may still log in without a password on a network. */
function caution(host: string, allowed: string[], memory: Memory): void {
  const seen = passwordsSeen(memory);
  const lacking = allowed.filter((id) => !seen.has(id));
  if (lacking.length === 0) return;
  const more = lacking.length - NAMED_MAX;
  const names = lacking.slice(0, NAMED_MAX).join(', ') + (more > 0 ? ` and ${more} more` : '');
  tell(
    `Caution: whoever reaches ${host} can log in to the broker as ${names}, whose controllers have not shown a ` +
      'password yet. Commission those that have none again when you next attend to them.',
  );
}

/** What the broker has to know of a building. */
export interface BrokerBuilding {
  o: { site: Site; discovery?: string };
  keys: KeyRing;
  memory: Memory;
  logbook: Pick<Logbook, 'total'>;
}

/** Opens it for no building yet, and keeps it up with its files. @throws Error with one sentence when the port is taken */
export async function openOwnBroker(o: BrokerWish): Promise<Broker> {
  const { brokerTls, shutsReaders } = o;
  const tls = { ...(brokerTls && { tls: brokerTls }), ...(shutsReaders && { shutsReaders }) };
  const place = { port: ownBrokerPort(o), host: o.brokerHost ?? LOCALHOST };
  const broker = await openBroker({ ...place, ...tls, onProblem: tell });
  const { secure } = broker;
  if (!brokerTls?.files || !secure) return broker;
  const { files } = brokerTls;
  const nowMs = () => systemClock.nowMs();
  const keeper = new BrokerKeeper({ files, secure, present: brokerTls, nowMs, onProblem: tell });
  return {
    ...broker,
    close() {
      keeper.close();
      return broker.close();
    },
  };
}

/** A building as the broker knows it. */
export async function brokerSite(
  { brokerHost: host = LOCALHOST, trustedNetwork = false }: BrokerWish,
  { o, keys, memory, logbook }: BrokerBuilding,
): Promise<BrokerSite> {
  const { site } = o;
  const retained = statusCount(site) + (o.discovery === undefined ? 0 : discoveryCount(site));
  const isOpen = isThisMachine(host) || trustedNetwork;
  const old = await oldControllers({ site, logbook, memory });
  const controllers = site.circuits.map((circuit) => circuit.id);
  if (!isThisMachine(host)) caution(host, isOpen ? controllers : old, memory);
  const discovery = o.discovery === undefined ? {} : { discovery: o.discovery };
  return { site: site.id, keys, memory, old, controllers, retained, isOpen, ...discovery };
}
