// The tiles of the tree, in the file of the log book.
import type { Db } from '../../../sqlite';
import { entryLeaf, TILE, TILE_BYTES } from '../../tree/tile';
import { type TileShelf, type Tiles, TileTree } from '../../tree/tiles';
import { bytesIn, ENTRIES, toEntry } from './columns';

type Row = Record<'hashes' | 'root', unknown>;

function tileShelf(db: Db): TileShelf {
  const insert = db.prepare('INSERT INTO tiles VALUES (?, ?, ?, ?)');
  const tile = db.prepare('SELECT CAST(hashes AS BLOB) AS hashes FROM tiles WHERE level = ? AND number = ?');
  const from = db.prepare(
    'SELECT CAST(hashes AS BLOB) AS hashes, CAST(root AS BLOB) AS root FROM tiles ' +
      'WHERE level = ? AND number >= ? ORDER BY number LIMIT ?',
  );
  const entries = db.prepare(`${ENTRIES} WHERE e.entry > ? ORDER BY e.entry LIMIT ?`);
  return {
    insert: (level, number, hashes, root) => void insert.run(level, number, hashes, root),
    tile(level, number) {
      const hashes = bytesIn((tile.get(level, number) as Row | undefined)?.hashes);
      if (hashes.length !== TILE_BYTES)
        throw Object.assign(new Error(`${level} ${number}`), { code: 'SQLITE_CORRUPT' });
      return hashes;
    },
    from: (level, number, limit) =>
      (from.all(level, number, limit) as Row[]).map(({ hashes, root }) => ({
        ...{ hashes: bytesIn(hashes), root: bytesIn(root) },
      })),
    leaves: (after, limit) => (entries.all(after, limit) as unknown[]).map((row) => entryLeaf(toEntry(row))),
  };
}

/**
 * The tree over the first `size` entries of a file. Tiles that are missing or contradict themselves are made again from
 * the entries, so it may write.
 */
export function openTiles(db: Db, size: number): Tiles {
  const shelf = tileShelf(db);
  const tree = new TileTree(shelf);
  return tree.load(size) ? tree : rebuilt(db, shelf, size);
}

function rebuilt(db: Db, shelf: TileShelf, size: number): Tiles {
  db.exec('DELETE FROM tiles');
  const tree = new TileTree(shelf);
  while (tree.size() < size) {
    const leaves = shelf.leaves(tree.size(), Math.min(TILE, size - tree.size()));
    if (leaves.length === 0) break;
    for (const leaf of leaves) tree.add(leaf);
  }
  return tree;
}
