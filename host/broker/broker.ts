// The broker that comes with the host: Aedes on TCP, for sites without a broker. It keeps every client to what it
// may do and can bear (`parties.ts`, `gate.ts`); the signatures are what protects the system.
import { createSocket as createDatagrams, type Socket as Datagrams } from 'node:dgram';
import { createServer, type Server, type Socket } from 'node:net';
import { Aedes } from 'aedes';
import { Limit } from '../../firmware/contract/limits';
import { PROBE } from '../../firmware/contract/topics';
import { listening } from '../network/listening';
import { noAddressWords } from '../network/ownAddresses';
import { type Complaints, newComplaints } from './complaints';
import { Gate, type GateLimits } from './gate';
import { type LoginOptions, SiteLogins } from './logins';
import { STATUS_BYTES } from './parties';
import { Porter, type PorterLimits } from './porter';
import { type BrokerTls, type Secure, type SecureLimits, secureServer } from './secure';

export interface BrokerPlace {
  /** TCP port; 0 for any free one. */
  port: number;
  /** Address to listen on; this machine only (127.0.0.1) by default. */
  host?: string;
  /** A second place to listen, for readers and platforms. */
  tls?: BrokerTls;
  /** Readers and platforms log in nowhere: they must show certificates, and the place for that cannot be had. */
  shutsReaders?: boolean;
  onProblem?: (sentence: string) => void;
  /** Narrower limits, for tests. */
  limits?: Partial<GateLimits & PorterLimits>;
}

export interface BrokerSite extends LoginOptions {
  /** Messages that the host retains, as `statusCount` says; none by default. */
  retained?: number;
}

export interface BrokerOptions extends BrokerPlace, BrokerSite {}

export interface Broker {
  port: number;
  /** Of the second place; 0 without one. */
  tlsPort: number;
  /** What is renewed of the second place; undefined without one. */
  secure?: Pick<Secure, 'renew' | 'review'>;
  /** mqtt://host:port */
  url: string;
  /** Lets in the clients of one more site; to be called again for one that has changed. @returns shuts them out */
  admit(site: BrokerSite): () => void;
  close(): Promise<void>;
}

const GATE: GateLimits = {
  // The longest payload, its topic, and room for a log-in with a last will.
  packetBytes: Limit.PacketBytes + 512,
  queueBytes: 524_288,
  stallMs: 10_000,
  loginMs: 10_000,
  packetsPerSec: 500,
  packetsAtOnce: 1000,
};
/** Most readers of a site, most guests, and most of the rest beside one of every controller: host, and some that are about to go. */
const MORE_CONNECTIONS = 32;

