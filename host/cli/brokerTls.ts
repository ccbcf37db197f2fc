// The options of `serve` for the second place of its own broker, by TLS.
import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createSecureContext } from 'node:tls';
import { Option } from 'commander';
import type { BrokerTls } from '../broker/secure';
import { systemClock } from '../clock';
import type { BrokerWish } from '../serve/ownBroker';
import { outliveLostLines, tell } from '../serve/tell';
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

/** Says when certificates have ended or soon will: what has ended is for the clients to judge, by their own clocks. */
function endWords(certs: Record<string, string>, nowMs: number, aheadMs: number): string[] {
  return Object.entries(certs).flatMap(([file, cert]) => {
    const toMs = Date.parse(new X509Certificate(cert).validTo);
    if (toMs - nowMs > aheadMs) return [];
    const verb = toMs < nowMs ? 'has ended' : 'ends';
    const day = new Date(toMs).toISOString().slice(0, 10);
    return [
      `By this machine's clock the certificate ${file} ${verb} on ${day}: give a new one, and start the host again.`,
    ];
  });
}

/** @throws Error with one sentence if the files cannot be used, at the first start also if they have ended */
async function readTls(
  { folder, authority, port }: { folder: string; authority?: string; port: number },
  isFirst: boolean,
  nowMs: number,
): Promise<BrokerTls> {
  const { AHEAD_MS, givenTls } = await import('../tls/kept');
  const [file, keyFile] = ['broker.pem', 'broker.key'].map((name) => join(folder, name));
  const { cert, key, cautions } = givenTls(file, keyFile, nowMs);
  if (isFirst && cautions.length > 0) throw new Mistake(cautions.join(' '));
  const clients = authority === undefined ? {} : { clients: authorityIn(authority) };
  try {
    createSecureContext({ cert, key, ca: clients.clients });
  } catch (error) {
    throw new Mistake(`TLS cannot use ${file}: ${(error as Error).message}.`);
  }
  const ends = endWords(
    { [file]: cert, ...(clients.clients && { [`${authority}`]: clients.clients }) },
    nowMs,
    AHEAD_MS,
  );
  if (ends.length > 0) outliveLostLines();
  for (const sentence of ends) tell(sentence);
  return { port, cert, key, ...clients };
}

/**
 * The place by TLS, or whether readers and platforms are shut out because there is none.
 * @param isFirst whether somebody starts a new log book, and is there to read what is wrong. Later a host starts without that
 * place rather than not at all: the controllers need its broker
 * @throws Error with one sentence at the first start if the files cannot be used; always if they are for no broker of its own
 */
export async function brokerTlsOf(
  o: BrokerTlsFlags,
  isFirst: () => Promise<boolean> | boolean,
  nowMs = systemClock.nowMs(),
): Promise<Pick<BrokerWish, 'brokerTls' | 'shutsReaders'>> {
  const { brokerTls: folder, brokerClients: authority, brokerTlsPort: port } = o;
  if (folder === undefined) {
    if (authority === undefined) return {};
    throw new Mistake('--broker-clients needs --broker-tls: certificates are shown by TLS only.');
  }
  if (o.broker !== undefined)
    throw new Mistake(
      '--broker-tls is for the built-in broker, and --broker names another; leave out one of them.',
    );
  const first = await isFirst();
  try {
    return { brokerTls: await readTls({ folder, authority, port }, first, nowMs) };
  } catch (error) {
    if (first) throw error;
    const out =
      authority === undefined
        ? ''
        : ' Readers and platforms, which must show a certificate there, are shut out.';
    outliveLostLines();
    tell(
      `The broker is not served by TLS: ${(error as Error).message}${out} The rest of the host goes on; start it again once that is mended.`,
    );
    return { shutsReaders: authority !== undefined };
  }
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
