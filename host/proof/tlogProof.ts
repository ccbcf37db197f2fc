// Proofs that an entry is in a log: C2SP tlog-proof (December 2025), section "Format".
import { decimal, FormatError, fromBase64, hashFromBase64, toBase64 } from './bytes';

export interface TlogProof {
  /** Number of the entry in the log, from 0. */
  index: number;
  /** From the leaf's sibling up to the root's child: RFC 6962 section 2.1.1 (2013). */
  hashes: Uint8Array[];
  /** The signed checkpoint, as it is. */
  checkpoint: string;
  /** Not authenticated. */
  extra?: Uint8Array;
}

const HEAD = 'c2sp.org/tlog-proof@v1';
/** A tree of 2^63 entries needs no more. */
const HASHES_MAX = 63;

export function proofText({ index, hashes, checkpoint, extra }: TlogProof): string {
  const head = extra ? [HEAD, `extra ${toBase64(extra)}`] : [HEAD];
  return [...head, `index ${index}`, ...hashes.map(toBase64), '', checkpoint].join('\n');
}

/** @throws FormatError with one sentence if `text` is no proof. */
export function parseProof(text: string): TlogProof {
  const cut = text.indexOf('\n\n');
  const [head, ...lines] = (cut < 0 ? text : text.slice(0, cut)).split('\n');
  if (head !== HEAD || cut < 0) throw new FormatError(`The proof does not begin with ${HEAD}.`);
  const extra = lines[0]?.startsWith('extra ') ? lines.shift()!.slice('extra '.length) : undefined;
  const index = lines.shift() ?? '';
  if (!index.startsWith('index ')) throw new FormatError('The proof does not say which entry it is about.');
  if (lines.length > HASHES_MAX) throw new FormatError('The proof is longer than any tree is high.');
  return {
    index: decimal(index.slice('index '.length), 'The index of the proof'),
    hashes: lines.map((line, i) => hashFromBase64(line, `Hash ${i + 1} of the proof`)),
    checkpoint: text.slice(cut + 2),
    ...(extra !== undefined && { extra: fromBase64(extra, 'The extra data of the proof') }),
  };
}
