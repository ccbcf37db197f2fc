// Signing: HMAC-SHA-256 (RFC 2104, FIPS 180-4) truncated to 128 bits (RFC 4868 practice; RFC 4231 case 5). A
// signed message is JSON text that ends in ,"mac":"<32 hex digits>"} and the signature covers the kind, the
// address and every byte before that ending, so no canonical form is needed.
import type { MessageKind } from './topics';

/** SHA-256 of a binary string (one character per byte), as 32 binary characters. */
export type Sha256 = (bytes: string) => string;

const HEX = '0123456789abcdef';
const TAIL = ',"mac":"';
/** Length of the ending of a signed message: ,"mac":" + 32 digits + "} */
const TAIL_LENGTH = 8 + 32 + 2;
/** Characters copied at a time from a long text: a board has no room for several whole copies. */
const PIECE = 256;

/** Lower-case hex of a binary string. */
export function toHex(bytes: string): string {
  let out = '';
  for (let i = 0; i < bytes.length; i++) {
    const b = bytes.charCodeAt(i);
    out += HEX.charAt(b >> 4) + HEX.charAt(b & 15);
  }
  return out;
}

function xorPad(key: string, value: number): string {
  let out = '';
  for (let i = 0; i < 64; i++) out += String.fromCharCode((i < key.length ? key.charCodeAt(i) : 0) ^ value);
  return out;
}

/** A key prepared for many signatures. */
export interface SigningKey {
  inner: string;
  outer: string;
  sha256: Sha256;
}

/** Prepares a secret (binary string of any length) for HMAC-SHA-256. */
export function signingKey(secret: string, sha256: Sha256): SigningKey {
  const key = secret.length > 64 ? sha256(secret) : secret;
  return { inner: xorPad(key, 0x36), outer: xorPad(key, 0x5c), sha256: sha256 };
}

/** The full 32-byte tag, as a binary string. */
export function hmac(key: SigningKey, text: string): string {
  return key.sha256(key.outer + key.sha256(key.inner + text));
}

let own: ((head: string, text: string, length: number) => string) | undefined;

/**
 * Lets a platform hash `head` and the first `length` characters (1 or more) of `text` without copying them,
 * where it can: a long plan would fill a board's memory twice.
 */
export function useOwnHash(hash: ((head: string, text: string, length: number) => string) | undefined): void {
  own = hash;
}

/** Hash of the signed part, the first `length` characters of `text`; their only copy is freed on return. */
function innerHash(
  key: SigningKey,
  kind: MessageKind,
  address: string,
  text: string,
  length: number,
): string {
  let signed = key.inner + kind + '\n' + address + '\n';
  if (own !== undefined) return own(signed, text, length);
  for (let i = 0; i < length; i += PIECE) signed += text.substring(i, Math.min(i + PIECE, length));
  return key.sha256(signed);
}

/** What a simulation that signs thousands of messages a second makes at once, both as 32 hex digits. */
export interface OwnDigests {
  tag: typeof tag;
  /** See `chainHash`. */
  link(text: string): string;
}

let ownDigests: OwnDigests | undefined;

/** Lets a platform make tags and links from a text in one step. */
export function useOwnDigests(digests: OwnDigests | undefined): void {
  ownDigests = digests;
}

/** The first 128 bits of HMAC (see `hmac`) over kind, address and `length` characters of `text`. */
function tag(key: SigningKey, kind: MessageKind, address: string, text: string, length: number): string {
  if (ownDigests !== undefined) return ownDigests.tag(key, kind, address, text, length);
  return toHex(key.sha256(key.outer + innerHash(key, kind, address, text, length)).substring(0, 16));
}

/** Signs `text`, which is JSON text without its closing brace, and closes it. */
export function sign(key: SigningKey, kind: MessageKind, address: string, text: string): string {
  // Extended in place if nothing else holds it: a board has no room for a second copy of a long record.
  text += TAIL + tag(key, kind, address, text, text.length) + '"}';
  return text;
}

/** A flat message as signed text, for callers with enough memory to hold it as an object. */
export function signObject(key: SigningKey, kind: MessageKind, address: string, message: object): string {
  return sign(key, kind, address, JSON.stringify(message).slice(0, -1));
}

/** Whether `text` is a message of this kind, for this address, signed with this key. Constant time in the tag. */
export function hasValidSignature(
  key: SigningKey,
  kind: MessageKind,
  address: string,
  text: string,
): boolean {
  const cut = text.length - TAIL_LENGTH;
  if (cut < 1 || text.substring(cut, cut + 8) !== TAIL || text.substring(text.length - 2) !== '"}')
    return false;
  const expected = tag(key, kind, address, text, cut);
  let differ = 0;
  for (let i = 0; i < 32; i++) differ |= expected.charCodeAt(i) ^ text.charCodeAt(cut + 8 + i);
  return differ === 0;
}

/** First 128 bits of SHA-256 as 32 hex digits: the link from one record to the next. */
export function chainHash(sha256: Sha256, text: string): string {
  if (ownDigests !== undefined) return ownDigests.link(text);
  return toHex(sha256(text).substring(0, 16));
}
