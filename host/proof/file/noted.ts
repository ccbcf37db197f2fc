// Whether a root typed from paper is one of this proof.
import { fromHex, toBase64 } from '../bytes';
import type { Checked } from './check';

/** Characters of base64 that nobody can find a second tree for: 96 bits. */
export const NOTED_MIN = 16;

export type Noted = { answer: 'too short' | 'other' } | { answer: 'this' | 'earlier'; size: number };

/** @param typed base64, at least its first 16 characters; spaces do not matter */
export function compareNoted(
  { root, size, earlier }: Pick<Checked, 'root' | 'size' | 'earlier'>,
  typed: string,
): Noted {
  const text = typed.replace(/\s/g, '');
  if (text.length < NOTED_MIN) return { answer: 'too short' };
  if (root.startsWith(text)) return { answer: 'this', size };
  if (earlier && toBase64(fromHex(earlier.root)).startsWith(text))
    return { answer: 'earlier', size: earlier.size };
  return { answer: 'other' };
}
