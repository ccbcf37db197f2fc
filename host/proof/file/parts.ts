// One proof for many entries of a tree: the hashes of all parts that hold none of them, from left to right. The way
// down follows from the entries' numbers alone, so each is proven at its own place. RFC 6962 (2013), section 2.1.
import { divide, nodeHash, type Sha256 } from '../../logbook/tree/merkle';
import { FormatError } from '../bytes';
import type { Turns } from './turns';

/** Proof that an entry, from 1, is among the first `size`. */
type Inclusion = (entry: number, size: number) => Promise<Uint8Array[]>;

/**
 * The hashes that, with the entries, make up the root at `size`.
 * @param entries at least one, rising, from 1
 */
export async function otherHashes(
  size: number,
  entries: readonly number[],
  inclusion: Inclusion,
): Promise<Uint8Array[]> {
  const hashes: Uint8Array[] = [];
  let next = 0;
  const holds = (to: number): boolean => next < entries.length && entries[next] <= to;
  /** @param depth steps from the root down to this part, which holds an entry */
  const walk = async (from: number, to: number, depth: number): Promise<void> => {
    const first = entries[next];
    if (to - from === 1) {
      next++;
      return;
    }
    // In the proof of an entry the hash of the other half stands as many places from its end as it is deep.
    const sibling = async (): Promise<Uint8Array> => (await inclusion(first, size)).at(-1 - depth)!;
    const middle = from + divide(to - from);
    if (holds(middle)) await walk(from, middle, depth + 1);
    else hashes.push(await sibling());
    if (holds(to)) await walk(middle, to, depth + 1);
    else hashes.push(await sibling());
  };
  await walk(0, size, 0);
  return hashes;
}

/** Most leaves whose hashes are joined in one turn. */
const AT_ONCE = 1024;

export interface ProvenTree {
  root: Uint8Array;
  /** Proof for the entry at this place in the list alone. */
  inclusion(place: number): Uint8Array[];
}

/**
 * The root of a tree of `size` leaves with these entries and hashes.
 * @param leaves leaf hashes of the entries
 * @throws FormatError if there are more or fewer hashes than the tree needs, or an entry is beyond its size.
 */
export async function treeOf(
  sha256: Sha256,
  size: number,
  entries: readonly number[],
  leaves: readonly Uint8Array[],
  hashes: readonly Uint8Array[],
  turns: Turns = () => undefined,
): Promise<ProvenTree> {
  const last = entries[entries.length - 1] ?? 0;
  if (last > size) throw new FormatError(`Entry ${last} is beyond the checkpoint, which covers ${size}.`);
  let [next, given] = [0, 0];
  const atOnce = (from: number, to: number): Uint8Array => {
    if (next >= entries.length || entries[next] > to) {
      const hash = hashes[given++];
      if (!hash) throw new FormatError('Hashes of the tree are missing in the file.');
      return hash;
    }
    if (to - from === 1) return leaves[next++];
    const middle = from + divide(to - from);
    const left = atOnce(from, middle);
    return nodeHash(sha256, left, atOnce(middle, to));
  };
  const walk = async (from: number, to: number): Promise<Uint8Array> => {
    await turns();
    if (to - from <= AT_ONCE || next >= entries.length || entries[next] > to) return atOnce(from, to);
    const middle = from + divide(to - from);
    const left = await walk(from, middle);
    return nodeHash(sha256, left, await walk(middle, to));
  };
  const root = await walk(0, size);
  if (given !== hashes.length) throw new FormatError('The file holds more hashes than its tree needs.');
  return { root, inclusion: (place) => pathTo(sha256, size, entries, leaves, hashes, place) };
}

/** The way from one entry up to the root: RFC 6962 section 2.1.1. */
function pathTo(
  sha256: Sha256,
  size: number,
  entries: readonly number[],
  leaves: readonly Uint8Array[],
  hashes: readonly Uint8Array[],
  place: number,
): Uint8Array[] {
  const path: Uint8Array[] = [];
  let [next, given] = [0, 0];
  // Undefined for a part that holds the entry: its siblings go on the path.
  const walk = (from: number, to: number): Uint8Array | undefined => {
    if (next >= entries.length || entries[next] > to) return hashes[given++];
    if (to - from === 1) return next++ === place ? undefined : leaves[next - 1];
    const middle = from + divide(to - from);
    const left = walk(from, middle);
    const right = walk(middle, to);
    if (left && right) return nodeHash(sha256, left, right);
    path.push((left ?? right)!);
    return undefined;
  };
  walk(0, size);
  return path;
}
