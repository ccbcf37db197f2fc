// SHA-256, signatures and CRC-32 of binary strings by the fastest means this Node offers: a simulated year needs several
// thousand.
import * as crypto from 'node:crypto';
import * as zlib from 'node:zlib';
import { type OwnDigests, type Sha256, type SigningKey, toHex } from '../firmware/contract/signature';

/** 128 bits. */
const TAG_DIGITS = 32;

function byObject(bytes: string): string {
  return crypto.createHash('sha256').update(bytes, 'latin1').digest('binary');
}

/** Room for the bytes of one text, and its beginnings by length: a view of each is made once. */
const room = Buffer.alloc(8192);
const views: (Buffer | undefined)[] = new Array(room.length + 1).fill(undefined);

function beginning(length: number): Buffer {
  const view = views[length] ?? room.subarray(0, length);
  views[length] = view;
  return view;
}

function bytesOf(text: string): Buffer {
  const { length } = text;
  if (length > room.length) return Buffer.from(text, 'latin1');
  room.write(text, 0, 'latin1');
  return beginning(length);
}

function atOnce(bytes: string): string {
  return crypto.hash('sha256', bytesOf(bytes), 'binary');
}

/**
 * Digests kept: both ends of a simulated wire, and the journal when it reads back, ask for the same ones
 * again.
 */
const KEPT = 64;

/** Where the digest of a text is kept. */
function placeOf(text: string): number {
  const end = text.length - 1;
  return end < 2 ? 0 : (end + text.charCodeAt(end) + 5 * text.charCodeAt(end - 1)) & (KEPT - 1);
}

function keeping<T>(digest: (bytes: string) => T): (bytes: string) => T {
  const texts: string[] = new Array(KEPT).fill('');
  const digests: T[] = new Array(KEPT).fill(digest(''));
  return (bytes) => {
    const place = placeOf(bytes);
    if (texts[place] !== bytes) {
      digests[place] = digest(bytes);
      texts[place] = bytes;
    }
    return digests[place];
  };
}

/** SHA-256 for the controller: binary string to binary string. In one call where Node has it (20.12 and later). */
export const sha256: Sha256 = keeping(typeof crypto.hash === 'function' ? atOnce : byObject);

/** The first 128 bits of SHA-256 as hex digits: the link from one record to the next. */
export const linkOf: (text: string) => string = keeping(
  typeof crypto.hash === 'function'
    ? (text) => crypto.hash('sha256', bytesOf(text), 'hex').substring(0, TAG_DIGITS)
    : (text) => toHex(byObject(text)).substring(0, TAG_DIGITS),
);

/** The outer pad of a key and the inner hash behind it (RFC 2104, 2). */
const PAD_BYTES = 64;
const outer = Buffer.alloc(PAD_BYTES + 32);

function newTag(key: SigningKey, head: string, body: string): string {
  const length = head.length + body.length;
  if (typeof crypto.hash !== 'function' || length > room.length)
    return toHex(sha256(key.outer + sha256(head + body)));
  room.write(head, 0, 'latin1');
  room.write(body, head.length, 'latin1');
  outer.write(key.outer, 0, 'latin1');
  outer.write(crypto.hash('sha256', beginning(length), 'binary'), PAD_BYTES, 'latin1');
  return crypto.hash('sha256', outer, 'hex');
}

/** Tags kept: whoever gets a message checks what its sender has just made. */
const inners: string[] = new Array(KEPT).fill('');
const kinds: string[] = new Array(KEPT).fill('');
const addresses: string[] = new Array(KEPT).fill('');
const bodies: string[] = new Array(KEPT).fill('');
const tags: string[] = new Array(KEPT).fill('');

/** The first 128 bits of HMAC-SHA-256 over a message's kind, address and first `length` characters, as hex digits. */
export const tagOf: OwnDigests['tag'] = (key, kind, address, text, length) => {
  const body = length === text.length ? text : text.substring(0, length);
  const at = placeOf(body);
  const isKept =
    bodies[at] === body && kinds[at] === kind && addresses[at] === address && inners[at] === key.inner;
  if (!isKept) {
    tags[at] = newTag(key, `${key.inner}${kind}\n${address}\n`, body).substring(0, TAG_DIGITS);
    bodies[at] = body;
    kinds[at] = kind;
    addresses[at] = address;
    inners[at] = key.inner;
  }
  return tags[at];
};

const own: ((bytes: Buffer) => number) | undefined = (
  zlib as { crc32?: (bytes: Buffer, value?: number) => number }
).crc32;

/** CRC-32 as 8 hex digits, as the journal uses it; undefined where Node has none of its own (before 20.15). */
export const crcHex: ((bytes: string) => string) | undefined =
  own && keeping((bytes) => own(bytesOf(bytes)).toString(16).padStart(8, '0'));
