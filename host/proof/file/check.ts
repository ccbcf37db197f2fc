// Checks a proof from end to end. It trusts nothing but arithmetic: who signed is for the reader to judge.
import { leafHash, type Sha256, verifyConsistency } from '../../logbook/tree/merkle';
import { base64Room, FormatError, fromHex, readBase64, sameBytes, toBase64, toHexText } from '../bytes';
import { parseCheckpoint } from '../checkpoint';
import { linesOf, noteOf, parseNote, type Signed, type VerifyEd25519, verifyNote } from '../note';
import { KeyType, parseKey, type VerifierKey } from '../verifierKey';
import { type Earlier, type ProofAbout, type ProofStamp, parseProofFile, signedText } from './format';
import { type ProvenTree, treeOf } from './parts';
import { type LinkOf, placeOf } from './story';
import { type Turns, takingTurns } from './turns';

export interface Crypto {
  sha256: Sha256;
  verify: VerifyEd25519;
  linkOf: LinkOf;
  /** SHA-256 of what is given piece by piece. */
  newSha256(): { update(piece: Uint8Array): unknown; digest(): Uint8Array };
}

/** An entry that is in the log book, word for word. */
export interface ProvenEntry {
  entry: number;
  /** site/controller, or with a third level for notes. */
  address: string;
  /** UTC second as the log book has it. */
  at: number;
  body: string;
}

/** A proof that holds. */
export interface Checked {
  about: ProofAbout;
  /** The log's name, entries it covers, and its root in base64 and hex. */
  origin: string;
  size: number;
  root: string;
  rootHex: string;
  host: VerifierKey;
  /** Witnesses that signed this checkpoint, with the UTC second. */
  witnesses: { key: VerifierKey; timeSec: number }[];
  stamps: ProofStamp[];
  earlier: Earlier | undefined;
  checkpoint: string;
  entries: ProvenEntry[];
  tree: ProvenTree;
}

/** Entries from one word about progress to the next. */
const STEP = 1000;

function keysOf(texts: string[], sha256: Sha256): [VerifierKey, VerifierKey[]] {
  const [host, ...witnesses] = texts.map((text) => parseKey(text, sha256));
  if (host?.type !== KeyType.Note || witnesses.some(({ type }) => type !== KeyType.Cosignature))
    throw new FormatError('The file does not name the key of a host first, and then only keys of witnesses.');
  return [host, witnesses];
}

/** Writes a text in UTF-8. @returns where it ends in `out`, which has three bytes for each unit of the text */
function writeUtf8(text: string, out: Uint8Array): number {
  let others = 0;
  for (let i = 0; i < text.length; i++) {
    const unit = text.charCodeAt(i);
    others |= unit;
    out[i] = unit;
  }
  // The browser's own encoder takes ten times as long, and most lines need none.
  return others < 0x80 ? text.length : new TextEncoder().encodeInto(text, out).written;
}

/** SHA-256 of lines in UTF-8, each with its newline, hex. */
async function hashOfLines(lines: readonly string[], crypto: Crypto, turns: Turns): Promise<string> {
  const hash = crypto.newSha256();
  let bytes = new Uint8Array(4096);
  for (const line of lines) {
    if (bytes.length <= 3 * line.length) bytes = new Uint8Array(6 * line.length);
    const end = writeUtf8(line, bytes);
    bytes[end] = 0x0a;
    hash.update(bytes.subarray(0, end + 1));
    const others = turns();
    if (others) await others;
  }
  return toHexText(hash.digest());
}

async function mustSign(
  text: string,
  lines: string,
  host: VerifierKey,
  crypto: Crypto,
  what: string,
): Promise<void> {
  const signed = await verifyNote(parseNote(noteOf(text, lines)), [host], crypto.verify).catch(() => []);
  if (signed.length !== 1)
    throw new FormatError(`${what} is not signed by ${host.name}: it was changed, or made by someone else.`);
}

const decoder = new TextDecoder('utf-8', { ignoreBOM: true });

