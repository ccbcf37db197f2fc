// A log's tree and proofs, written down from the definitions of RFC 6962 (2013), sections 2.1, 2.1.1 and 2.1.2, and
// recomputed from the leaves each time: nothing is shared with the code under test.
import { createHash } from 'node:crypto';

const sha256 = (...parts: Uint8Array[]): Buffer => createHash('sha256').update(Buffer.concat(parts)).digest();

/** Largest power of two below n. */
function half(n: number): number {
  let k = 1;
  while (2 * k < n) k *= 2;
  return k;
}

/** MTH(D[n]). */
export function treeHash(leaves: readonly Uint8Array[]): Uint8Array {
  if (leaves.length === 0) return new Uint8Array(sha256());
  if (leaves.length === 1) return new Uint8Array(sha256(Buffer.of(0), leaves[0]));
  const k = half(leaves.length);
  return new Uint8Array(sha256(Buffer.of(1), treeHash(leaves.slice(0, k)), treeHash(leaves.slice(k))));
}

/** PATH(m, D[n]). */
export function auditPath(m: number, leaves: readonly Uint8Array[]): Uint8Array[] {
  if (leaves.length < 2) return [];
  const k = half(leaves.length);
  return m < k
    ? [...auditPath(m, leaves.slice(0, k)), treeHash(leaves.slice(k))]
    : [...auditPath(m - k, leaves.slice(k)), treeHash(leaves.slice(0, k))];
}

function subproof(m: number, leaves: readonly Uint8Array[], known: boolean): Uint8Array[] {
  if (m === leaves.length) return known ? [] : [treeHash(leaves)];
  const k = half(leaves.length);
  return m <= k
    ? [...subproof(m, leaves.slice(0, k), known), treeHash(leaves.slice(k))]
    : [...subproof(m - k, leaves.slice(k), false), treeHash(leaves.slice(0, k))];
}

/** PROOF(m, D[n]); empty for m = 0, as witnesses want it. */
export function consistencyProof(m: number, leaves: readonly Uint8Array[]): Uint8Array[] {
  return m === 0 ? [] : subproof(m, leaves, true);
}

/** Leaves of a log that can be continued: "entry 1", "entry 2"... */
export function sampleLeaves(count: number, word = 'entry'): Uint8Array[] {
  return Array.from({ length: count }, (_, i) => new Uint8Array(Buffer.from(`${word} ${i + 1}`)));
}
