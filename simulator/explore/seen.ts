// The worlds already seen.
import type { Key } from './key';

const FIRST_BITS = 14;

/**
 * Keys seen, by 64 bits of hash: a clash among ten million is less likely than 1 in 300,000. Beside each
 * stands how many disturbances were left: the same world with fewer left can do nothing new.
 */
export class SeenWorlds {
  private low = new Uint32Array(1 << FIRST_BITS);
  private high = new Uint32Array(1 << FIRST_BITS);
  private left = new Int8Array(1 << FIRST_BITS);
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

  /** @returns true when this world had not been seen with as many disturbances left */
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
    b >>>= 0;
    const at = this.find(a, b);
    if (this.low[at] !== 0) {
      if (this.left[at] >= left) return false;
      this.left[at] = left;
      return true;
    }
    this.low[at] = a;
    this.high[at] = b;
    this.left[at] = left;
    this.size++;
    if (this.size > this.mask * 0.6) this.grow();
    return true;
  }

  /** Where this hash stands, or the free place where it would. */
  private find(a: number, b: number): number {
    let at = (a ^ b) & this.mask;
    while (this.low[at] !== 0 && (this.low[at] !== a || this.high[at] !== b)) at = (at + 1) & this.mask;
    return at;
  }

  private grow(): void {
    const { low, high, left } = this;
    const room = (this.mask + 1) * 2;
    this.mask = room - 1;
    this.low = new Uint32Array(room);
    this.high = new Uint32Array(room);
    this.left = new Int8Array(room);
    for (let i = 0; i < low.length; i++) {
      if (low[i] === 0) continue;
      const at = this.find(low[i], high[i]);
      this.low[at] = low[i];
      this.high[at] = high[i];
      this.left[at] = left[i];
    }
  }
}