function readLeaf(entry: number, data: Uint8Array): ProvenEntry {
  const text = decoder.decode(data);
  const [address, at] = text.split('\n', 2);
  const body = text.slice(address.length + (at ?? '').length + 2);
  if (!/^\d+$/.test(at ?? '')) throw new FormatError(`Entry ${entry} is not a record of a log book.`);
  return { entry, address, at: Number(at), body };
}

/** Who is told how far the check is, and when others get a turn. */
interface Progress {
  turns: Turns;
  onProgress(done: number, all: number): void;
}

async function readEntries(
  rows: { entry: number; data: string }[],
  sha256: Sha256,
  { turns, onProgress }: Progress,
): Promise<{ entries: ProvenEntry[]; leaves: Uint8Array[] }> {
  const entries: ProvenEntry[] = [];
  const leaves: Uint8Array[] = [];
  let room = new Uint8Array(4096);
  for (const { entry, data } of rows) {
    if (base64Room(data) > room.length) room = new Uint8Array(2 * base64Room(data));
    const bytes = room.subarray(0, readBase64(data, `Entry ${entry}`, room));
    entries.push(readLeaf(entry, bytes));
    leaves.push(leafHash(sha256, bytes));
    if (entries.length % STEP === 0) onProgress(entries.length, rows.length);
    const others = turns();
    if (others) await others;
  }
  return { entries, leaves };
}

function checkEarlier(earlier: Earlier | undefined, size: number, root: Uint8Array, sha256: Sha256): void {
  if (!earlier) return;
  const [old, hashes] = [fromHex(earlier.root), earlier.hashes.map(fromHex)];
  if (!verifyConsistency(sha256, earlier.size, size, old, root, hashes))
    throw new FormatError(
      `The log book of ${size} entries does not begin with the one of ${earlier.size} that was noted earlier.`,
    );
}

/** Witness signatures under the checkpoint. @throws FormatError if one of them does not hold. */
async function cosigners(
  checkpoint: string,
  keys: VerifierKey[],
  crypto: Crypto,
): Promise<Checked['witnesses']> {
  const signed: Signed[] = await verifyNote(parseNote(checkpoint), keys, crypto.verify);
  return signed.map(({ key, timeSec = 0 }) => ({ key, timeSec }));
}

/**
 * Checks a proof.
 * @param lines of its text, divided at each newline
 * @throws FormatError with one sentence about the first thing that does not hold, and where.
 */
export async function checkProof(
  lines: readonly string[],
  crypto: Crypto,
  { turns, onProgress }: Progress = { turns: takingTurns(), onProgress: () => undefined },
): Promise<Checked> {
  const { sha256 } = crypto;
  const proof = parseProofFile(lines);
  const [host, witnessKeys] = keysOf(proof.keys, sha256);
  const note = parseNote(proof.checkpoint);
  const { origin, size, root } = parseCheckpoint(note.text);
  if (origin !== host.name)
    throw new FormatError(`The checkpoint is of ${origin}, but the key is of ${host.name}.`);
  const { entries, leaves } = await readEntries(proof.entries, sha256, { turns, onProgress });
  const hashes = proof.hashes.map(fromHex);
  const numbers = entries.map(({ entry }) => entry);
  const tree = await treeOf(sha256, size, numbers, leaves, hashes, turns);
  if (!sameBytes(tree.root, root))
    throw new FormatError(
      `The records of this file are not those of the checkpoint: a record was changed, moved, added or removed. The place: ${placeOf(entries, crypto.linkOf)}.`,
    );
  checkEarlier(proof.earlier, size, root, sha256);
  await mustSign(note.text, linesOf(note.signatures), host, crypto, 'The checkpoint');
  const hash = await hashOfLines(proof.unsigned, crypto, turns);
  await mustSign(signedText(hash), `${proof.signature}\n`, host, crypto, 'The file');
  const { about, stamps, earlier, checkpoint } = proof;
  const witnesses = await cosigners(checkpoint, witnessKeys, crypto);
  const signers = { host, witnesses, stamps, earlier, checkpoint };
  return { about, origin, size, root: toBase64(root), rootHex: toHexText(root), ...signers, entries, tree };
}
