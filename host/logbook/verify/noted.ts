// A root that someone wrote down or keeps elsewhere: whoever holds the host cannot change it there.
import { fromHex, hashFromBase64, toBase64 } from '../../proof/bytes';
import { signedHead } from '../../proof/checkpoint';

export interface Noted {
  /** 32 bytes. */
  root: Uint8Array;
  /** Number of entries it is the root of; undefined if only the root was noted. */
  size?: number;
}

const HELP = 'write the root as it was printed, alone or behind its number of entries and a colon';

/**
 * What was noted: a root in base64 or hex, alone or as `SIZE:ROOT`, or the text of a signed checkpoint.
 * @throws Error with one sentence if it is none of these
 */
export function readNoted(text: string): Noted {
  if (text.includes('\n')) {
    const { size, root } = signedHead(text);
    return { size, root };
  }
  const parts = /^(?:(\d{1,15}):)?\s*([A-Za-z0-9+/]{43}=?|[0-9a-fA-F]{64})$/.exec(text.trim());
  if (!parts) throw new Error(`"${text.trim().slice(0, 80)}" is no root of a log book: ${HELP}.`);
  const [, size, written] = parts;
  const root =
    written.length === 64 ? fromHex(written) : hashFromBase64(written.padEnd(44, '='), 'The noted root');
  return { root, ...(size !== undefined && { size: Number(size) }) };
}

export function notedWords({ root, size }: Noted): string {
  const of = size === undefined ? '' : ` of ${size} entries`;
  return `the noted root ${toBase64(root)}${of}`;
}
