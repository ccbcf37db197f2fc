// Checkpoints: C2SP tlog-checkpoint v1.0.0 (2025), section "Note text".
import { decimal, FormatError, hashFromBase64, toBase64 } from './bytes';
import { linesOf, noteOf, parseNote } from './note';

/** The head of a log: the root of its Merkle tree at a size. */
export interface Checkpoint {
  /** Names the log; the same as the name of its key. */
  origin: string;
  /** Number of entries. */
  size: number;
  /** 32 bytes. */
  root: Uint8Array;
}

/** The text that is signed. */
export function checkpointText({ origin, size, root }: Checkpoint): string {
  return `${origin}\n${size}\n${toBase64(root)}\n`;
}

/**
 * Reads the text of a note as a checkpoint. Extension lines are allowed, and ignored as the standard says.
 * @throws FormatError with one sentence if it is none.
 */
export function parseCheckpoint(text: string): Checkpoint {
  const lines = text.split('\n');
  const [origin, size, root, ...more] = lines;
  if (lines.length < 4 || origin === '') throw new FormatError('The checkpoint lacks origin, size or root.');
  if (more.pop() !== '' || more.includes('')) throw new FormatError('The checkpoint holds an empty line.');
  return {
    origin,
    size: decimal(size, 'The size of the checkpoint'),
    root: hashFromBase64(root, 'The root of the checkpoint'),
  };
}

/** The checkpoint in a signed note. @throws FormatError with one sentence if there is none. */
export function signedHead(note: string): Checkpoint {
  return parseCheckpoint(parseNote(note).text);
}

/** A signed note with the witnesses' lines too, each with its newline, under its own. */
export function witnessedNote(stored: { text: string; cosignatures: readonly string[] }): string {
  const { text, signatures } = parseNote(stored.text);
  return noteOf(text, linesOf(signatures) + stored.cosignatures.join(''));
}
