// A second place of the built-in broker, by TLS: for readers and platforms, since controllers speak none.

import type { Socket } from 'node:net';
import { createServer, type Server, type TLSSocket } from 'node:tls';
import { plainAddress } from '../loopback';
import { ofBusiest } from './busiest';
import type { Complaints } from './complaints';

export interface BrokerTls {
  /** TCP port; 0 for any free one. */
  port: number;
  /** PEM of the broker's certificate and its key. */
  cert: string;
  key: string;
  /** PEM of the authority whose certificates clients must show; without it they show none. */
  clients?: string;
}

export interface SecureLimits {
  /** Until TLS must have begun, ms. */
  loginMs: number;
  /** Most connections for which it has not. */
  unfinished: number;
}

/** Why somebody was not let in, for the line about it. */
function refusalOf(error: NodeJS.ErrnoException, verdict: unknown): string {
  if (error.code === 'ERR_SSL_PEER_DID_NOT_RETURN_A_CERTIFICATE') return 'showed no certificate';
  if (verdict === 'CERT_HAS_EXPIRED') return 'showed a certificate that has ended';
  if (typeof verdict === 'string') return 'showed a certificate that is not of the authority';
  return 'did not begin TLS as it must';
}

/** What a connection by TLS runs over: Node has no public name for it, and a closed one no longer says its address. */
function underlying(socket: TLSSocket): Socket | undefined {
  return (socket as unknown as { _parent?: Socket })._parent;
}

interface Waiting {
  socket: Socket;
  address: string;
  /** It had to make room. */
  isOut: boolean;
}

/** @returns what is known of a connection that has not begun TLS, also once it is closed */
function limitWaiting(server: Server, limits: SecureLimits): (socket: TLSSocket) => Waiting | undefined {
  const waiting = new Map<string, Waiting>();
  const known = new WeakMap<Socket, Waiting>();
  const nameOf = ({ remoteAddress, remotePort }: Socket): string => `${remoteAddress} ${remotePort}`;
  server.on('connection', (socket: Socket) => {
    const name = nameOf(socket);
    const next = { socket, address: plainAddress(socket.remoteAddress ?? ''), isOut: false };
    if (waiting.size >= limits.unfinished) {
      const [oldest] = ofBusiest(
        [...waiting.values()].filter(({ isOut }) => !isOut),
        next,
      );
      if (oldest) oldest.isOut = true;
      oldest?.socket.destroy();
    }
    waiting.set(name, next);
    known.set(socket, next);
    socket.once('close', () => waiting.delete(name));
  });
  server.on('secureConnection', (socket: TLSSocket) => waiting.delete(nameOf(socket)));
  return (socket) => known.get(underlying(socket) ?? socket);
}

/** A server that lets nobody through without what was asked for. It does not listen yet. */
export function secureServer(
  { cert, key, clients }: BrokerTls,
  limits: SecureLimits,
  complaints: Complaints,
): Server {
  const server = createServer({
    ...{ cert, key, minVersion: 'TLSv1.2', handshakeTimeout: limits.loginMs },
    ...(clients !== undefined && { ca: clients, requestCert: true, rejectUnauthorized: true }),
  });
  const knownOf = limitWaiting(server, limits);
  server.on('tlsClientError', (error: NodeJS.ErrnoException, socket: TLSSocket) => {
    const { address = '', isOut = false } = knownOf(socket) ?? {};
    const why = isOut
      ? 'had not begun TLS when too many waited for it'
      : refusalOf(error, socket.authorizationError);
    // Node leaves open what has not begun TLS in time.
    socket.destroy();
    complaints.add(
      `${address} ${why}`,
      `The broker refused a connection by TLS${address && ` from ${address}`}: the client ${why}.`,
    );
  });
  return server;
}
