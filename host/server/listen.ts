// Serving over HTTP or HTTPS on one address and port.
import { createServer as createPlain, type Server as HttpServer, type ServerOptions } from 'node:http';
import { createServer as createSecure, type Server as HttpsServer } from 'node:https';
import { type AddressInfo, createServer, type Socket } from 'node:net';
import { serve } from '@hono/node-server';
import type { Hono } from 'hono';
import { isThisMachine, plainAddress } from '../loopback';

export interface Listening {
  port: number;
  /** From now on new connections get this certificate; nothing where there is none. */
  renew(secure: Secure): void;
  /** Ends all connections too. */
  close(): Promise<void>;
}

/** A certificate and its key, PEM. */
export interface Secure {
  cert: string;
  key: string;
}

export interface Place {
  /** TCP port; 0 for any free one. */
  port: number;
  host: string;
  /** For HTTPS, of TLS 1.2 or later. */
  secure?: Secure;
}

/** Whoever sends a request slower than this is cut off: its head, and all of it, ms. */
const HEAD_MS = 10_000;
const REQUEST_MS = 60_000;
const LOOK_MS = 5_000;
const PATIENCE: ServerOptions = {
  headersTimeout: HEAD_MS,
  requestTimeout: REQUEST_MS,
  connectionsCheckingInterval: LOOK_MS,
  keepAliveTimeout: LOOK_MS,
};
/** Connections at once, of all from the network and of one address: a browser opens six for each page. */
const CONNECTIONS_MAX = 512;
export const PER_ADDRESS_MAX = 64;

/**
 * Ends connections of an address that has too many, or of all others; this machine itself is never shut out.
 * @returns all that are open, also those that have not finished the handshake of TLS
 */
function limit(server: HttpServer | HttpsServer): ReadonlySet<Socket> {
  const sockets = new Set<Socket>();
  const open = new Map<string, number>();
  server.on('connection', (socket: Socket) => {
    const address = plainAddress(socket.remoteAddress ?? '');
    const count = (open.get(address) ?? 0) + 1;
    const isCrowded = sockets.size >= CONNECTIONS_MAX && !isThisMachine(address);
    if (count > PER_ADDRESS_MAX || isCrowded) return void socket.destroy();
    open.set(address, count);
    sockets.add(socket);
    socket.once('close', () => {
      sockets.delete(socket);
      const left = (open.get(address) ?? 1) - 1;
      if (left > 0) open.set(address, left);
      else open.delete(address);
    });
  });
  return sockets;
}

/** First byte of a TLS handshake: RFC 8446 (2018), section 5.1. */
const HANDSHAKE = 22;
const ADDRESS = /^[\w.-]+(:\d+)?$|^\[[0-9a-f:]+\](:\d+)?$/i;

/** Sends a browser that came without TLS to the same page with it, and takes nothing else. */
function toSecure(): HttpServer {
  return createPlain(({ method, url = '/', headers: { host = '' } }, answer) => {
    const isReader = (method === 'GET' || method === 'HEAD') && ADDRESS.test(host);
    const head = {
      'Content-Type': 'text/plain; charset=utf-8',
      'Cache-Control': 'no-store',
      Connection: 'close',
    };
    answer.writeHead(isReader ? 307 : 400, {
      ...head,
      ...(isReader && url.startsWith('/') && { Location: `https://${host}${url}` }),
    });
    answer.end('This page is served by TLS only: its address begins with https://\n');
  });
}

/** Tells by the first byte who does not speak TLS: an address typed without "https://" is answered, not cut off. */
function sortOut(server: HttpServer | HttpsServer): void {
  const plain = toSecure();
  const secured = server.listeners('connection') as ((socket: Socket) => void)[];
  server.removeAllListeners('connection');
  server.on('connection', (socket: Socket) => {
    const patience = setTimeout(() => socket.destroy(), HEAD_MS);
    const ignore = (): void => {};
    socket.on('error', ignore);
    socket.once('close', () => clearTimeout(patience));
    socket.once('data', (first: Buffer) => {
      socket.pause();
      socket.unshift(first);
      // Whoever speaks without TLS has no more time than for the head.
      if (first[0] !== HANDSHAKE) {
        plain.emit('connection', socket);
        return void socket.resume();
      }
      clearTimeout(patience);
      socket.off('error', ignore);
      for (const take of secured) take.call(server, socket);
    });
  });
}

/**
 * @param cannot the sentence for why it cannot listen there
 * @throws Error with that sentence
 */
export async function listen(
  app: Pick<Hono, 'fetch'>,
  { port, host, secure }: Place,
  cannot: (error: NodeJS.ErrnoException) => string,
): Promise<Listening> {
  const ways = secure
    ? {
        createServer: createSecure,
        serverOptions: { ...PATIENCE, ...secure, minVersion: 'TLSv1.2' as const, handshakeTimeout: HEAD_MS },
      }
    : { serverOptions: PATIENCE };
  let sockets: ReadonlySet<Socket> = new Set();
  const server = await new Promise<HttpServer | HttpsServer>((resolve, reject) => {
    const options = { fetch: app.fetch, port, hostname: host, ...ways };
    const started = serve(options, () => resolve(started)) as HttpServer | HttpsServer;
    if (secure) sortOut(started);
    sockets = limit(started);
    // Kept on: a failed accept, later, must not end the process.
    started.on('error', (error: NodeJS.ErrnoException) => reject(new Error(cannot(error))));
  });
  return {
    port: (server.address() as AddressInfo).port,
    renew: (next) => 'setSecureContext' in server && server.setSecureContext(next),
    async close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      server.closeAllConnections();
      // The line before knows none that still waits for the client's first word of TLS.
      for (const socket of sockets) socket.destroy();
      await closed;
    },
  };
}

/** The address of what listens there; an IPv6 address stands in brackets. */
export function urlOf({ host, port, secure }: Place): string {
  return `http${secure ? 's' : ''}://${host.includes(':') ? `[${host}]` : host}:${port}`;
}

/**
 * Says before any work that a port is taken, which listening would say only after it.
 * @param cannot the sentence for why it cannot listen there
 * @throws Error with that sentence
 */
export async function expectFree(
  { port, host }: Place,
  cannot: (error: NodeJS.ErrnoException) => string,
): Promise<void> {
  if (port === 0) return;
  await new Promise<void>((resolve, reject) => {
    const trial = createServer();
    trial.once('error', (error: NodeJS.ErrnoException) => reject(new Error(cannot(error))));
    trial.listen(port, host, () => trial.close(() => resolve()));
  });
}
