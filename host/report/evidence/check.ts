// Checks what was taken out of a report: that every record is in the log book with the root on the sheets, word for
// word, and that the log book still begins with what was signed.
import { sha256Raw } from '../../keys';
import { leafText } from '../../logbook/tree/leaf';
import { leafHash, verifyConsistency } from '../../logbook/tree/merkle';
import { FormatError, hashFromBase64, sameBytes, utf8 } from '../../proof/bytes';
import { signedHead } from '../../proof/checkpoint';
import { verifyEd25519 } from '../../proof/ed25519';
import { treeOf } from '../../proof/file/parts';
import { parseNote, verifyNote } from '../../proof/note';
import { parseKey } from '../../proof/verifierKey';
import { type EvidenceProof, FILES, lineSchema, proofSchema } from './proof';

export interface EvidenceFiles {
  records: string;
  proof: string;
  checkpoint?: string | undefined;
}

export interface EvidenceFound {
  proof: EvidenceProof;
  /** Number of records, all of them in the log book. */
  records: number;
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

const bytesOf = (text: string): Uint8Array => hashFromBase64(text, 'A hash');

async function checkRecords(text: string, { size, root, hashes }: EvidenceProof): Promise<number> {
  const { numbers, leaves } = readRecords(text);
  if (numbers.length === 0) return 0;
  const tree = await treeOf(sha256Raw, size, numbers, leaves, hashes.map(bytesOf));
  if (!sameBytes(tree.root, bytesOf(root)))
    throw new FormatError(
      'The records do not lead to the root of the report: at least one is not as it stands in the log book, or is missing.',
    );
  return numbers.length;
}

async function checkSigned(
  note: string | undefined,
  { size, root, key, checkpoint }: EvidenceProof,
  witnesses: readonly string[],
): Promise<string[]> {
  if (!checkpoint) return [];
  if (note === undefined) throw new FormatError(`${FILES.checkpoint} is missing.`);
  const head = signedHead(note);
  const proof = checkpoint.consistency.map(bytesOf);
  const isSame = head.size === checkpoint.size && head.size <= size;
  if (!isSame || !verifyConsistency(sha256Raw, head.size, size, head.root, bytesOf(root), proof))
    throw new FormatError('The log book of the report does not begin with what was signed.');
  const keys = [key, ...witnesses].map((text) => parseKey(text, sha256Raw));
  const signed = await verifyNote(parseNote(note), keys, verifyEd25519);
  const names = signed.map((one) => one.key.name);
  const unsigned = keys.find(({ name }) => !names.includes(name));
  if (unsigned) throw new FormatError(`The checkpoint does not carry the signature of ${unsigned.name}.`);
  return names;
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
  const records = await checkRecords(files.records, proof);
  const signers = await checkSigned(files.checkpoint, proof, witnesses);
  return { proof, records, signed: proof.checkpoint?.size ?? 0, signers };
}
