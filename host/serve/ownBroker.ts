// The broker of a running host: where it listens, and who may log in.
import { type Broker, startBroker } from '../broker/broker';
import { passwordsSeen } from '../broker/logins';
import { oldControllers } from '../broker/oldControllers';
import { statusCount } from '../broker/parties';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { Memory } from '../logbook/memory';
import { isThisMachine } from '../loopback';
import type { Site } from '../site/model';
import { MQTT_PORT } from './ports';
import { tell } from './tell';

export const LOCALHOST = '127.0.0.1';

/** Most controllers named in one line. */
const NAMED_MAX = 10;

export interface BrokerWish {
  site: Site;
  /** Port 1883 (any free one if simulated), this machine only, by default. */
  brokerPort?: number;
  brokerHost?: string;
  simulated?: boolean;
  trustedNetwork?: boolean;
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

/** Starts it. @throws Error with one sentence when the port is taken */
export async function startOwnBroker({
  o,
  keys,
  memory,
  logbook,
}: {
  o: BrokerWish;
  keys: KeyRing;
  memory: Memory;
  logbook: Pick<Logbook, 'total'>;
}): Promise<Broker> {
  const host = o.brokerHost ?? LOCALHOST;
  const isOpen = isThisMachine(host) || o.trustedNetwork === true;
  const old = await oldControllers({ site: o.site, logbook, memory });
  const controllers = o.site.circuits.map((circuit) => circuit.id);
  const broker = await startBroker({
    ...{
      port: ownBrokerPort(o),
      host,
      site: o.site.id,
      keys,
      memory,
      old,
      controllers,
      retained: statusCount(o.site),
      isOpen,
      onProblem: tell,
    },
  });
  if (!isThisMachine(host)) caution(host, isOpen ? controllers : old, memory);
  return broker;
}
