// How the tree is stored: in tiles of 256 hashes, each with the root over them, as in C2SP tlog-tiles.
import { sha256Raw } from '../../keys';
import { leafText } from './leaf';
import { rootFrom } from './merkle';

/** Hashes of a tile, and bytes of a hash and of a tile. */
export const TILE = 256;
const HASH_BYTES = 32;
export const TILE_BYTES = TILE * HASH_BYTES;

/** Hash of an entry's leaf, RFC 6962 section 2.1 (2013). */
export function entryLeaf(entry: Parameters<typeof leafText>[0]): Uint8Array {
  return sha256Raw(`\0${leafText(entry)}`);
}

/** Where a hash of a tile begins, byte. */
export function hashAt(place: number): number {
  return place * HASH_BYTES;
}

/** Some of the hashes of a tile; they share its memory. */
export function hashesOf(tile: Uint8Array, from = 0, count = TILE): Uint8Array[] {
  return Array.from({ length: count }, (_, i) => tile.subarray(hashAt(from + i), hashAt(from + i + 1)));
}

/** Root over the hashes of a tile; undefined unless it is full. */
export function tileRoot(tile: Uint8Array): Uint8Array | undefined {
  return tile.length === TILE_BYTES ? rootFrom(sha256Raw, hashesOf(tile)) : undefined;
}
