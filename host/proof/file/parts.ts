// One proof for many entries of a tree: the hashes of all parts that hold none of them, from left to right. The way
// down follows from the entries' numbers alone, so each is proven at its own place. RFC 6962 (2013), section 2.1.
import { divide, nodeHash, type Sha256 } from '../../logbook/tree/merkle';
import { FormatError } from '../bytes';

/** Proof that an entry, from 1, is among the first `size`. */
type Inclusion = (entry: number, size: number) => Promise<Uint8Array[]>;

/** Hashes along the way down to a leaf, by the range of leaves that each is about. */
function wayDown(
  index: number,
  size: number,
  proof: readonly Uint8Array[],
  into: Map<string, Uint8Array>,
): void {
  let [from, to] = [0, size];
  for (let step = proof.length - 1; step >= 0; step--) {
    const middle = from + divide(to - from);
    if (index < middle) {
      into.set(`${middle} ${to}`, proof[step]);
      to = middle;
    } else {
      into.set(`${from} ${middle}`, proof[step]);
      from = middle;
    }
  }
}

/**
 * The hashes that, with the entries, make up the root at `size`.
 * @param entries at least one, rising, from 1
 */
export async function otherHashes(
  size: number,
  entries: readonly number[],
  inclusion: Inclusion,
): Promise<Uint8Array[]> {
  const known = new Map<string, Uint8Array>();
  for (const entry of entries) wayDown(entry - 1, size, await inclusion(entry, size), known);
  const hashes: Uint8Array[] = [];
  let next = 0;
  const walk = (from: number, to: number): void => {
    if (next >= entries.length || entries[next] > to) {
      hashes.push(known.get(`${from} ${to}`)!);
    } else if (to - from === 1) next++;
    else {
      const middle = from + divide(to - from);
      walk(from, middle);
      walk(middle, to);
    }
  };
  walk(0, size);
  return hashes;
}

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
export function treeOf(
  sha256: Sha256,
  size: number,
  entries: readonly number[],
  leaves: readonly Uint8Array[],
  hashes: readonly Uint8Array[],
): ProvenTree {
  const last = entries[entries.length - 1] ?? 0;
  if (last > size) throw new FormatError(`Entry ${last} is beyond the checkpoint, which covers ${size}.`);
  let [next, given] = [0, 0];
  const walk = (from: number, to: number): Uint8Array => {
    if (next >= entries.length || entries[next] > to) {
      const hash = hashes[given++];
      if (!hash) throw new FormatError('Hashes of the tree are missing in the file.');
      return hash;
    }
    if (to - from === 1) return leaves[next++];
    const middle = from + divide(to - from);
    const left = walk(from, middle);
    return nodeHash(sha256, left, walk(middle, to));
  };
  const root = walk(0, size);
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
