// What is said before the work of a start: a port that is taken. Reading a long log book takes minutes.
import { noBroker } from '../broker/broker';
import { expectFree } from '../server/listen';
import { noPage } from '../server/server';
import { type BrokerWish, LOCALHOST, ownBrokerPort } from './ownBroker';

export interface PortsWish extends BrokerWish {
  /** Of the page; 0 for any free one. */
  port: number;
  /** Address of the page; this machine only by default. */
  host?: string;
  /** External broker, in place of its own. */
  broker?: string;
}

/** @throws Error with one sentence if another program has the port of the page or of the host's own broker */
export async function expectPorts(o: PortsWish): Promise<void> {
  const page = { port: o.port, host: o.host ?? LOCALHOST };
  await expectFree(page, noPage(page));
  if (o.broker !== undefined) return;
  const broker = { port: ownBrokerPort(o), host: o.brokerHost ?? LOCALHOST };
  // A simulation has its controllers on its own broker.
  await expectFree(broker, noBroker(broker, o.simulated !== true));
  if (!o.brokerTls) return;
  const secure = { port: o.brokerTls.port, host: broker.host };
  await expectFree(secure, noBroker(secure, false, '--broker-tls-port'));
}
