// The options of `serve` for the second place of its own broker, by TLS.
import { Option } from 'commander';
import type { PemFiles } from '../broker/pems';
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

/** @throws Error with one sentence if the files cannot be used, at the first start also if the broker's certificate has ended */
async function readTls(files: PemFiles, port: number, isFirst: boolean, nowMs: number): Promise<BrokerTls> {
  const { endsOf, readPems } = await import('../broker/pems');
  const pems = readPems(files);
  const ends = endsOf(files, pems, nowMs);
  const isUseless = ends.some(({ which, hasEnded }) => which === 'cert' && hasEnded);
  if (isFirst && isUseless) throw new Mistake(ends.map(({ words }) => words).join(' '));
  if (ends.length > 0) outliveLostLines();
  for (const { words } of ends) tell(words);
  return { port, files, ...pems };
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
    const files = { folder, ...(authority !== undefined && { authority }) };
    return { brokerTls: await readTls(files, port, first, nowMs) };
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
