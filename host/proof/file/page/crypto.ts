// What a browser has for checking: SHA-256 at once, and Ed25519 of WebCrypto (W3C Secure Curves, 2025). SHA-256 of
// WebCrypto gives its answer too late for hundreds of thousands of short texts.
import { sha256 as plainSha256 } from '@noble/hashes/sha2.js';
import { createSHA256 } from 'hash-wasm';
import { toHexText } from '../../bytes';
import type { Crypto } from '../check';
import type { LinkOf } from '../story';

/** The browser lacks what the check needs. */
export class TooOld extends Error {}

const buffer = (bytes: Uint8Array): ArrayBuffer => new Uint8Array(bytes).buffer;

async function verify(publicKey: Uint8Array, message: Uint8Array, signature: Uint8Array): Promise<boolean> {
  let key: CryptoKey;
  try {
    key = await crypto.subtle.importKey('raw', buffer(publicKey), 'Ed25519', false, ['verify']);
  } catch {
    throw new TooOld();
  }
  return crypto.subtle.verify('Ed25519', key, buffer(signature), buffer(message));
}

type Hashing = Pick<Crypto, 'sha256' | 'newSha256'> & { sha256Hex(bytes: Uint8Array): string };

/** In WebAssembly, which takes a fifth of the time. @throws Error where a cautious browser has switched it off */
async function quickHashing(): Promise<Hashing> {
  const [short, long] = [await createSHA256(), await createSHA256()];
  return {
    sha256: (bytes) => short.init().update(bytes).digest('binary'),
    sha256Hex: (bytes) => short.init().update(bytes).digest('hex'),
    newSha256() {
      long.init();
      return { update: (piece) => long.update(piece), digest: () => long.digest('binary') };
    },
  };
}

const PLAIN: Hashing = {
  sha256: plainSha256,
  sha256Hex: (bytes) => toHexText(plainSha256(bytes)),
  newSha256: () => plainSha256.create(),
};

export async function browserCrypto(): Promise<Crypto> {
  const hashing = await quickHashing().catch(() => PLAIN);
  let room = new Uint8Array(4096);
  const encoder = new TextEncoder();
  const linkOf: LinkOf = (body) => {
    // A character takes at most 3 bytes in UTF-8.
    if (3 * body.length > room.length) room = new Uint8Array(6 * body.length);
    const { written } = encoder.encodeInto(body, room);
    return hashing.sha256Hex(room.subarray(0, written)).slice(0, 32);
  };
  return { ...hashing, verify, linkOf };
}
