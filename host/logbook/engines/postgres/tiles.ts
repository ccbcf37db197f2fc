// The tiles of the tree in the database: full ones are loaded as they are needed, new ones are gathered and written
// with the entries they cover.
import { entryLeaf, TILE, TILE_BYTES } from '../../tree/tile';
import { type TileShelf, type Tiles, TileTree } from '../../tree/tiles';
import { ENTRIES, toEntry } from './columns';
import type { Client, Row } from './session';

/** Tiles that stay loaded, 8 KiB each. */
const LOADED_MAX = 64;
/** Most tiles a proof can need, by far: a hundred levels. */
const TRIES_MAX = 200;

class NotLoaded extends Error {
  constructor(
    readonly level: number,
    readonly number: number,
  ) {
    super(`tile ${level} ${number}`);
  }
}

type FullTile = {
  level: number;
  number: number;
  hashes: Buffer;
  root: Uint8Array;
};

/** Tiles and leaves as they were loaded, and the new tiles. */
class Gathered implements TileShelf {
  readonly added: FullTile[] = [];
  readonly loaded = new Map<string, Buffer>();
  /** For `TileTree.load`: leaves after the last full tile, and full tiles that are no part of a larger one. */
  edge: { leaves: Uint8Array[]; rows: Map<number, { hashes: Buffer; root: Buffer }[]> } | undefined;

  insert(level: number, number: number, hashes: Buffer, root: Uint8Array): void {
    this.added.push({ level, number, hashes: Buffer.from(hashes), root });
  }

  tile(level: number, number: number): Buffer {
    const hashes =
      this.loaded.get(`${level} ${number}`) ??
      this.added.find((tile) => tile.level === level && tile.number === number)?.hashes;
    if (!hashes) throw new NotLoaded(level, number);
    return hashes;
  }

  from(level: number): { hashes: Buffer; root: Buffer }[] {
    return this.edge?.rows.get(level) ?? [];
  }

  leaves(): Uint8Array[] {
    return this.edge?.leaves ?? [];
  }
}

const LEAVES = `${ENTRIES} WHERE e.entry > $1 ORDER BY e.entry LIMIT $2`;

async function leavesAfter(client: Client, after: number, limit: number): Promise<Uint8Array[]> {
  return (await client.query(LEAVES, [after, limit])).rows.map((row) => entryLeaf(toEntry(row)));
}

export class StoredTiles {
  private constructor(
    private readonly shelf: Gathered,
    readonly tree: TileTree,
  ) {}

  /** The tree over the first `size` entries; undefined if tiles are missing or contradict themselves. */
  static async load(client: Client, size: number): Promise<StoredTiles | undefined> {
    const shelf = new Gathered();
    const rest = size % TILE;
    const rows = new Map<number, { hashes: Buffer; root: Buffer }[]>();
    for (let level = 0, total = (size - rest) / TILE; total > 0; level++, total = Math.floor(total / TILE)) {
      const sql = 'SELECT hashes, root FROM tiles WHERE level = $1 AND number >= $2 ORDER BY number LIMIT $3';
      const count = total % TILE;
      rows.set(level, count ? (await client.query(sql, [level, total - count, count])).rows : []);
    }
    shelf.edge = { rows, leaves: rest ? await leavesAfter(client, size - rest, rest) : [] };
    const tree = new TileTree(shelf);
    const isWhole = tree.load(size);
    shelf.edge = undefined;
    return isWhole ? new StoredTiles(shelf, tree) : undefined;
  }

  /** Makes all tiles again from the first `size` entries; part of a transaction. */
  static async rebuild(client: Client, size: number): Promise<StoredTiles> {
    const shelf = new Gathered();
    const tree = new TileTree(shelf);
    const made = new StoredTiles(shelf, tree);
    await client.query('DELETE FROM tiles');
    while (tree.size() < size) {
      const leaves = await leavesAfter(client, tree.size(), Math.min(TILE * 8, size - tree.size()));
      if (leaves.length === 0) break;
      for (const leaf of leaves) tree.add(leaf);
      await made.write(client);
    }
    return made;
  }

  /** The tiles that have become full, to be written in the transaction that adds their entries. */
  filled(): FullTile[] {
    return this.shelf.added.splice(0);
  }

  async write(client: Client): Promise<void> {
    for (const { level, number, hashes, root } of this.filled())
      await client.query('INSERT INTO tiles VALUES ($1, $2, $3, $4)', [
        level,
        number,
        hashes,
        Buffer.from(root),
      ]);
  }

  /** What `read` makes of the tree; tiles it lacks are loaded, and it is run again. */
  async reading<T>(client: Client, read: (tree: Tiles) => T): Promise<T> {
    for (let tries = 0; ; tries++) {
      try {
        return read(this.tree);
      } catch (error) {
        if (!(error instanceof NotLoaded) || tries >= TRIES_MAX) throw error;
        await this.fetch(client, error);
      }
    }
  }

  private async fetch(client: Client, { level, number }: NotLoaded): Promise<void> {
    const sql = 'SELECT hashes FROM tiles WHERE level = $1 AND number = $2';
    const [row] = (await client.query(sql, [level, number])).rows as Row[];
    const hashes = row?.hashes as Buffer | undefined;
    if (hashes?.length !== TILE_BYTES) throw Object.assign(new Error('tile'), { code: 'XX001' });
    const { loaded } = this.shelf;
    const [oldest] = loaded.keys();
    if (loaded.size >= LOADED_MAX && oldest !== undefined) loaded.delete(oldest);
    loaded.set(`${level} ${number}`, hashes);
  }
}
