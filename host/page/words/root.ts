// The root of the log book in forms for people and their cameras.
import type { CheckpointView } from '../../api/views';

/** In groups of four, to be read out and typed. */
export function inFours(root: string): string {
  return root.replace(/(.{4})(?=.)/g, '$1 ');
}

/** What the code on paper says: the three lines that are signed (C2SP tlog-checkpoint v1.0.0, 2025). */
export function rootCode({ origin, size, root }: Pick<CheckpointView, 'origin' | 'size' | 'root'>): string {
  return `${origin}\n${size}\n${root}\n`;
}
