// Merkle trees of RFC 6962 (2013), section 2.1, which RFC 9162 (2021), section 2.1 repeats: arithmetic only, the same
// in Node and in a browser.

/** SHA-256 (FIPS 180-4, 2015) of bytes, 32 bytes. */
export type Sha256 = (bytes: Uint8Array) => Uint8Array;

/** Hash over the `2^level` leaves from number `index * 2^level` on; only asked for those that are there. */
export type NodeAt = (level: number, index: number) => Uint8Array;

/** Used again for every leaf, and larger when one needs it. Its first byte stays 0. */
let leaf = new Uint8Array(4096);

export function leafHash(sha256: Sha256, data: Uint8Array): Uint8Array {
  if (data.length >= leaf.length) leaf = new Uint8Array(2 * data.length);
  leaf.set(data, 1);
  return sha256(leaf.subarray(0, data.length + 1));
}

/** Used again for every node: a new array costs more than the hash. */
const pair = new Uint8Array(65);

export function nodeHash(sha256: Sha256, left: Uint8Array, right: Uint8Array): Uint8Array {
  pair[0] = 1;
  pair.set(left, 1);
  pair.set(right, 33);
  return sha256(pair);
}

/** Largest power of two below `size`, which is 2 or more: where a tree of this size divides. */
export function divide(size: number): number {
  let k = 1;
  while (2 * k < size) k *= 2;
  return k;
}

function isSame(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && a.every((byte, i) => byte === b[i]);
}

/** A tree that grows leaf by leaf and keeps only the roots of its whole subtrees, largest first. */
export class GrowingTree {
  private readonly peaks: Uint8Array[] = [];
  private count = 0;

  constructor(private readonly sha256: Sha256) {}

  /** Number of leaves. */
  get size(): number {
    return this.count;
  }

  append(leaf: Uint8Array): void {
    let hash = leaf;
    for (let rest = this.count; rest % 2 === 1; rest = Math.floor(rest / 2))
      hash = nodeHash(this.sha256, this.peaks.pop()!, hash);
    this.peaks.push(hash);
    this.count++;
  }

  /** Root so far; of an empty tree the hash of nothing. */
  root(): Uint8Array {
    if (this.count === 0) return this.sha256(new Uint8Array());
    return this.peaks.reduceRight((right, left) => nodeHash(this.sha256, left, right));
  }
}

/** Root of the tree over these leaf hashes. */
export function rootFrom(sha256: Sha256, leaves: Iterable<Uint8Array>): Uint8Array {
  const tree = new GrowingTree(sha256);
  for (const leaf of leaves) tree.append(leaf);
  return tree.root();
}

/** Hash over the leaves `from` to before `to`, a range that the tree itself divides into. */
export function rangeHash(sha256: Sha256, from: number, to: number, node: NodeAt): Uint8Array {
  const size = to - from;
  const level = Math.log2(size);
  if (Number.isInteger(level)) return node(level, from / size);
  const middle = from + divide(size);
  return nodeHash(sha256, rangeHash(sha256, from, middle, node), rangeHash(sha256, middle, to, node));
}

/**
 * Proof that leaf `index` is in the tree of `size` leaves, from the leaf's sibling up (section 2.1.1).
 * @param index from 0, below `size`
 */
export function inclusionProof(sha256: Sha256, index: number, size: number, node: NodeAt): Uint8Array[] {
  const proof: Uint8Array[] = [];
  let [from, to] = [0, size];
  while (to - from > 1) {
    const middle = from + divide(to - from);
    const isLeft = index < middle;
    proof.push(isLeft ? rangeHash(sha256, middle, to, node) : rangeHash(sha256, from, middle, node));
    if (isLeft) to = middle;
    else from = middle;
  }
  return proof.reverse();
}

/**
 * Proof that the tree of `to` leaves begins with the tree of `from` leaves (section 2.1.2); empty if either is all
 * or nothing of the other.
 */
export function consistencyProof(sha256: Sha256, from: number, to: number, node: NodeAt): Uint8Array[] {
  if (from === 0 || from === to) return [];
  const proof: Uint8Array[] = [];
  let [low, high] = [0, to];
  while (high !== from) {
    const middle = low + divide(high - low);
    const isLeft = from <= middle;
    proof.push(isLeft ? rangeHash(sha256, middle, high, node) : rangeHash(sha256, low, middle, node));
    if (isLeft) high = middle;
    else low = middle;
  }
  // Who checks the proof knows the old root itself.
  if (low > 0) proof.push(rangeHash(sha256, low, high, node));
  return proof.reverse();
}

/** Whether `proof` shows the leaf with this hash to be number `index` of the tree: RFC 9162, section 2.1.3.2. */
export function verifyInclusion(
  sha256: Sha256,
  leaf: Uint8Array,
  index: number,
  size: number,
  proof: readonly Uint8Array[],
  root: Uint8Array,
): boolean {
  if (index < 0 || index >= size || leaf.length !== 32) return false;
  let [at, last, hash] = [index, size - 1, leaf];
  for (const sibling of proof) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      hash = nodeHash(sha256, sibling, hash);
      while (at % 2 === 0 && at !== 0) [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
    } else hash = nodeHash(sha256, hash, sibling);
    [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  }
  return last === 0 && isSame(hash, root);
}

/**
 * Whether `proof` shows that the tree with root `newRoot` begins with the one with root `oldRoot`:
 * RFC 9162, section 2.1.4.2. About the empty tree there is nothing to show: `from` is at least 1.
 */
export function verifyConsistency(
  sha256: Sha256,
  from: number,
  to: number,
  oldRoot: Uint8Array,
  newRoot: Uint8Array,
  proof: readonly Uint8Array[],
): boolean {
  if (from < 1 || from > to) return false;
  if (from === to) return proof.length === 0 && isSame(oldRoot, newRoot);
  let [at, last] = [from - 1, to - 1];
  while (at % 2 === 1) [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  const path = at === 0 ? [oldRoot, ...proof] : [...proof];
  if (path.length === 0 || proof.length === 0) return false;
  let [older, newer] = [path[0], path[0]];
  for (const hash of path.slice(1)) {
    if (last === 0) return false;
    if (at % 2 === 1 || at === last) {
      [older, newer] = [nodeHash(sha256, hash, older), nodeHash(sha256, hash, newer)];
      while (at % 2 === 0 && at !== 0) [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
    } else newer = nodeHash(sha256, newer, hash);
    [at, last] = [Math.floor(at / 2), Math.floor(last / 2)];
  }
  return last === 0 && isSame(older, oldRoot) && isSame(newer, newRoot);
}
