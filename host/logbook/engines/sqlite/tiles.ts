// The tree over all entries, kept as tiles of 256 hashes: a full one is a row, the edges that still grow are in memory
// and made again from the entries when the file is opened.
import { sha256Raw } from '../../../keys';
import type { Db } from '../../../sqlite';
import { type NodeAt, rootFrom } from '../../tree/merkle';
import { entryLeaf, hashAt, hashesOf, TILE, TILE_BYTES, tileRoot } from '../../tree/tile';
import { bytesIn, ENTRIES, toEntry } from './columns';

/** Levels of the tree in one tile. */
const DEPTH = 8;

/** The edge of one level: the tile that is not yet full. */
interface Edge {
  /** Full tiles before it. */
  tiles: number;
  hashes: Buffer;
  count: number;
}

export interface Tiles {
  size(): number;
  /** Adds a leaf; part of the transaction that adds its entry. */
  add(leaf: Uint8Array): void;
  node: NodeAt;
}

function prepare(db: Db) {
  return {
    insert: db.prepare('INSERT INTO tiles VALUES (?, ?, ?, ?)'),
    tile: db.prepare('SELECT CAST(hashes AS BLOB) AS hashes FROM tiles WHERE level = ? AND number = ?'),
    from: db.prepare(
      'SELECT CAST(hashes AS BLOB) AS hashes, CAST(root AS BLOB) AS root FROM tiles ' +
        'WHERE level = ? AND number >= ? ORDER BY number LIMIT ?',
    ),
    entries: db.prepare(`${ENTRIES} WHERE e.entry > ? ORDER BY e.entry LIMIT ?`),
    clear: db.prepare('DELETE FROM tiles'),
  };
}

class TileTree implements Tiles {
  private readonly s: ReturnType<typeof prepare>;
  private edges: Edge[] = [];
  private count = 0;
  /** The tile read last: proofs of neighbours use the same. */
  private last: { name: string; hashes: Buffer } = { name: '', hashes: Buffer.alloc(0) };

  constructor(db: Db) {
    this.s = prepare(db);
  }

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
    const leaves = (this.s.entries.all(size - rest, rest) as unknown[]).map((row) => entryLeaf(toEntry(row)));
    if (leaves.length !== rest) return false;
    this.edges.push(edgeOf((size - rest) / TILE, leaves));
    for (let level = 1, total = (size - rest) / TILE; total > 0; level++, total = Math.floor(total / TILE)) {
      const roots = this.rootsOf(level - 1, total - (total % TILE), total % TILE);
      if (!roots) return false;
      this.edges.push(edgeOf(Math.floor(total / TILE), roots));
    }
    return true;
  }

  /** Makes all tiles again from the first `size` entries. */
  rebuild(size: number): void {
    this.s.clear.run();
    this.edges = [];
    this.count = 0;
    while (this.count < size) {
      const rows = this.s.entries.all(this.count, Math.min(TILE, size - this.count)) as unknown[];
      if (rows.length === 0) return;
      for (const row of rows) this.add(entryLeaf(toEntry(row)));
    }
  }

  private put(level: number, hash: Uint8Array): void {
    this.edges[level] ??= edgeOf(0, []);
    const edge = this.edges[level];
    edge.hashes.set(hash, hashAt(edge.count));
    edge.count++;
    if (edge.count < TILE) return;
    const root = tileRoot(edge.hashes)!;
    this.s.insert.run(level, edge.tiles, edge.hashes, root);
    edge.tiles++;
    edge.count = 0;
    this.put(level + 1, root);
  }

  private tile(level: number, number: number): Buffer {
    const edge = this.edges[level];
    if (edge?.tiles === number) return edge.hashes;
    const name = `${level} ${number}`;
    if (this.last.name !== name) {
      const row = this.s.tile.get(level, number) as { hashes: unknown } | undefined;
      const hashes = bytesIn(row?.hashes);
      if (hashes.length !== TILE_BYTES) throw Object.assign(new Error(name), { code: 'SQLITE_CORRUPT' });
      this.last = { name, hashes };
    }
    return this.last.hashes;
  }

  /** Roots of tiles, undefined unless all are there and each is the root of its hashes. */
  private rootsOf(level: number, from: number, count: number): Uint8Array[] | undefined {
    const rows = this.s.from.all(level, from, count) as { hashes: unknown; root: unknown }[];
    if (rows.length !== count) return undefined;
    const roots = rows.map(({ root }) => bytesIn(root));
    const fit = rows.every(({ hashes }, i) => {
      const root = tileRoot(bytesIn(hashes));
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

/**
 * The tree over the first `size` entries of a file. Tiles that are missing or contradict themselves are made again from
 * the entries, so it may write.
 */
export function openTiles(db: Db, size: number): Tiles {
  const tree = new TileTree(db);
  if (!tree.load(size)) tree.rebuild(size);
  return tree;
}
