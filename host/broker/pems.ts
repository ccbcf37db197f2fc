// The files of the broker's place by TLS: its certificate and key, and the authority whose certificates clients must show.
import { X509Certificate } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { createSecureContext } from 'node:tls';
import { AHEAD_MS, givenPair } from '../tls/kept';

export interface PemFiles {
  /** Folder with broker.pem and broker.key. */
  folder: string;
  /** File of the authority whose certificates clients must show; without it they show none. */
  authority?: string;
}

/** What is in them. */
export interface Pems {
  cert: string;
  key: string;
  clients?: string;
}

/** @throws Error if the file holds no certificate of an authority */
function authorityIn(file: string): string {
  try {
    const text = readFileSync(file, 'utf8');
    if (new X509Certificate(text).ca) return text;
  } catch {
    // The same as one of something else, for whoever gave it.
  }
  throw new Error(
    `--broker-clients ${file}: there is no certificate of an authority; docs/operating.md says how one is made.`,
  );
}

/** What is in the files, whether it has ended or not. @throws Error with one sentence if it cannot be used */
export function readPems({ folder, authority }: PemFiles): Pems {
  const [file, keyFile] = ['broker.pem', 'broker.key'].map((name) => join(folder, name));
  const { cert, key } = givenPair(file, keyFile);
  const clients = authority === undefined ? {} : { clients: authorityIn(authority) };
  try {
    createSecureContext({ cert, key, ...(clients.clients && { ca: clients.clients }) });
  } catch (error) {
    throw new Error(`TLS cannot use ${file}: ${(error as Error).message}.`);
  }
  return { cert, key, ...clients };
}

export interface PemEnd {
  which: 'cert' | 'clients';
  hasEnded: boolean;
  /** What to do about it, in a sentence. */
  words: string;
}

/** Which of them have ended, or will within `AHEAD_MS`. @param nowMs civil time, UTC ms */
export function endsOf({ folder, authority }: PemFiles, { cert, clients }: Pems, nowMs: number): PemEnd[] {
  const all: ['cert' | 'clients', string, string | undefined][] = [
    ['cert', join(folder, 'broker.pem'), cert],
    ['clients', `${authority}`, clients],
  ];
  return all.flatMap(([which, file, pem]) => {
    const toMs = pem === undefined ? Infinity : Date.parse(new X509Certificate(pem).validTo);
    if (toMs - nowMs > AHEAD_MS) return [];
    const hasEnded = toMs < nowMs;
    const day = new Date(toMs).toISOString().slice(0, 10);
    const verb = hasEnded ? 'has ended' : 'ends';
    const words = `By this machine's clock the certificate ${file} ${verb} on ${day}: put a new one in its place.`;
    return [{ which, hasEnded, words }];
  });
}
