// The broker that comes with the host: Aedes on TCP, for sites without a broker. It keeps controllers to
// their own topics and refuses what must never be stored; the signatures are what protects the system.
import { createSocket as createDatagrams, type Socket as Datagrams } from 'node:dgram';
import { type AddressInfo, createServer, type Server, type Socket } from 'node:net';
import { Aedes, type AedesOptions } from 'aedes';
import { Limit } from '../../firmware/contract/limits';
import {
  addressOf,
  downTopics,
  isUpKind,
  type MessageKind,
  noticeTopic,
  PROBE,
  readTopic,
} from '../../firmware/contract/topics';

export interface BrokerOptions {
  /** TCP port; 0 for any free one. */
  port: number;
  /** Address to listen on; this machine only (127.0.0.1) by default. */
  host?: string;
  site: string;
  /** Ids of the site's controllers. */
  controllers: string[];
  onProblem?: (sentence: string) => void;
}

export interface Broker {
  port: number;
  /** mqtt://host:port */
  url: string;
  close(): Promise<void>;
}

/** Only these may be retained by the broker and delivered to later subscribers. */
const MAY_RETAIN: MessageKind[] = ['presence', 'state'];
/** CONNACK return code 2 (MQTT 3.1.1, table 3.1). */
const IDENTIFIER_REJECTED = 2;
/** Prefix of the id of the host's own client. */
const HOST_CLIENT = 'nightproof-host-';
const CLIENT_ID = /^[A-Za-z0-9/_.-]{1,64}$/;

/**
 * The controller a client id stands for: its address with ".", "/" or "-" as separator, or its bare id.
 * Undefined for all other clients.
 */
export function controllerOfClient(
  clientId: string,
  site: string,
  controllers: string[],
): string | undefined {
  return controllers.find((id) => clientId === id || /^[./-]$/.test(between(clientId, site, id)));
}

/** The separator between site and controller in an address-like id, '' if it is not one. */
function between(clientId: string, site: string, id: string): string {
  const fits = clientId.length === site.length + 1 + id.length;
  return fits && clientId.startsWith(site) && clientId.endsWith(id) ? clientId[site.length] : '';
}

/** Why a client may not publish this, or '' when it may. */
export function publishRefusal(
  options: Pick<BrokerOptions, 'site' | 'controllers'>,
  clientId: string,
  packet: { topic: string; retain: boolean; payload: { length: number } },
): string {
  const isHost = clientId.startsWith(HOST_CLIENT);
  if (packet.topic === noticeTopic(options.site) && packet.payload.length <= Limit.PacketBytes)
    return isHost ? '' : `client ${clientId} may not publish the notice of the host`;
  const parts = readTopic(packet.topic);
  if (parts?.site !== options.site) return `topic ${packet.topic} does not belong to this site`;
  const { controller, kind } = parts;
  if (packet.retain && !MAY_RETAIN.includes(kind)) return `a ${kind} must not be retained`;
  if (packet.payload.length > Limit.PacketBytes)
    return `a message of ${packet.payload.length} bytes is too long`;
  const own = controllerOfClient(clientId, options.site, options.controllers);
  if (own !== undefined)
    return controller === own && isUpKind(kind) ? '' : `controller ${own} may not publish ${packet.topic}`;
  return isHost && !isUpKind(kind) ? '' : `client ${clientId} is not a controller of this site`;
}

function subscribeRefusal(options: BrokerOptions, clientId: string, topic: string): string {
  const own = controllerOfClient(clientId, options.site, options.controllers);
  if (own === undefined) return '';
  return downTopics(addressOf(options.site, own)).includes(topic)
    ? ''
    : `controller ${own} may not subscribe to ${topic}`;
}

function rulesOf(options: BrokerOptions): AedesOptions {
  const tell = (why: string): Error => {
    options.onProblem?.(`The broker refused something: ${why}.`);
    return new Error(why);
  };
  return {
    authenticate(client, _user, _password, done) {
      if (CLIENT_ID.test(client.id)) done(null, true);
      else {
        const error = tell(
          `a client with the unusable id ${JSON.stringify(client.id.slice(0, 64))} connected`,
        );
        done(Object.assign(error, { returnCode: IDENTIFIER_REJECTED }), null);
      }
    },
    authorizePublish(client, packet, done) {
      const payload = packet.payload as string | Buffer;
      const why = client ? publishRefusal(options, client.id, { ...packet, payload }) : '';
      done(why ? tell(why) : null);
    },
    authorizeSubscribe(client, subscription, done) {
      const why = subscribeRefusal(options, client.id, subscription.topic);
      if (why) tell(why);
      // No error, but no subscription either: the client gets 0x80 and stays connected.
      done(null, why ? null : subscription);
    },
  };
}

/**
 * Aedes numbers messages as they come in and treats a number below the last one delivered as a duplicate. But
 * a retained or QoS 1 message takes longer inside than a later QoS 0 message, is overtaken, and would then be
 * dropped: an order overtaken by the time, for instance. The check only helps clients with overlapping
 * subscriptions; ours have none.
 */
function deliverOvertaken(aedes: Aedes): void {
  aedes.on('client', (client) => {
    const forgetful = new Proxy({}, { get: () => 0, set: () => true, deleteProperty: () => true });
    Object.assign(client, { duplicates: forgetful });
  });
}

/** Why the broker cannot listen there. */
export function noBroker({
  port,
  host,
}: {
  port: number;
  host: string;
}): (error: NodeJS.ErrnoException) => string {
  return (error) => {
    const why =
      error.code === 'EADDRINUSE'
        ? 'another program is using it; choose another with --broker-port, or give that broker with --broker'
        : error.message;
    return `The MQTT broker cannot listen on ${host} port ${port}: ${why}.`;
  };
}

function listen(server: Server, port: number, host: string): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) =>
      reject(new Error(noBroker({ port, host })(error))),
    );
    server.listen(port, host, () => resolve((server.address() as AddressInfo).port));
  });
}

/**
 * Sends a controller's datagram back: after a connection that stopped its loop it asks in this way whether the
 * machine is there, before it connects again. Without it (the port is taken) the controller only waits longer.
 */
function giveSigns(port: number, host: string): Datagrams {
  const datagrams = createDatagrams(host.includes(':') ? 'udp6' : 'udp4');
  datagrams.on('error', () => {});
  datagrams.on('message', (bytes, { port: from, address }) => {
    if (bytes.toString('latin1') === PROBE) datagrams.send(bytes, from, address);
  });
  datagrams.bind(port, host);
  return datagrams;
}

/**
 * Starts the broker.
 * @throws Error with one sentence when the port is taken.
 */
export async function startBroker(options: BrokerOptions): Promise<Broker> {
  const host = options.host ?? '127.0.0.1';
  const aedes = await Aedes.createBroker(rulesOf(options));
  deliverOvertaken(aedes);
  const sockets = new Set<Socket>();
  const server = createServer((socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
    aedes.handle(socket);
  });
  // A client that misbehaves or vanishes affects only itself; the others carry on.
  aedes.on('clientError', () => {});
  aedes.on('connectionError', () => {});
  const closeAedes = (): Promise<void> => new Promise((resolve) => aedes.close(() => resolve()));
  let port: number;
  try {
    port = await listen(server, options.port, host);
  } catch (error) {
    await closeAedes();
    throw error;
  }
  const datagrams = giveSigns(port, host);
  return {
    port,
    url: `mqtt://${host.includes(':') ? `[${host}]` : host}:${port}`,
    async close() {
      datagrams.close();
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      await closeAedes();
      for (const socket of sockets) socket.destroy();
      await closed;
    },
  };
}
