// The tree over the entries, computed anew, against the one that is stored; and its root wherever one was signed
// or noted.
import { sha256Raw } from '../../keys';
import { sameBytes } from '../../proof/bytes';
import type { Fault } from '../fault';
import type { RawEntry, RawTile } from '../inspect';
import { recordName } from '../journals';
import { GrowingTree } from '../tree/merkle';
import { entryLeaf, hashesOf, TILE, TILE_BYTES, tileRoot } from '../tree/tile';

export interface Roots {
  take(entry: RawEntry): void;
  /** Entries up to this number are missing or cannot be read. */
  skip(to: number): void;
  /** Says what is wrong with the rest of the stored tree, once all entries were taken. */
  finish(): void;
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
  /** Roots of the tiles of the level below the one that is read. */
  private readonly below: Uint8Array[] = [];
  /** First tile above level 0. */
  private ahead: RawTile | undefined;
  /** Tiles of level 0 so far. */
  private count = 0;
  private level = 0;

  constructor(
    private readonly tiles: Iterator<RawTile>,
    private readonly wanted: ReadonlySet<number>,
    private readonly add: (fault: Fault) => void,
  ) {}

  take(e: RawEntry): void {
    if (e.entry > this.tree.size + 1) this.skip(e.entry - 1);
    // A number that comes twice is said to be out of order elsewhere.
    if (!this.isWhole || e.entry <= this.tree.size) return;
    const leaf = entryLeaf(e);
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
    return hashesOf(this.tile.hashes, (entry - 1) % TILE, 1)[0];
  }

  /** The next tile of level 0; none once they are all read. */
  private nextTile(): void {
    this.tile = this.level === 0 ? this.read() : undefined;
    if (this.tile?.level !== 0) {
      this.ahead = this.tile;
      this.tile = undefined;
      this.level = 1;
      this.lastTile = Number.POSITIVE_INFINITY;
      return;
    }
    const { number, hashes, root } = this.tile;
    const [from, to] = [number * TILE + 1, (number + 1) * TILE];
    if (number !== this.count)
      this.fault(this.count * TILE + 1, number * TILE, 'The tree lacks the hashes of these entries.');
    this.count = number + 1;
    this.lastTile = number;
    this.below[number] = root;
    if (!isRoot(hashes, root))
      this.fault(from, to, "The tree's hashes of these entries do not fit each other.");
    if (hashes.length !== TILE_BYTES) this.tile = undefined;
  }

  private read(): RawTile | undefined {
    try {
      const next = this.tiles.next();
      return next.done ? undefined : next.value;
    } catch (error) {
      this.add({
        part: 'tree',
        entry: 0,
        why: `The stored tree cannot be read: ${(error as Error).message}`,
      });
      return undefined;
    }
  }

  finish(): void {
    while (this.level === 0) this.nextTile();
    const full = Math.floor(this.tree.size / TILE);
    if (this.isWhole && this.count < full)
      this.fault(this.count * TILE + 1, full * TILE, 'The tree lacks the hashes of these entries.');
    if (this.isWhole && this.count > full)
      this.fault(full * TILE + 1, this.count * TILE, 'The tree has hashes of entries that are missing.');
    // Above the leaves a tile holds the roots of those below.
    let [below, roots, level]: [Uint8Array[], Uint8Array[], number] = [this.below, [], 1];
    for (let tile = this.ahead; tile; tile = this.read()) {
      if (tile.level !== level) [below, roots, level] = [roots, [], tile.level];
      const parts = below.slice(tile.number * TILE, (tile.number + 1) * TILE);
      const fits = parts.length === TILE && sameBytes(Buffer.concat(parts), tile.hashes);
      const width = TILE ** (tile.level + 1);
      if (!fits || !isRoot(tile.hashes, tile.root))
        this.fault(
          tile.number * width + 1,
          (tile.number + 1) * width,
          'A part of the tree does not fit its entries.',
        );
      roots[tile.number] = tile.root;
    }
  }

  private fault(entry: number, to: number, why: string): void {
    this.add({ part: 'tree', entry, to, why: `${why.slice(0, -1)}: ${entry} to ${to}.` });
  }
}

function isRoot(hashes: Uint8Array, root: Uint8Array): boolean {
  const is = tileRoot(hashes);
  return is !== undefined && sameBytes(is, root);
}

/** @param wanted sizes at which the root is asked for later */
export function computeRoots(
  tiles: Iterable<RawTile>,
  wanted: ReadonlySet<number>,
  add: (fault: Fault) => void,
): Roots {
  return new Computed(tiles[Symbol.iterator](), wanted, add);
}
