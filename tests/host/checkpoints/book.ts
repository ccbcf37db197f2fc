// The part of a log book that checkpoints need, over leaves in memory.
import type { CheckpointBook, StoredCheckpoint } from '../../../host/logbook/checkpoints';
import { auditPath, consistencyProof, treeHash } from '../proof/rfc6962';

export function leafBook(leaves: Uint8Array[]): CheckpointBook {
  const kept: StoredCheckpoint[] = [];
  const at = async (size: number) => kept.find((one) => one.size === size);
  return {
    tree: {
      size: async () => leaves.length,
      root: async (size = leaves.length) => treeHash(leaves.slice(0, size)),
      inclusion: async (entry, size) => auditPath(entry - 1, leaves.slice(0, size)),
      consistency: async (from, to) => consistencyProof(from, leaves.slice(0, to)),
    },
    checkpoints: {
      add: async (made) => void kept.push({ ...made, cosignatures: [], stamps: [] }),
      latest: async () => kept.at(-1),
      at,
      all: async () => [...kept],
      cosign: async (size, line) => void (await at(size))!.cosignatures.push(line),
      stamp: async (size, stamp) => void (await at(size))!.stamps.push(stamp),
    },
  };
}
