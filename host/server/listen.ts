// Serving over HTTP on one address and port.
import type { Server as HttpServer } from 'node:http';
import { type AddressInfo, createServer } from 'node:net';
import { serve } from '@hono/node-server';
import type { Hono } from 'hono';

export interface Listening {
  port: number;
  /** Ends all connections too. */
  close(): Promise<void>;
}

export interface Place {
  /** TCP port; 0 for any free one. */
  port: number;
  host: string;
}

/**
 * @param cannot the sentence for why it cannot listen there
 * @throws Error with that sentence
 */
export async function listen(
  app: Hono,
  { port, host }: Place,
  cannot: (error: NodeJS.ErrnoException) => string,
): Promise<Listening> {
  const server = await new Promise<HttpServer>((resolve, reject) => {
    const started = serve({ fetch: app.fetch, port, hostname: host }, () => resolve(started)) as HttpServer;
    // Kept on: a failed accept, later, must not end the process.
    started.on('error', (error: NodeJS.ErrnoException) => reject(new Error(cannot(error))));
  });
  return {
    port: (server.address() as AddressInfo).port,
    async close() {
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      server.closeAllConnections();
      await closed;
    },
  };
}

/** The address of what listens there; an IPv6 address stands in brackets. */
export function urlOf({ host, port }: Place): string {
  return `http://${host.includes(':') ? `[${host}]` : host}:${port}`;
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
