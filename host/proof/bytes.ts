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

/** @throws FormatError unless `text` is the one canonical base64 text of some bytes; `what` names it in the sentence. */
export function fromBase64(text: string, what: string): Uint8Array {
  let binary: string;
  try {
    binary = atob(text);
  } catch {
    throw new FormatError(`${what} is not base64.`);
  }
  // atob ignores white space and spare bits, so one text could be changed into another that means the same.
  if (btoa(binary) !== text) throw new FormatError(`${what} is not base64 in its only correct form.`);
  const out = new Uint8Array(binary.length);
  for (let i = 0; i < binary.length; i++) out[i] = binary.charCodeAt(i);
  return out;
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
