// The worlds seen so far.
import type { Key } from './key';

const FIRST_BITS = 14;
/** The disturbances left are held in the lowest bits of a hash. */
const LEFT_MASK = 3;

/**
 * Keys seen, by 62 bits of hash: a collision among ten million is less likely than 1 in 90,000. The lowest
 * bits hold how many disturbances were left: the same world with fewer left can do nothing new.
 */
export class SeenWorlds {
  /** Pairs: both halves of a hash side by side, so that a lookup touches one cache line. */
  private pairs = new Uint32Array(2 << FIRST_BITS);
  private mask = (1 << FIRST_BITS) - 1;
  private readonly most: number;
  size = 0;

  /** @param bits room for three quarters of 2^bits worlds */
  constructor(bits: number) {
    this.most = 0.75 * (1 << bits);
  }

  isFull(): boolean {
    return this.size > this.most;
  }

  /** @returns true unless this world has been seen with as many disturbances left */
  add(key: Key, left: number): boolean {
    let a = 0x811c9dc5;
    let b = 0x9e3779b9;
    const { words, used } = key;
    for (let i = 0; i < used; i++) {
      a = Math.imul(a ^ words[i], 0x01000193);
      a ^= a >>> 15;
      b = Math.imul(b + words[i], 0x85ebca6b);
      b ^= b >>> 13;
    }
    a = (a ^ Math.imul(b, 0xc2b2ae35)) >>> 0 || 1;
    const at = this.find(a, b);
    const isKnown = this.pairs[at] !== 0;
    if (isKnown && (this.pairs[at + 1] & LEFT_MASK) >= left) return false;
    this.pairs[at] = a;
    this.pairs[at + 1] = (b & ~LEFT_MASK) | left;
    if (isKnown) return true;
    this.size++;
    if (this.size > this.mask * 0.6) this.grow();
    return true;
  }

  /** Index of the pair with this hash, or of the free place where it would go. */
  private find(a: number, b: number): number {
    const { pairs, mask } = this;
    let at = (a ^ (b >>> 2)) & mask;
    while (pairs[2 * at] !== 0 && (pairs[2 * at] !== a || ((pairs[2 * at + 1] ^ b) & ~LEFT_MASK) !== 0))
      at = (at + 1) & mask;
    return 2 * at;
  }

  private grow(): void {
    const old = this.pairs;
    this.pairs = new Uint32Array(2 * old.length);
    this.mask = 2 * this.mask + 1;
    for (let i = 0; i < old.length; i += 2) {
      if (old[i] === 0) continue;
      const at = this.find(old[i], old[i + 1]);
      this.pairs[at] = old[i];
      this.pairs[at + 1] = old[i + 1];
    }
  }
}
