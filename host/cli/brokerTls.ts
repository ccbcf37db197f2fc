// The options of `serve` for the second place of its own broker, by TLS.
import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { Option } from 'commander';
import type { BrokerTls } from '../broker/secure';
import { systemClock } from '../clock';
import { Mistake } from './arguments';

export interface BrokerTlsFlags {
  broker?: string;
  /** Folder with broker.pem and broker.key. */
  brokerTls?: string;
  /** File of the authority whose certificates clients must show. */
  brokerClients?: string;
  brokerTlsPort: number;
}

/** @throws Mistake if the file holds no certificate of an authority */
function authorityIn(file: string): string {
  try {
    const text = readFileSync(file, 'utf8');
    if (new X509Certificate(text).ca) return text;
  } catch {
    // The same as one of something else, for whoever gave it.
  }
  throw new Mistake(
    `--broker-clients ${file}: there is no certificate of an authority; docs/operating.md says how one is made.`,
  );
}

/** @throws Error with one sentence if the files cannot be used, or are for no broker of the host's own */
export async function brokerTlsOf(o: BrokerTlsFlags): Promise<{ brokerTls?: BrokerTls }> {
  const { brokerTls: folder, brokerClients, brokerTlsPort: port } = o;
  if (folder === undefined) {
    if (brokerClients === undefined) return {};
    throw new Mistake('--broker-clients needs --broker-tls: certificates are shown by TLS only.');
  }
  if (o.broker !== undefined)
    throw new Mistake(
      '--broker-tls is for the built-in broker, and --broker names another; leave out one of them.',
    );
  const { givenTls } = await import('../tls/kept');
  const files = ['broker.pem', 'broker.key'].map((name) => join(folder, name));
  const { cert, key, cautions } = givenTls(files[0], files[1], systemClock.nowMs());
  if (cautions.length > 0) throw new Mistake(cautions.join(' '));
  const clients = brokerClients === undefined ? {} : { clients: authorityIn(brokerClients) };
  return { brokerTls: { port, cert, key, ...clients } };
}

export function brokerTlsOption(): Option {
  return new Option(
    '--broker-tls <folder>',
    'folder with broker.pem and broker.key: readers and platforms come to the built-in broker by TLS too',
  );
}

export function brokerClientsOption(): Option {
  return new Option(
    '--broker-clients <file>',
    'authority as PEM: readers and platforms must show a certificate of it, and come by TLS only',
  );
}
