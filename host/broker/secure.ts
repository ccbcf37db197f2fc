// A second place of the built-in broker, by TLS: for readers and platforms, since controllers speak none.

import type { Socket } from 'node:net';
import { createServer, type Server, type TLSSocket } from 'node:tls';
import { plainAddress } from '../loopback';
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

/** Connections that have not begun TLS; the oldest goes when there are too many. */
function limitWaiting(server: Server, limits: SecureLimits): void {
  const waiting = new Map<string, Socket>();
  const nameOf = ({ remoteAddress, remotePort }: Socket): string => `${remoteAddress} ${remotePort}`;
  server.on('connection', (socket: Socket) => {
    const name = nameOf(socket);
    const [oldest] = waiting.values();
    if (waiting.size >= limits.unfinished) oldest?.destroy();
    waiting.set(name, socket);
    socket.once('close', () => waiting.delete(name));
  });
  server.on('secureConnection', (socket: TLSSocket) => waiting.delete(nameOf(socket)));
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
  limitWaiting(server, limits);
  server.on('tlsClientError', (error: NodeJS.ErrnoException, socket: TLSSocket) => {
    const address = plainAddress(socket.remoteAddress ?? '');
    const why = refusalOf(error, socket.authorizationError);
    // Node leaves open what has not begun TLS in time.
    socket.destroy();
    complaints.add(
      `${address} ${why}`,
      `The broker refused a connection by TLS${address && ` from ${address}`}: the client ${why}.`,
    );
  });
  return server;
}
