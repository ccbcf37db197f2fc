// One secret per site, one derived secret per controller: a stolen controller betrays only itself.
import crypto, { createHash, createHmac, hkdfSync, randomBytes } from 'node:crypto';
import { existsSync, linkSync, readFileSync, statSync, unlinkSync } from 'node:fs';
import { dirname } from 'node:path';
import {
  hasValidSignature,
  type Sha256,
  type SigningKey,
  sign,
  signingKey,
  useOwnHash,
} from '../firmware/contract/signature';
import type { MessageKind } from '../firmware/contract/topics';
import { besideOf, isPostgres } from './beside';
import { syncPath, writePrivate } from './disk';

/** One call, four times as fast as an object per hash; Node 20.12 and newer. */
const hashOnce = (crypto as { hash?: HashOnce }).hash ?? hashByObject;

type HashOnce = (algorithm: string, data: string | Uint8Array, encoding: 'hex' | 'binary') => string;

function hashByObject(algorithm: string, data: string | Uint8Array, encoding: 'hex' | 'binary'): string {
  return createHash(algorithm).update(data).digest(encoding);
}

/** Room for any message: a new buffer for each text costs half as much again as its hash. */
const scratch = Buffer.allocUnsafeSlow(16_384);

/** SHA-256 on binary strings, as signing in the contract needs it. */
export const sha256: Sha256 = (text) => {
  const isLong = text.length > scratch.length;
  const bytes = isLong ? Buffer.from(text, 'latin1') : scratch.subarray(0, scratch.write(text, 'latin1'));
  return hashOnce('sha256', bytes, 'binary');
};

useOwnHash((head, text, length) => {
  const from = head.length;
  if (from + length > scratch.length) return sha256(head + text.substring(0, length));
  scratch.write(head, 'latin1');
  scratch.write(text.length > length ? text.substring(0, length) : text, from, 'latin1');
  return hashOnce('sha256', scratch.subarray(0, from + length), 'binary');
});

/** A text in UTF-8, one character per byte, as the contract's hashes take it. */
export function bytesOf(text: string): string {
  return Buffer.byteLength(text) === text.length ? text : Buffer.from(text).toString('latin1');
}

/** SHA-256 of bytes or of a text in UTF-8, 32 bytes. */
export function sha256Raw(data: string | Uint8Array): Uint8Array {
  const digest = hashOnce('sha256', data, 'binary');
  const bytes = new Uint8Array(32);
  for (let i = 0; i < 32; i++) bytes[i] = digest.charCodeAt(i);
  return bytes;
}

/** SHA-256 of a text in UTF-8, hex. */
export function sha256Hex(text: string): string {
  return hashOnce('sha256', text, 'hex');
}

export interface KeyRing {
  /** Secret of the controller at `address`: a binary string of 32 characters, to be flashed once. */
  secretOf(address: string): string;
  /** The same secret, prepared for signing and checking. */
  keyOf(address: string): SigningKey;
  /** 32 secret bytes for one use, by HKDF-SHA-256 (RFC 5869, 2010): no use betrays another. */
  seedFor(use: string): Uint8Array;
}

/** A text made character by character stays in as many pieces, which would be put together for each message anew. */
function inOnePiece(key: SigningKey): SigningKey {
  const whole = (text: string): string => Buffer.from(text, 'latin1').toString('latin1');
  return { ...key, inner: whole(key.inner), outer: whole(key.outer) };
}

/** Keys of every controller of a site, from its 32-byte secret. */
function keyRing(siteSecret: Buffer): KeyRing {
  const ready = new Map<string, SigningKey>();
  const secretOf = (address: string): string =>
    createHmac('sha256', siteSecret).update(`nightproof controller key\n${address}`).digest('binary');
  return {
    secretOf,
    keyOf(address) {
      let key = ready.get(address);
      if (!key) {
        key = inOnePiece(signingKey(secretOf(address), sha256));
        ready.set(address, key);
      }
      return key;
    },
    seedFor: (use) => new Uint8Array(hkdfSync('sha256', siteSecret, '', `nightproof ${use}`, 32)),
  };
}

