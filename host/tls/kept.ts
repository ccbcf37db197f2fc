// Certificates on the disk: those of the host's own authority, in one file that only its owner may read; or files that
// somebody else looks after.
import { createPrivateKey, X509Certificate } from 'node:crypto';
import {
  closeSync,
  existsSync,
  fsyncSync,
  openSync,
  readFileSync,
  renameSync,
  statSync,
  writeSync,
} from 'node:fs';
import { isIP } from 'node:net';
import { dirname } from 'node:path';
import { syncPath } from '../disk';
import { derOf, type KeyPair, newAuthority, newServerPair } from './authority';

/** What the page is served with. */
export interface Tls extends KeyPair {
  /** Of the host's own authority; undefined with given files. */
  authority?: { cert: string; fingerprint: string };
}

/** A new certificate is made this long before the old one ends, ms. */
const AHEAD_MS = 30 * 86_400_000;

/** Path of the certificates that belong to a log book's file. */
export function tlsFileOf(db: string): string {
  return `${db}.tls`;
}

interface Kept {
  authority: KeyPair;
  server: KeyPair;
}

function read(file: string): Kept | undefined {
  if (!existsSync(file)) return undefined;
  const mode = statSync(file).mode & 0o777;
  if (mode & 0o077)
    throw new Error(
      `The certificates ${file} can be read by other users (mode ${mode.toString(8)}); make them private with "chmod 600 ${file}".`,
    );
  const blocks =
    readFileSync(file, 'latin1').match(/-----BEGIN [A-Z ]+-----[^-]+-----END [A-Z ]+-----\n/g) ?? [];
  const [ca = '', caKey = '', cert = '', key = ''] = blocks;
  if (blocks.length !== 4 || !fits({ cert: ca, key: caKey }) || !fits({ cert, key }))
    throw new Error(
      `The certificates ${file} are damaged; restore them from your backup, or move the file away: a new authority is made then, which every phone has to trust anew.`,
    );
  return { authority: { cert: ca, key: caKey }, server: { cert, key } };
}

function fits({ cert, key }: KeyPair): boolean {
  try {
    return new X509Certificate(cert).checkPrivateKey(createPrivateKey(key));
  } catch {
    return false;
  }
}

/** Replaces the file as a whole, or not at all. */
function write(file: string, { authority, server }: Kept): void {
  const draft = `${file}.new`;
  const handle = openSync(draft, 'w', 0o600);
  try {
    writeSync(handle, [authority.cert, authority.key, server.cert, server.key].join(''));
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
  renameSync(draft, file);
  syncPath(dirname(file));
}

function vouchesFor(cert: X509Certificate, name: string): boolean {
  return (isIP(name) > 0 ? cert.checkIP(name) : cert.checkHost(name)) !== undefined;
}

/** True while a certificate is good for some time yet, and vouches for all names. */
function isGood({ cert }: KeyPair, names: readonly string[], nowMs: number): boolean {
  const read = new X509Certificate(cert);
  const lasts = Date.parse(read.validTo) - nowMs > AHEAD_MS && nowMs > Date.parse(read.validFrom);
  return lasts && names.every((name) => vouchesFor(read, name));
}

/** Whether the server's certificate would be believed by who trusts the authority. */
function isIssued({ authority, server }: Kept): boolean {
  const [ca, own] = [authority, server].map(({ cert }) => new X509Certificate(cert));
  return own.checkIssued(ca) && own.verify(ca.publicKey);
}

/**
 * The certificate of the host's own authority for these names, made anew where it must be. The authority stays as long as
 * it may vouch for them.
 * @param nowMs civil time, UTC ms
 * @throws Error with one sentence if the file is damaged, readable by others or cannot be written
 */
export async function ownTls(
  file: string,
  { site, names, nowMs }: { site: string; names: readonly string[]; nowMs: number },
): Promise<Tls> {
  const before = read(file);
  const isOldGood = before !== undefined && isIssued(before) && isGood(before.server, names, nowMs);
  const kept = isOldGood ? before : await renewed(before, { site, names, nowMs });
  if (!isOldGood) write(file, kept);
  const { cert } = kept.authority;
  return {
    ...kept.server,
    authority: { cert, fingerprint: new X509Certificate(derOf(cert)).fingerprint256 },
  };
}

async function renewed(
  before: Kept | undefined,
  { site, names, nowMs }: { site: string; names: readonly string[]; nowMs: number },
): Promise<Kept> {
  const old = before && new X509Certificate(before.server.cert);
  // An authority made for other public names may not vouch for these.
  const isNew = old && names.some((name) => !isPrivate(name) && !vouchesFor(old, name));
  const isSpent = before !== undefined && !isGood(before.authority, [], nowMs);
  const authority =
    before && !isSpent && !isNew
      ? before.authority
      : await newAuthority(
          site,
          names.filter((name) => !isPrivate(name)),
          nowMs,
        );
  return { authority, server: await newServerPair(authority, names, nowMs) };
}

/** True for a name or an address that no public server has. */
function isPrivate(name: string): boolean {
  return (
    /^(10|127|192\.168|169\.254|172\.(1[6-9]|2\d|3[01]))\./.test(name) ||
    /^(::1$|f[cd]|fe[89ab])/i.test(name) ||
    /(^|\.)(localhost|local|internal|home\.arpa|lan)$/i.test(name)
  );
}

/** A certificate and its key from given files. @throws Error with one sentence if they cannot be used */
export function givenTls(certFile: string, keyFile: string, nowMs: number): Tls {
  const [cert, key] = [certFile, keyFile].map((file) => {
    try {
      return readFileSync(file, 'utf8');
    } catch (error) {
      throw new Error(
        `${file} cannot be read (${(error as NodeJS.ErrnoException).code}); give the PEM file.`,
      );
    }
  });
  if (!fits({ cert, key }))
    throw new Error(
      `The key ${keyFile} does not belong to the certificate ${certFile}; give both as PEM files.`,
    );
  if (Date.parse(new X509Certificate(cert).validTo) < nowMs)
    throw new Error(`The certificate ${certFile} has ended; give a new one.`);
  return { cert, key };
}
