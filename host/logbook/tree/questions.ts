// What is asked of a tree: its root at any size, and proofs.
import { sha256Raw } from '../../keys';
import { consistencyProof, inclusionProof, rangeHash } from './merkle';
import type { Tiles } from './tiles';

/** @param tree the tree as it is now; the answers throw RangeError for more entries than there are */
export function treeQuestions(tree: Tiles) {
  const within = (size: number): Tiles => {
    if (size < 0 || size > tree.size())
      throw new RangeError(`The log book has ${tree.size()} entries, not ${size}`);
    return tree;
  };
  return {
    root(size = tree.size()): Uint8Array {
      return size === 0 ? sha256Raw(new Uint8Array()) : rangeHash(sha256Raw, 0, size, within(size).node);
    },
    inclusion(entry: number, size: number): Uint8Array[] {
      if (entry < 1 || entry > size) throw new RangeError(`Entry ${entry} is not among the first ${size}`);
      return inclusionProof(sha256Raw, entry - 1, size, within(size).node);
    },
    consistency: (from: number, to: number): Uint8Array[] =>
      consistencyProof(sha256Raw, from, to, within(Math.max(from, to)).node),
  };
}
