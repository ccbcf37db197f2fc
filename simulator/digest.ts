// SHA-256 and CRC-32 of binary strings by the fastest means this Node offers: a simulated year needs several
// thousand.
import * as crypto from 'node:crypto';
import * as zlib from 'node:zlib';

type Sha256 = (bytes: string) => string;

function byObject(bytes: string): string {
  return crypto.createHash('sha256').update(bytes, 'latin1').digest('binary');
}

/** Room for the bytes of one text. */
const room = Buffer.alloc(8192);

function bytesOf(text: string): Buffer {
  return text.length > room.length
    ? Buffer.from(text, 'latin1')
    : room.subarray(0, room.write(text, 0, 'latin1'));
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

const own: ((bytes: Buffer) => number) | undefined = (
  zlib as { crc32?: (bytes: Buffer, value?: number) => number }
).crc32;

/** CRC-32 as the journal uses it; undefined where Node has none of its own (before 20.15). */
export const crc32: ((bytes: string) => number) | undefined = own && keeping((bytes) => own(bytesOf(bytes)));
