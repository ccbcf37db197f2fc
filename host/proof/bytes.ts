// Bytes as text and back, the same in Node and in a browser.

/** Text that is not in the form its specification prescribes; the message says what and where, in one sentence. */
export class FormatError extends Error {}

export function utf8(text: string): Uint8Array {
  return new TextEncoder().encode(text);
}

export function joined(...parts: readonly Uint8Array[]): Uint8Array {
  const out = new Uint8Array(parts.reduce((sum, { length }) => sum + length, 0));
  let at = 0;
  for (const part of parts) {
    out.set(part, at);
    at += part.length;
  }
  return out;
}

export function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((byte, i) => byte === b[i]);
}

/** Base64 of RFC 4648 section 4 (2006), padded, without line breaks. */
export function toBase64(bytes: Uint8Array): string {
  let binary = '';
  for (let i = 0; i < bytes.length; i += 8192) binary += String.fromCharCode(...bytes.subarray(i, i + 8192));
  return btoa(binary);
}

const BASE64 = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/';
const NONE = 64;
/** Value of each character of base64, by the character's code; NONE for every other. */
const SEXTETS = new Uint8Array(0x10000).fill(NONE);
for (let value = 0; value < BASE64.length; value++) SEXTETS[BASE64.charCodeAt(value)] = value;

/** Most bytes that a text of base64 stands for. */
export function base64Room(text: string): number {
  return 3 * Math.ceil(text.length / 4);
}

/**
 * Reads base64 into `out`, which has `base64Room` from `at` on. Not by atob, which ignores white space and spare bits:
 * one text could be changed into another that means the same.
 * @returns where the bytes end in `out`
 * @throws FormatError unless `text` is the one canonical base64 text of some bytes; `what` names it in the sentence.
 */
export function readBase64(text: string, what: string, out: Uint8Array, at = 0): number {
  const padding = text.endsWith('==') ? 2 : text.endsWith('=') ? 1 : 0;
  // In place of the padding, zeros: they are seen in the last character's spare bits.
  const sextet = (i: number): number => (i < text.length - padding ? SEXTETS[text.charCodeAt(i)] : 0);
  let [end, seen, last] = [at, 0, 0];
  for (let i = 0; i < text.length; i += 4) {
    const [a, b, c, d] = [sextet(i), sextet(i + 1), sextet(i + 2), sextet(i + 3)];
    seen |= a | b | c | d;
    last = (a << 18) | (b << 12) | (c << 6) | d;
    out[end] = last >> 16;
    out[end + 1] = last >> 8;
    out[end + 2] = last;
    end += 3;
  }
  if (text.length % 4 > 0 || seen >= NONE) throw new FormatError(`${what} is not base64.`);
  if ((last & ((1 << (8 * padding)) - 1)) !== 0)
    throw new FormatError(`${what} is not base64 in its only correct form.`);
  return end - padding;
}

/** @throws FormatError unless `text` is the one canonical base64 text of some bytes; `what` names it in the sentence. */
export function fromBase64(text: string, what: string): Uint8Array {
  const out = new Uint8Array(base64Room(text));
  return out.slice(0, readBase64(text, what, out));
}

/** The 32 bytes of a SHA-256 hash. @throws FormatError if `text` is anything else. */
export function hashFromBase64(text: string, what: string): Uint8Array {
  const hash = fromBase64(text, what);
  if (hash.length !== 32)
    throw new FormatError(`${what} is not a SHA-256 hash: it has ${hash.length} bytes.`);
  return hash;
}

/** Lower-case hex. */
export function toHexText(bytes: Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** The bytes of an even number of hex digits. */
export function fromHex(text: string): Uint8Array {
  return Uint8Array.from({ length: text.length / 2 }, (_, i) =>
    Number.parseInt(text.slice(2 * i, 2 * i + 2), 16),
  );
}

/** A decimal number without leading zeros. @throws FormatError if it is anything else or above 2^53 - 1. */
export function decimal(text: string, what: string): number {
  const value = Number(text);
  if (!/^(0|[1-9]\d*)$/.test(text) || !Number.isSafeInteger(value))
    throw new FormatError(`${what} is not a whole number: "${text.slice(0, 40)}".`);
  return value;
}
