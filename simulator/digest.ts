// SHA-256 and CRC-32 of binary strings by the fastest means this Node offers: a simulated year needs several
// thousand.
import * as crypto from 'node:crypto';
import * as zlib from 'node:zlib';

type Sha256 = (bytes: string) => string;

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

function keeping<T>(digest: (bytes: string) => T): (bytes: string) => T {
  const texts: string[] = new Array(KEPT).fill('');
  const digests: T[] = new Array(KEPT).fill(digest(''));
  return (bytes) => {
    const end = bytes.length - 1;
    const place = end < 2 ? 0 : (end + bytes.charCodeAt(end) + 5 * bytes.charCodeAt(end - 1)) & (KEPT - 1);
    if (texts[place] !== bytes) {
      digests[place] = digest(bytes);
      texts[place] = bytes;
    }
    return digests[place];
  };
}

/** SHA-256 for the controller: binary string to binary string. In one call where Node has it (20.12 and later). */
export const sha256: Sha256 = keeping(typeof crypto.hash === 'function' ? atOnce : byObject);

/** Hash of two texts written one after the other: joined as a string, their bytes would be copied twice. */
function ofTwo(head: string, text: string): string {
  const length = head.length + text.length;
  if (typeof crypto.hash !== 'function' || length > room.length) return sha256(head + text);
  room.write(head, 0, 'latin1');
  room.write(text, head.length, 'latin1');
  return crypto.hash('sha256', beginning(length), 'binary');
}

const heads: string[] = new Array(KEPT).fill('');
const texts: string[] = new Array(KEPT).fill('');
const digests: string[] = new Array(KEPT).fill(sha256(''));

/** SHA-256 of `head` and the first `length` characters of `text`: what a signature covers. */
export function sha256OfTwo(head: string, text: string, length: number): string {
  const part = length === text.length ? text : text.substring(0, length);
  const end = length - 1;
  const place = end < 2 ? 0 : (end + text.charCodeAt(end) + 5 * text.charCodeAt(end - 1)) & (KEPT - 1);
  if (texts[place] !== part || heads[place] !== head) {
    digests[place] = ofTwo(head, part);
    texts[place] = part;
    heads[place] = head;
  }
  return digests[place];
}

const own: ((bytes: Buffer) => number) | undefined = (
  zlib as { crc32?: (bytes: Buffer, value?: number) => number }
).crc32;

/** CRC-32 as the journal uses it; undefined where Node has none of its own (before 20.15). */
export const crc32: ((bytes: string) => number) | undefined = own && keeping((bytes) => own(bytesOf(bytes)));