function seededSecret(seed: number): Buffer {
  return createHash('sha256').update(`nightproof simulation ${seed}`).digest();
}

/** Keys that depend only on a seed: for simulations, where every run must give the same result. */
export function seededKeys(seed: number): KeyRing {
  return keyRing(seededSecret(seed));
}

/** A flat message as signed text, ready to publish. */
export function signMessage(keys: KeyRing, address: string, kind: MessageKind, message: object): string {
  const open = JSON.stringify(message).slice(0, -1);
  const bytes = bytesOf(open);
  const text = sign(keys.keyOf(address), kind, address, bytes);
  return bytes === open ? text : Buffer.from(text, 'latin1').toString('utf8');
}

/** Whether `text` is a message of this kind, for this address, signed with the key of the address. */
export function isSigned(keys: KeyRing, address: string, kind: MessageKind, text: string): boolean {
  return hasValidSignature(keys.keyOf(address), kind, address, bytesOf(text));
}

const HEAD = 'nightproof-site-secret-1';

function checkOf(hex: string): string {
  return createHash('sha256').update(`${HEAD} ${hex}`).digest('hex').slice(0, 8);
}

/** Writes a new secret file; never replaces an existing one. */
function createSecretFile(file: string, secret: Buffer): void {
  const hex = secret.toString('hex');
  const draft = `${file}.${process.pid}.new`;
  writePrivate(draft, `${HEAD} ${hex} ${checkOf(hex)}\n`);
  try {
    linkSync(draft, file);
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code !== 'EEXIST') throw error;
  } finally {
    unlinkSync(draft);
  }
  syncPath(dirname(file));
}

function readSecretFile(file: string): Buffer {
  const mode = statSync(file).mode & 0o777;
  if (mode & 0o077) {
    throw new Error(
      `The site secret ${file} can be read by other users (mode ${mode.toString(8)}); ` +
        `make it private with "chmod 600 ${file}".`,
    );
  }
  const [head, hex, check] = readFileSync(file, 'latin1').trim().split(' ');
  if (head !== HEAD || !/^[0-9a-f]{64}$/.test(hex ?? '') || check !== checkOf(hex)) {
    throw new Error(
      `The site secret ${file} is damaged; restore it from your backup: the controllers ` +
        'trust no other secret.',
    );
  }
  return Buffer.from(hex, 'hex');
}

/**
 * Keys from the site secret in `file`, which is created on first use (32 random bytes, mode 0600).
 * @throws Error with one sentence if others can read the file, or it is damaged or cannot be created.
 */
export function openKeys(file: string): KeyRing {
  try {
    statSync(file);
  } catch {
    try {
      createSecretFile(file, randomBytes(32));
    } catch (error) {
      const why =
        (error as NodeJS.ErrnoException).code === 'ENOENT'
          ? 'its folder does not exist; create it or give another file'
          : (error as Error).message;
      throw new Error(`The site secret ${file} cannot be created: ${why}.`);
    }
  }
  return keyRing(readSecretFile(file));
}

/**
 * Keys from the site secret of a log book, which must be there: a new one would be trusted by no controller.
 * @param db file of the log book
 * @throws Error with one sentence if there is none, others can read it, or it is damaged.
 */
export function presentKeys(db: string): KeyRing {
  const file = secretFileOf(db);
  if (existsSync(file)) return openKeys(file);
  throw new Error(
    existsSync(db) || isPostgres(db)
      ? `The site secret ${file} is missing; restore it from your backup: the controllers trust no other.`
      : `There is no log book ${db} and no site secret; give its file with --db, or start \`nightproof serve\` once with ` +
          'that file, which makes both.',
  );
}

/**
 * Leaves the secret of a simulation beside its log book, so that every command can check its signatures.
 * @throws Error with one sentence if there is another secret, or it cannot be written.
 */
export function keepSeededKeys(file: string, seed: number): void {
  createSecretFile(file, seededSecret(seed));
  if (!readSecretFile(file).equals(seededSecret(seed)))
    throw new Error(`${file} belongs to another log book; give a new file with --db.`);
}

/** Path of the site secret that belongs to a log book. */
export function secretFileOf(db: string): string {
  return `${besideOf(db)}.secret`;
}
