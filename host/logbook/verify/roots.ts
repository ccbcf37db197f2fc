// The tree over the entries, computed anew, against the one that is stored; and its root wherever one was signed
// or noted.
import { sha256Raw } from '../../keys';
import { sameBytes } from '../../proof/bytes';
import type { Fault } from '../fault';
import type { RawEntry, RawTile } from '../inspect';
import { recordName } from '../journals';
import { leafText } from '../tree/leaf';
import { GrowingTree, rootFrom } from '../tree/merkle';

/** Leaves of a tile, and bytes of a hash. */
const TILE = 256;
const HASH = 32;

export interface Roots {
  take(entry: RawEntry): void;
  /** Entries up to this number are missing or cannot be read. */
  skip(to: number): void;
  /** Leaves so far. */
  size(): number;
  root(): Uint8Array;
  /** Root at a wanted size; undefined if it was not reached, or not all leaves before it are known. */
  at(size: number): Uint8Array | undefined;
}

class Computed implements Roots {
  private readonly tree = new GrowingTree(sha256Raw);
  private readonly roots = new Map<number, Uint8Array>();
  private tile: RawTile | undefined;
  /** False once a leaf is unknown, from which on no root can be computed. */
  private isWhole = true;
  private lastTile = -1;

  constructor(
    private readonly tiles: Iterator<RawTile>,
    private readonly wanted: ReadonlySet<number>,
    private readonly add: (fault: Fault) => void,
  ) {}

  take(e: RawEntry): void {
    if (e.entry > this.tree.size + 1) this.skip(e.entry - 1);
    // A number that comes twice is said to be out of order elsewhere.
    if (!this.isWhole || e.entry <= this.tree.size) return;
    // RFC 6962 (2013), section 2.1.
    const leaf = sha256Raw(`\0${leafText(e)}`);
    const stored = this.storedLeaf(e.entry);
    if (stored && !sameBytes(leaf, stored)) {
      const why = `Entry ${e.entry}, ${recordName(e)}, is not the one whose hash is in the tree.`;
      this.add({ part: 'tree', entry: e.entry, why });
    }
    // With the stored one the roots after a changed entry can still be compared with what was signed.
    this.append(stored ?? leaf);
  }

  skip(to: number): void {
    while (this.isWhole && this.tree.size < to) {
      const stored = this.storedLeaf(this.tree.size + 1);
      if (stored) this.append(stored);
      else this.isWhole = false;
    }
  }

  size(): number {
    return this.tree.size;
  }

  root(): Uint8Array {
    return this.tree.root();
  }

  at(size: number): Uint8Array | undefined {
    return this.roots.get(size);
  }

  private append(leaf: Uint8Array): void {
    this.tree.append(leaf);
    if (this.wanted.has(this.tree.size)) this.roots.set(this.tree.size, this.tree.root());
  }

  private storedLeaf(entry: number): Uint8Array | undefined {
    const number = Math.floor((entry - 1) / TILE);
    while (this.lastTile < number) this.nextTile();
    if (this.tile?.number !== number) return undefined;
    const from = ((entry - 1) % TILE) * HASH;
    return this.tile.hashes.subarray(from, from + HASH);
  }

  private nextTile(): void {
    const next = this.tiles.next();
    this.tile = next.done ? undefined : next.value;
    if (!this.tile) {
      this.lastTile = Number.POSITIVE_INFINITY;
      return;
    }
    const { number, hashes, root } = this.tile;
    const entry = number * TILE + 1;
    if (number !== this.lastTile + 1)
      this.fault(
        entry,
        `The tree lacks the hashes of entries ${(this.lastTile + 1) * TILE + 1} to ${entry - 1}.`,
      );
    this.lastTile = number;
    const leaves = Array.from({ length: TILE }, (_, i) => hashes.subarray(i * HASH, (i + 1) * HASH));
    if (hashes.length !== TILE * HASH || !sameBytes(rootFrom(sha256Raw, leaves), root)) {
      this.fault(
        entry,
        `The tree's hashes of entries ${entry} to ${entry + TILE - 1} do not fit each other.`,
      );
      if (hashes.length !== TILE * HASH) this.tile = undefined;
    }
  }

  private fault(entry: number, why: string): void {
    this.add({ part: 'tree', entry, to: entry + TILE - 1, why });
  }
}

/** @param wanted sizes at which the root is asked for later */
export function computeRoots(
  tiles: Iterable<RawTile>,
  wanted: ReadonlySet<number>,
  add: (fault: Fault) => void,
): Roots {
  return new Computed(tiles[Symbol.iterator](), wanted, add);
}
