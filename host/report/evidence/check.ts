// Checks what was taken out of a report: that every record is in the log book with the root on the sheets, word for
// word, and that the log book still begins with what was signed.
import { sha256Raw } from '../../keys';
import { leafText } from '../../logbook/tree/leaf';
import { leafHash, verifyConsistency } from '../../logbook/tree/merkle';
import { FormatError, hashFromBase64, sameBytes, utf8 } from '../../proof/bytes';
import { signedHead } from '../../proof/checkpoint';
import { verifyEd25519 } from '../../proof/ed25519';
import { treeOf } from '../../proof/file/parts';
import { logOrigin } from '../../proof/hostKey';
import { parseNote, verifyNote } from '../../proof/note';
import { isSameKey, KeyType, parseKey, type VerifierKey } from '../../proof/verifierKey';
import { type EvidenceProof, FILES, lineSchema, proofSchema } from './proof';
import { checkTable, type EvidenceRecord } from './table';

export interface EvidenceFiles {
  records: string;
  proof: string;
  checkpoint?: string | undefined;
  /** The table of results; it is compared if it is there. */
  results?: string | undefined;
}

export interface EvidenceFound {
  proof: EvidenceProof;
  /** Number of records, all of them in the log book. */
  records: number;
  /** Lines of the table, all of them as the records say; undefined if it was not there. */
  lines: number | undefined;
  /** Number of those that are newer than the signed checkpoint. */
  newer: number;
  /** Entries of the signed checkpoint the log book still begins with, 0 without one; who signed it. */
  signed: number;
  signers: string[];
}

function readProof(text: string): EvidenceProof {
  try {
    return proofSchema.parse(JSON.parse(text));
  } catch {
    throw new FormatError(`${FILES.proof} cannot be read: it is not as a report contains it.`);
  }
}

/** Leaf hashes of the records, with their numbers. */
function readRecords(text: string): { numbers: number[]; leaves: Uint8Array[] } {
  const numbers: number[] = [];
  const leaves: Uint8Array[] = [];
  const lines = text.split('\n');
  if (lines.pop() !== '') throw new FormatError(`${FILES.records} is cut off: its last line does not end.`);
  lines.forEach((line, i) => {
    const where = `Line ${i + 1} of ${FILES.records}`;
    let record: ReturnType<typeof lineSchema.parse>;
    try {
      record = lineSchema.parse(JSON.parse(line));
    } catch {
      throw new FormatError(`${where} cannot be read.`);
    }
    if (record.entry <= (numbers[numbers.length - 1] ?? 0))
      throw new FormatError(`${where}: entry ${record.entry} stands out of order.`);
    numbers.push(record.entry);
    leaves.push(leafHash(sha256Raw, utf8(leafText(record))));
  });
  return { numbers, leaves };
}

/** @param text as `readRecords` has found it readable */
function recordsOf(text: string): EvidenceRecord[] {
  return text
    .split('\n')
    .slice(0, -1)
    .map((line) => lineSchema.parse(JSON.parse(line)));
}

const bytesOf = (text: string): Uint8Array => hashFromBase64(text, 'A hash');

/** @returns the records' numbers */
async function checkRecords(text: string, { size, root, hashes }: EvidenceProof): Promise<number[]> {
  const { numbers, leaves } = readRecords(text);
  // No hash leads from nothing to the root, so that any root would do.
  if (numbers.length === 0) throw new FormatError(`${FILES.records} holds no record, so nothing is proven.`);
  const tree = await treeOf(sha256Raw, size, numbers, leaves, hashes.map(bytesOf));
  if (!sameBytes(tree.root, bytesOf(root)))
    throw new FormatError(
      'The records do not lead to the root of the report: at least one is not as it stands in the log book, or is missing.',
    );
  return numbers;
}

/** The key that the report gives as the host's. Only the name ties it to the site: whoever checks compares it. */
function hostKey({ key, site }: EvidenceProof): VerifierKey {
  const host = parseKey(key, sha256Raw);
  if (host.name !== logOrigin(site) || host.type !== KeyType.Note)
    throw new FormatError(`The host's key is not one of ${site}: it is called ${host.name}.`);
  return host;
}

async function checkSigned(
  note: string | undefined,
  proof: EvidenceProof,
  witnesses: readonly string[],
): Promise<string[]> {
  const { size, root, checkpoint } = proof;
  const host = hostKey(proof);
  if (!checkpoint) {
    if (note !== undefined)
      throw new FormatError(`Nothing proves that the log book begins with what ${FILES.checkpoint} signs.`);
    if (witnesses.length > 0)
      throw new FormatError('The report holds no signed checkpoint, so no witness stands by it.');
    return [];
  }
  if (note === undefined) throw new FormatError(`${FILES.checkpoint} is missing.`);
  const head = signedHead(note);
  const consistency = checkpoint.consistency.map(bytesOf);
  const isSame = head.size === checkpoint.size && head.size <= size;
  if (!isSame || !verifyConsistency(sha256Raw, head.size, size, head.root, bytesOf(root), consistency))
    throw new FormatError('The log book of the report does not begin with what was signed.');
  if (head.origin !== host.name)
    throw new FormatError(`The checkpoint is one of ${head.origin}, not of ${host.name}.`);
  const keys = [host, ...witnesses.map((text) => parseKey(text, sha256Raw))];
  const signed = await verifyNote(parseNote(note), keys, verifyEd25519);
  const unsigned = keys.find((key) => !signed.some((one) => isSameKey(one.key, key)));
  if (unsigned) throw new FormatError(`The checkpoint does not carry the signature of ${unsigned.name}.`);
  return signed.map((one) => one.key.name);
}

/**
 * Checks the files of a report.
 * @param witnesses verifier keys of witnesses that must have signed
 * @throws FormatError with one sentence about the first thing that does not hold
 */
export async function checkEvidence(
  files: EvidenceFiles,
  witnesses: readonly string[] = [],
): Promise<EvidenceFound> {
  const proof = readProof(files.proof);
  const numbers = await checkRecords(files.records, proof);
  const signers = await checkSigned(files.checkpoint, proof, witnesses);
  const lines =
    files.results === undefined ? undefined : checkTable(files.results, recordsOf(files.records), proof);
  const signed = proof.checkpoint?.size ?? 0;
  const newer = numbers.filter((number) => number > signed).length;
  return { proof, records: numbers.length, lines, newer, signed, signers };
}
