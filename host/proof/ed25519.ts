// Ed25519 (RFC 8032, 2017) by Node's own crypto.
import { createPrivateKey, createPublicKey, sign, verify } from 'node:crypto';
import { sha256Raw } from '../keys';
import { joined, utf8 } from './bytes';
import { type Checkpoint, checkpointText } from './checkpoint';
import { cosignedMessage, noteOf, signatureLine, type VerifyEd25519, withTime } from './note';
import { type KeyType, type VerifierKey, verifierKey } from './verifierKey';

/** What stands before the 32 bytes of a seed in PKCS #8, and of a public key in SPKI (RFC 8410, 2018). */
const PKCS8 = Buffer.from('302e020100300506032b657004220420', 'hex');
const SPKI = Buffer.from('302a300506032b6570032100', 'hex');

export const verifyEd25519: VerifyEd25519 = (publicKey, message, signature) => {
  const key = createPublicKey({ key: Buffer.concat([SPKI, publicKey]), format: 'der', type: 'spki' });
  return verify(null, message, key, signature);
};

/** A name with a private key. */
export interface NoteSigner {
  key: VerifierKey;
  sign(message: Uint8Array): Uint8Array;
}

/** @param seed 32 secret bytes */
export function noteSigner(name: string, type: KeyType, seed: Uint8Array): NoteSigner {
  const secret = createPrivateKey({ key: joined(PKCS8, seed) as Buffer, format: 'der', type: 'pkcs8' });
  const spki = createPublicKey(secret).export({ format: 'der', type: 'spki' });
  const key = verifierKey(name, type, new Uint8Array(spki.subarray(SPKI.length)), sha256Raw);
  return { key, sign: (message) => new Uint8Array(sign(null, message, secret)) };
}

/** The checkpoint as a signed note; its origin is the signer's name. */
export function signCheckpoint(signer: NoteSigner, head: Omit<Checkpoint, 'origin'>): string {
  const text = checkpointText({ ...head, origin: signer.key.name });
  return noteOf(text, signatureLine(signer.key, signer.sign(utf8(text))));
}

/** A cosignature line on the text of a checkpoint, with its newline: C2SP tlog-cosignature v1.0.1 (2026). */
export function cosign(signer: NoteSigner, text: string, timeSec: number): string {
  return signatureLine(signer.key, withTime(timeSec, signer.sign(cosignedMessage(text, timeSec))));
}
