// What a log asks a witness: C2SP tlog-witness v1.0.0 (2026), section "add-checkpoint".
import { decimal, FormatError, hashFromBase64, toBase64 } from './bytes';

export interface WitnessRequest {
  /** Size of the last checkpoint this witness is known to have signed, 0 if none. */
  oldSize: number;
  /** Consistency proof from there: RFC 6962 section 2.1.2 (2013). */
  proof: Uint8Array[];
  /** The signed checkpoint. */
  checkpoint: string;
}

const HASHES_MAX = 63;

export function requestText({ oldSize, proof, checkpoint }: WitnessRequest): string {
  return [`old ${oldSize}`, ...proof.map(toBase64), '', checkpoint].join('\n');
}

/** @throws FormatError with one sentence if `text` is no such request. */
export function parseRequest(text: string): WitnessRequest {
  const cut = text.indexOf('\n\n');
  const [old, ...lines] = text.slice(0, Math.max(0, cut)).split('\n');
  if (cut < 0 || !old.startsWith('old '))
    throw new FormatError('The request does not begin with "old" and a size.');
  if (lines.length > HASHES_MAX) throw new FormatError('The consistency proof has more than 63 hashes.');
  return {
    oldSize: decimal(old.slice('old '.length), 'The old size'),
    proof: lines.map((line, i) => hashFromBase64(line, `Hash ${i + 1} of the consistency proof`)),
    checkpoint: text.slice(cut + 2),
  };
}
