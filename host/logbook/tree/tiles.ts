// The tree over all entries, kept as tiles of 256 hashes: a full one is a row, the edges that still grow are in memory
// and made again from the entries when the log book is opened.
import { sha256Raw } from '../../keys';
import { type NodeAt, rootFrom } from './merkle';
import { hashAt, hashesOf, TILE, TILE_BYTES, tileRoot } from './tile';

/** Levels of the tree in one tile. */
const DEPTH = 8;

/** The edge of one level: the tile that is not yet full. */
interface Edge {
  /** Full tiles before it. */
  tiles: number;
  hashes: Buffer;
  count: number;
}

/** Where an engine keeps the tiles, and what it has to make them again. */
export interface TileShelf {
  insert(level: number, number: number, hashes: Buffer, root: Uint8Array): void;
  /** Hashes of a full tile. @throws Error if it is missing or not as long as it must be */
  tile(level: number, number: number): Buffer;
  /** Full tiles of a level from a number on, by number. */
  from(level: number, number: number, limit: number): { hashes: Buffer; root: Buffer }[];
  /** Leaves of the entries after a number, oldest first. */
  leaves(after: number, limit: number): Uint8Array[];
}

export interface Tiles {
  size(): number;
  /** Adds a leaf; part of the transaction that adds its entry. */
  add(leaf: Uint8Array): void;
  node: NodeAt;
}

export class TileTree implements Tiles {
  private edges: Edge[] = [];
  private count = 0;
  /** The tile read last: proofs of neighbours use the same. */
  private last: { name: string; hashes: Buffer } = { name: '', hashes: Buffer.alloc(0) };

  constructor(private readonly shelf: TileShelf) {}

  size(): number {
    return this.count;
  }

  add(leaf: Uint8Array): void {
    this.count++;
    this.put(0, leaf);
  }

  readonly node: NodeAt = (level, index) => {
    const row = Math.floor(level / DEPTH);
    const width = 2 ** (level % DEPTH);
    const first = index * width;
    const hashes = this.tile(row, Math.floor(first / TILE));
    const part = hashesOf(hashes, first % TILE, width);
    return width === 1 ? Buffer.from(part[0]) : rootFrom(sha256Raw, part);
  };

  /** True if the edges could be made for a tree of this size from what is stored. */
  load(size: number): boolean {
    this.count = size;
    this.edges = [];
    const rest = size % TILE;
    const leaves = this.shelf.leaves(size - rest, rest);
    if (leaves.length !== rest) return false;
    this.edges.push(edgeOf((size - rest) / TILE, leaves));
    for (let level = 1, total = (size - rest) / TILE; total > 0; level++, total = Math.floor(total / TILE)) {
      const roots = this.rootsOf(level - 1, total - (total % TILE), total % TILE);
      if (!roots) return false;
      this.edges.push(edgeOf(Math.floor(total / TILE), roots));
    }
    return true;
  }

  private put(level: number, hash: Uint8Array): void {
    this.edges[level] ??= edgeOf(0, []);
    const edge = this.edges[level];
    edge.hashes.set(hash, hashAt(edge.count));
    edge.count++;
    if (edge.count < TILE) return;
    const root = tileRoot(edge.hashes)!;
    this.shelf.insert(level, edge.tiles, edge.hashes, root);
    edge.tiles++;
    edge.count = 0;
    this.put(level + 1, root);
  }

  private tile(level: number, number: number): Buffer {
    const edge = this.edges[level];
    if (edge?.tiles === number) return edge.hashes;
    const name = `${level} ${number}`;
    if (this.last.name !== name) this.last = { name, hashes: this.shelf.tile(level, number) };
    return this.last.hashes;
  }

  /** Roots of tiles, undefined unless all are there and each is the root of its hashes. */
  private rootsOf(level: number, from: number, count: number): Uint8Array[] | undefined {
    const rows = this.shelf.from(level, from, count);
    if (rows.length !== count) return undefined;
    const roots = rows.map(({ root }) => root);
    const fit = rows.every(({ hashes }, i) => {
      const root = tileRoot(hashes);
      return root !== undefined && roots[i].equals(root);
    });
    return fit ? roots : undefined;
  }
}

function edgeOf(tiles: number, hashes: Uint8Array[]): Edge {
  const edge = { tiles, hashes: Buffer.alloc(TILE_BYTES), count: hashes.length };
  hashes.forEach((hash, i) => {
    edge.hashes.set(hash, hashAt(i));
  });
  return edge;
}
