// What a browser has for checking: SHA-256 at once, and Ed25519 of WebCrypto (W3C Secure Curves, 2025).
import { sha256 } from '@noble/hashes/sha2.js';
import type { Sha256 as ContractSha256 } from '../../../../firmware/contract/signature';
import type { Crypto } from '../check';

/** The browser lacks what the check needs. */
export class TooOld extends Error {}

const buffer = (bytes: Uint8Array): ArrayBuffer => new Uint8Array(bytes).buffer;

export const browserCrypto: Crypto = {
  sha256,
  async verify(publicKey, message, signature) {
    let key: CryptoKey;
    try {
      key = await crypto.subtle.importKey('raw', buffer(publicKey), 'Ed25519', false, ['verify']);
    } catch {
      throw new TooOld();
    }
    return crypto.subtle.verify('Ed25519', key, buffer(signature), buffer(message));
  },
};

/** The same on binary strings, as controllers link their records. */
export const linkSha256: ContractSha256 = (bytes) => {
  const hash = sha256(Uint8Array.from(bytes, (character) => character.charCodeAt(0)));
  return String.fromCharCode(...hash);
};
