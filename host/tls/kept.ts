// Certificates on the disk: those of the host's own authority, in one file that only its owner may read; or files that
// somebody else looks after.
import { createPrivateKey, X509Certificate } from 'node:crypto';
import { existsSync, mkdirSync, readFileSync, renameSync, statSync } from 'node:fs';
import { isIP } from 'node:net';
import { homedir } from 'node:os';
import { dirname, join } from 'node:path';
import { besideOf } from '../beside';
import { syncPath, writePrivate } from '../disk';
import {
  DAY_MS,
  isPrivate,
  type KeyPair,
  newAuthority,
  newServerPair,
  OLDEST_MS,
  permittedOf,
} from './authority';

/** What the page is served with. */
export interface Tls extends KeyPair {
  /** Of the host's own authority; undefined with given files. */
  authority?: { cert: string; fingerprint: string };
  /** What people should know of it, in sentences: why devices may warn. */
  cautions: string[];
}

/** A new certificate is made, or its end told, this long before the old one ends, ms. */
export const AHEAD_MS = 30 * DAY_MS;

/** Path of the certificates that belong to a log book's file. */
export function tlsFileOf(db: string): string {
  return `${besideOf(db)}.tls`;
}

/**
 * Where the demonstrations of a user keep their certificates, so that each phone trusts them once: in a folder that only this
 * user may open. Undefined where none can be made.
 */
export function demoTlsFile(site: string, home = homedir()): string | undefined {
  const folder = join(home, '.nightproof');
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    return join(folder, `demo-${site}.tls`);
  } catch {
    return undefined;
  }
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
  writePrivate(draft, [authority.cert, authority.key, server.cert, server.key].join(''));
  renameSync(draft, file);
  syncPath(dirname(file));
}

/** Whether who trusts the page's certificate believes it at that name or address. */
export function isVouchedFor({ cert }: KeyPair, name: string): boolean {
  return vouchesFor(new X509Certificate(cert), name);
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

/** UTC ms. */
function lifeOf({ cert }: Pick<KeyPair, 'cert'>): { fromMs: number; toMs: number } {
  const { validFrom, validTo } = new X509Certificate(cert);
  return { fromMs: Date.parse(validFrom), toMs: Date.parse(validTo) };
}

const dayOf = (ms: number): string => new Date(ms).toISOString().slice(0, 10);

/** Why devices may not believe the authority, and what to do; it is never replaced without being asked. */
function timeCautions(file: string, { authority }: Kept, nowMs: number): string[] {
  const { fromMs, toMs } = lifeOf(authority);
  const anew = `move ${file} away and start the host again: every device has to trust the new authority then`;
  if (nowMs < fromMs)
    return [
      `This machine's clock says ${dayOf(nowMs)}, but the authority in ${file} begins on ${dayOf(fromMs)}: set the clock. If the clock is right, ${anew}.`,
    ];
  if (toMs - nowMs > AHEAD_MS) return [];
  return [
    `By this machine's clock the authority in ${file} ${nowMs < toMs ? 'ends' : 'has ended'} on ${dayOf(toMs)}. If the clock is right, ${anew}.`,
  ];
}

/** The time to make and judge certificates by: no clock is right that is before the authority. */
function likelyMs(before: Kept | undefined, nowMs: number): number {
  const earliest = Math.max(OLDEST_MS, before ? lifeOf(before.authority).fromMs : 0);
  if (nowMs > earliest) return nowMs;
  return Math.max(earliest, before ? lifeOf(before.server).fromMs : 0) + DAY_MS;
}

export interface TlsWish {
  site: string;
  /** Names and addresses that the page is asked for by: of the public ones a new authority may vouch for these only. */
  names: readonly string[];
  /** Those among them that people gave: it is said where the authority may not vouch for one. */
  given: readonly string[];
  /** Civil time, UTC ms. */
  nowMs: number;
}

/**
 * The certificate of the host's own authority, made anew where it must be, for the names that the authority may vouch for.
 * The authority is made where there is no file, and then stays.
 * @throws Error with one sentence if the file is damaged, readable by others, or a new authority cannot be written
 */
export async function ownTls(file: string, { site, names, given, nowMs }: TlsWish): Promise<Tls> {
  const before = read(file);
  const atMs = likelyMs(before, nowMs);
  const authority =
    before?.authority ??
    (await newAuthority(
      site,
      names.filter((name) => !isPrivate(name)),
      atMs,
    ));
  const permitted = permittedOf(authority.cert, names);
  const isOldGood = before !== undefined && isIssued(before) && isGood(before.server, permitted, atMs);
  const kept = isOldGood ? before : { authority, server: await newServerPair(authority, permitted, atMs) };
  const cautions = timeCautions(file, kept, nowMs);
  if (!isOldGood) cautions.push(...keep(file, kept, before === undefined));
  const strange = given.filter((name) => !permitted.includes(name)).join(', ');
  if (strange !== '')
    cautions.push(
      `The authority in ${file} may not vouch for ${strange}, so devices warn there. If you want a new authority, move that file away and start the host again: every device has to trust it anew.`,
    );
  const { fingerprint256: fingerprint } = new X509Certificate(authority.cert);
  return { ...kept.server, authority: { cert: authority.cert, fingerprint }, cautions };
}

/** Writes the file. @returns why it could not. @throws Error with that sentence if nobody could trust the page again */
function keep(file: string, kept: Kept, isNew: boolean): string[] {
  try {
    write(file, kept);
    return [];
  } catch (error) {
    const why = `The certificates ${file} cannot be written (${(error as NodeJS.ErrnoException).code}); make room, or let the host write there.`;
    if (isNew) throw new Error(why);
    return [why];
  }
}

/** Whether a certificate has ended. @param nowMs civil time, UTC ms */
export function hasEnded(pair: Pick<KeyPair, 'cert'>, nowMs: number): boolean {
  return lifeOf(pair).toMs < nowMs;
}

/** A certificate and its key from given files. @throws Error with one sentence if they cannot be used */
export function givenPair(certFile: string, keyFile: string): KeyPair {
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
  return { cert, key };
}

/** The same for the page, with a caution where it has ended. @throws Error as `givenPair` does */
export function givenTls(certFile: string, keyFile: string, nowMs: number): Tls {
  const pair = givenPair(certFile, keyFile);
  const day = dayOf(lifeOf(pair).toMs);
  const ended = `By this machine's clock the certificate ${certFile} has ended on ${day}; give a new one.`;
  return { ...pair, cautions: hasEnded(pair, nowMs) ? [ended] : [] };
}
