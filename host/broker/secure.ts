// A second place of the built-in broker, by TLS: for readers and platforms, since controllers speak none.

import { constants, type X509Certificate } from 'node:crypto';
import type { Socket } from 'node:net';
import { createServer, type SecureContextOptions, type Server, type TLSSocket } from 'node:tls';
import { systemClock } from '../clock';
import { plainAddress } from '../loopback';
import { ofBusiest } from './busiest';
import type { Complaints } from './complaints';
import type { PemFiles, Pems } from './pems';
import { authoritiesIn, shownBy, whyNoLonger } from './shown';

export interface BrokerTls extends Pems {
  /** TCP port; 0 for any free one. */
  port: number;
  /** Where they are from, to look at again. */
  files?: PemFiles;
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

/**
 * What connections are made with. None is taken up again from a ticket: nobody would look at the client's certificate then,
 * and each new ticket would let it live on.
 */
function contextOf({ cert, key, clients }: Pems): SecureContextOptions {
  const how = { minVersion: 'TLSv1.2', secureOptions: constants.SSL_OP_NO_TICKET } as const;
  return { cert, key, ...how, ...(clients !== undefined && { ca: clients }) };
}

export interface Secure {
  /** It does not listen yet. */
  server: Server;
  /** New connections are made with these from now on; those there are stay. @throws Error if they cannot be used */
  renew(next: Pems): void;
  /** Ends the connections whose certificate has ended or been withdrawn. @param nowMs civil time, UTC ms */
  review(nowMs: number): void;
}

/** Who is connected with which certificate. */
class Shown {
  private readonly sockets = new Map<TLSSocket, { address: string; chain: X509Certificate[] }>();
  private authorities: X509Certificate[];

  constructor(
    clients: string,
    private readonly complaints: Complaints,
  ) {
    this.authorities = authoritiesIn(clients);
  }

  trust(clients: string): void {
    this.authorities = authoritiesIn(clients);
  }

  /** @returns whether it may stay */
  add(socket: TLSSocket): boolean {
    this.sockets.set(socket, { address: plainAddress(socket.remoteAddress ?? ''), chain: shownBy(socket) });
    socket.once('close', () => this.sockets.delete(socket));
    // The authority may have been replaced since the client showed its certificate.
    return this.judge(socket, systemClock.nowMs());
  }

  review(nowMs: number): void {
    for (const socket of [...this.sockets.keys()]) this.judge(socket, nowMs);
  }

  private judge(socket: TLSSocket, nowMs: number): boolean {
    const { address = '', chain = [] } = this.sockets.get(socket) ?? {};
    const why = whyNoLonger(chain, this.authorities, nowMs);
    if (why === '') return true;
    this.sockets.delete(socket);
    socket.destroy();
    this.complaints.add(`${address} ${why}`, `The broker ended a connection by TLS from ${address}: ${why}.`);
    return false;
  }
}

/** A server that lets nobody through without what was asked for. @param take gets who was let through */
export function secureServer(
  tls: Pems,
  limits: SecureLimits,
  complaints: Complaints,
  take: (socket: TLSSocket) => void,
): Secure {
  const server = createServer({
    ...{ ...contextOf(tls), handshakeTimeout: limits.loginMs },
    ...(tls.clients !== undefined && { requestCert: true, rejectUnauthorized: true }),
  });
  const shown = tls.clients === undefined ? undefined : new Shown(tls.clients, complaints);
  server.on('secureConnection', (socket) => {
    if (!shown || shown.add(socket)) take(socket);
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
  return {
    server,
    renew(next) {
      server.setSecureContext(contextOf(next));
      shown?.trust(next.clients ?? '');
    },
    review: (nowMs) => shown?.review(nowMs),
  };
}