/** All controllers may come through one address, a router's for instance. */
function porterLimits(sites: number, controllers: number, retained: number): PorterLimits {
  return {
    readerBytes: retained * STATUS_BYTES,
    perAddress: controllers + (2 + sites) * MORE_CONNECTIONS,
    unfinished: controllers + MORE_CONNECTIONS,
    readers: MORE_CONNECTIONS,
    keepAliveSec: 120,
    refusalMs: 500,
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

/** Signs of life a second: of two hosts that answer each other for ever, each sends no more. */
const SIGNS_PER_SEC = 50;

/**
 * Why the broker cannot listen there.
 * @param takesOther whether the command takes another broker in its place
 */
export function noBroker(
  { port, host }: { port: number; host: string },
  takesOther = true,
  option = '--broker-port',
): (error: NodeJS.ErrnoException) => string {
  return (error) => {
    const why =
      error.code === 'EADDRINUSE'
        ? `another program is using it; choose another with ${option}${takesOther ? ', or give that broker with --broker' : ''}`
        : noAddressWords(error, host) || error.message;
    return `The MQTT broker cannot listen on ${host} port ${port}: ${why}.`;
  };
}

/**
 * Sends a controller's datagram back: after a connection that stopped its loop it asks in this way whether the
 * machine is there, before it connects again. Without it (the port is taken) the controller only waits longer.
 */
function giveSigns(port: number, host: string): Datagrams {
  const datagrams = createDatagrams(host.includes(':') ? 'udp6' : 'udp4');
  let second = 0;
  let given = 0;
  datagrams.on('error', () => {});
  datagrams.on('message', (bytes, { port: from, address }) => {
    const now = Math.floor(performance.now() / 1000);
    if (now !== second) [second, given] = [now, 0];
    if (given++ < SIGNS_PER_SEC && bytes.toString('latin1') === PROBE) datagrams.send(bytes, from, address);
  });
  datagrams.bind(port, host);
  return datagrams;
}

type Take = (socket: Socket, isSecure: boolean) => void;

/** What hands a connection to Aedes through a gate. */
function usher(aedes: Aedes, porter: Porter, limits: GateLimits): Take {
  return (socket, isSecure) => {
    const gate = new Gate(socket, limits, (trouble, one) => porter.trouble(trouble, one), isSecure);
    if (porter.enter(gate)) aedes.handle(gate);
    else gate.destroy();
  };
}

/** The connections of a server, to end them with it. */
function connectionsOf(server: Server): Set<Socket> {
  const sockets = new Set<Socket>();
  server.on('connection', (socket) => {
    sockets.add(socket);
    socket.once('close', () => sockets.delete(socket));
  });
  return sockets;
}

interface Opened extends Pick<Secure, 'renew' | 'review'> {
  port: number;
  close(): Promise<void>;
}

/** Opens the place by TLS, if one is wanted. @throws Error with one sentence when its port is taken */
async function openSecure(
  { tls, host = '127.0.0.1' }: BrokerPlace,
  take: Take,
  limits: SecureLimits,
  complaints: Complaints,
): Promise<Opened | undefined> {
  if (!tls) return undefined;
  const { server, renew, review } = secureServer(tls, limits, complaints, (socket) => take(socket, true));
  const sockets = connectionsOf(server);
  const place = { port: tls.port, host };
  const port = await listening(server, place, noBroker(place, false, '--broker-tls-port'));
  return {
    ...{ port, renew, review },
    close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      for (const socket of sockets) socket.destroy();
      return closed;
    },
  };
}

/** The limits of all sites together. */
function limitsOf(sites: Map<string, BrokerSite>): PorterLimits {
  const all = [...sites.values()];
  return porterLimits(
    all.length,
    all.reduce((sum, { controllers }) => sum + controllers.length, 0),
    all.reduce((sum, { retained = 0 }) => sum + retained, 0),
  );
}

/** The sites of a broker. */
function newRegister(logins: SiteLogins, porter: Porter, onChange: (sites: Map<string, BrokerSite>) => void) {
  const sites = new Map<string, BrokerSite>();
  return (one: BrokerSite): (() => void) => {
    sites.set(one.site, one);
    logins.add(one);
    onChange(sites);
    return () => {
      sites.delete(one.site);
      logins.remove(one.site);
      porter.leave(one.site);
      onChange(sites);
    };
  };
}

/**
 * Starts a broker that admits nobody yet.
 * @throws Error with one sentence when the port is taken.
 */
export async function openBroker(place: BrokerPlace): Promise<Broker> {
  const host = place.host ?? '127.0.0.1';
  const limits = { ...GATE, ...porterLimits(1, 0, 0), ...place.limits };
  const complaints = newComplaints((sentence) => place.onProblem?.(sentence), 'The broker');
  const logins = new SiteLogins();
  const wantsCertificates = place.shutsReaders === true || place.tls?.clients !== undefined;
  const porter = new Porter(logins, limits, complaints, wantsCertificates);
  // The gate ends what does not log in, and what does not read.
  const aedes = await Aedes.createBroker({ ...porter.rules(), connectTimeout: 2 * limits.loginMs });
  deliverOvertaken(aedes);
  const server = createServer();
  const take = usher(aedes, porter, limits);
  const sockets = connectionsOf(server);
  server.on('connection', (socket) => take(socket, false));
  // A client that misbehaves or vanishes affects only itself; the others carry on.
  aedes.on('clientError', () => {});
  aedes.on('connectionError', () => {});
  const closeAedes = (): Promise<void> => new Promise((resolve) => aedes.close(() => resolve()));
  let port: number;
  let secure: Opened | undefined;
  try {
    secure = await openSecure(place, take, limits, complaints);
    port = await listening(server, { port: place.port, host }, noBroker({ port: place.port, host }));
  } catch (error) {
    complaints.close();
    await secure?.close();
    await closeAedes();
    throw error;
  }
  const datagrams = giveSigns(port, host);
  return {
    ...{ port, tlsPort: secure?.port ?? 0, ...(secure && { secure }) },
    url: `mqtt://${host.includes(':') ? `[${host}]` : host}:${port}`,
    admit: newRegister(logins, porter, (sites) => Object.assign(limits, limitsOf(sites), place.limits)),
    async close() {
      complaints.close();
      datagrams.close();
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      await closeAedes();
      await secure?.close();
      for (const socket of sockets) socket.destroy();
      await closed;
    },
  };
}

/**
 * Starts the broker of one site.
 * @throws Error with one sentence when the port is taken.
 */
export async function startBroker(options: BrokerOptions): Promise<Broker> {
  const broker = await openBroker(options);
  broker.admit(options);
  return broker;
}
