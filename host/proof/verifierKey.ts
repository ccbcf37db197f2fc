// Verifier keys of signed notes: C2SP signed-note v1.0.0 (2025), sections "Signature types" and "Verifier keys".
import type { Sha256 } from '../logbook/tree/merkle';
import { FormatError, fromBase64, joined, sameBytes, toBase64, toHexText, utf8 } from './bytes';

/** What a key signs: the note as it is, or a checkpoint it has seen, with the time (C2SP tlog-cosignature v1.0.1). */
export enum KeyType {
  Note = 1,
  Cosignature = 4,
}

export interface VerifierKey {
  name: string;
  type: KeyType;
  /** 4 bytes. */
  id: Uint8Array;
  /** Ed25519, 32 bytes as of RFC 8032 (2017). */
  publicKey: Uint8Array;
}

/** Key names are not empty and hold no white space and no plus (section "Format"). */
export function isKeyName(name: string): boolean {
  return name !== '' && !/[\s+\p{Cc}]/u.test(name);
}

/** The key with its id: the first 4 bytes of SHA-256 over name, newline, type and public key. */
export function verifierKey(name: string, type: KeyType, publicKey: Uint8Array, sha256: Sha256): VerifierKey {
  const id = sha256(joined(utf8(`${name}\n`), Uint8Array.of(type), publicKey)).slice(0, 4);
  return { name, type, id, publicKey };
}

/** `<name>+<id in hex>+<base64 of type and public key>` */
export function keyText({ name, type, id, publicKey }: VerifierKey): string {
  return `${name}+${toHexText(id)}+${toBase64(joined(Uint8Array.of(type), publicKey))}`;
}

/** @throws FormatError with one sentence if `text` is no Ed25519 verifier key, or its parts do not fit each other. */
export function parseKey(text: string, sha256: Sha256): VerifierKey {
  const parts = /^([^+]+)\+([0-9a-f]{8})\+(.+)$/.exec(text);
  if (!parts || !isKeyName(parts[1]))
    throw new FormatError(
      `"${text.slice(0, 80)}" is not a verifier key: write name+hex+base64 as it was printed.`,
    );
  const [, name, hex, base64] = parts;
  const material = fromBase64(base64, `The key of ${name}`);
  const type = material[0];
  if (material.length !== 33 || (type !== KeyType.Note && type !== KeyType.Cosignature))
    throw new FormatError(`The key of ${name} is not an Ed25519 key.`);
  const key = verifierKey(name, type, material.slice(1), sha256);
  if (toHexText(key.id) !== hex)
    throw new FormatError(`The key of ${name} is mistyped: its parts do not fit each other.`);
  return key;
}

export function isSameKey(a: VerifierKey, b: VerifierKey): boolean {
  return a.name === b.name && a.type === b.type && sameBytes(a.publicKey, b.publicKey);
}
