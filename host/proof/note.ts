// Signed notes: C2SP signed-note v1.0.0 (2025), sections "Format" and "Signatures".
import { FormatError, fromBase64, joined, sameBytes, toBase64, utf8 } from './bytes';
import { isKeyName, KeyType, type VerifierKey } from './verifierKey';

/** Whether `signature` is the key's over `message` (Ed25519, RFC 8032, 2017). */
export type VerifyEd25519 = (
  publicKey: Uint8Array,
  message: Uint8Array,
  signature: Uint8Array,
) => boolean | Promise<boolean>;

export interface NoteSignature {
  name: string;
  /** 4 bytes. */
  id: Uint8Array;
  /** What follows the id. */
  bytes: Uint8Array;
  /** The whole line, without its newline. */
  line: string;
}

export interface Note {
  /** Ends in a newline. */
  text: string;
  signatures: NoteSignature[];
}

const DASH = '\u2014 ';
/** At least 16 must be accepted (section "Format"); more than this is refused. */
const SIGNATURES_MAX = 100;

function readLine(line: string): NoteSignature {
  const [name, base64, ...rest] = line.slice(DASH.length).split(' ');
  if (!line.startsWith(DASH) || !isKeyName(name) || base64 === undefined || rest.length > 0)
    throw new FormatError(`"${line.slice(0, 60)}" is not a signature line.`);
  const bytes = fromBase64(base64, `The signature of ${name}`);
  if (bytes.length < 5) throw new FormatError(`The signature of ${name} is too short.`);
  return { name, id: bytes.slice(0, 4), bytes: bytes.slice(4), line };
}

/** Reads signature lines, each ending in a newline. @throws FormatError if any is not one. */
export function readSignatures(text: string): NoteSignature[] {
  if (!text.endsWith('\n')) throw new FormatError('The signature lines do not end in a newline.');
  const lines = text.slice(0, -1).split('\n');
  if (lines.length > SIGNATURES_MAX)
    throw new FormatError(`The note has more than ${SIGNATURES_MAX} signatures.`);
  return lines.map(readLine);
}

/** @throws FormatError with one sentence if `text` is no signed note. */
export function parseNote(text: string): Note {
  // Lone surrogates have no UTF-8, so they cannot have been signed.
  if (/[^\P{Cc}\n\u007f-\u009f]/u.test(text) || /\p{Cs}/u.test(text))
    throw new FormatError('The note holds a control character.');
  const cut = text.lastIndexOf('\n\n');
  if (cut < 0) throw new FormatError('The note has no empty line before its signatures.');
  return { text: text.slice(0, cut + 1), signatures: readSignatures(text.slice(cut + 2)) };
}

/** One signature line, with its newline. */
export function signatureLine(key: Pick<VerifierKey, 'name' | 'id'>, signature: Uint8Array): string {
  return `${DASH}${key.name} ${toBase64(joined(key.id, signature))}\n`;
}

/** Signatures as lines, each with its newline. */
export function linesOf(signatures: readonly Pick<NoteSignature, 'line'>[]): string {
  return signatures.map(({ line }) => `${line}\n`).join('');
}

/** @param lines signature lines, each with its newline */
export function noteOf(text: string, lines: string): string {
  return `${text}\n${lines}`;
}

const TIME_BYTES = 8;

/** What a cosigner signs: C2SP tlog-cosignature v1.0.1 (2026), section "Ed25519 signed message". */
export function cosignedMessage(text: string, timeSec: number): Uint8Array {
  return utf8(`cosignature/v1\ntime ${timeSec}\n${text}`);
}

/** A cosignature's bytes after the key id: the time as 8 bytes, most significant first, then the signature. */
export function withTime(timeSec: number, signature: Uint8Array): Uint8Array {
  const time = new Uint8Array(TIME_BYTES);
  new DataView(time.buffer).setBigUint64(0, BigInt(timeSec));
  return joined(time, signature);
}

/** UTC second of a cosignature. @throws FormatError if it is none, or its time is out of range. */
export function timeOf({ name, bytes }: NoteSignature): number {
  const wrong = () => new FormatError(`The cosignature of ${name} is not one of cosignature/v1.`);
  if (bytes.length !== TIME_BYTES + 64) throw wrong();
  const time = new DataView(bytes.buffer, bytes.byteOffset).getBigUint64(0);
  if (time > BigInt(Number.MAX_SAFE_INTEGER)) throw wrong();
  return Number(time);
}

/** A signature that holds, and for a cosignature its UTC second. */
export interface Signed {
  key: VerifierKey;
  signature: NoteSignature;
  timeSec?: number;
}

async function verifyOne(
  text: string,
  key: VerifierKey,
  signature: NoteSignature,
  verify: VerifyEd25519,
): Promise<Signed> {
  const isNote = key.type === KeyType.Note;
  const timeSec = isNote ? 0 : timeOf(signature);
  const message = isNote ? utf8(text) : cosignedMessage(text, timeSec);
  const bytes = isNote ? signature.bytes : signature.bytes.slice(TIME_BYTES);
  if (bytes.length !== 64 || !(await verify(key.publicKey, message, bytes)))
    throw new FormatError(`The signature of ${key.name} does not fit the text it stands under.`);
  return { key, signature, ...(!isNote && { timeSec }) };
}

/**
 * The signatures of these keys under a note, in the keys' order. Those of other keys are ignored.
 * @throws FormatError if one of them does not hold: such a note is to be refused (section "Signatures").
 */
export async function verifyNote(
  { text, signatures }: Note,
  keys: readonly VerifierKey[],
  verify: VerifyEd25519,
): Promise<Signed[]> {
  const found: Signed[] = [];
  for (const key of keys) {
    const own = signatures.filter(({ name, id }) => name === key.name && sameBytes(id, key.id));
    for (const signature of own) found.push(await verifyOne(text, key, signature, verify));
  }
  return found;
}
