// Against published data: transparency-dev/merkle at 417fb0c (2026), testdata/ with all its inclusion and
// consistency proofs, good and bad, and testonly/constants.go with the leaves and roots of RFC 6962's reference
// implementation. And against the definitions of RFC 6962 written down once more.
import { createHash } from 'node:crypto';
import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import {
  consistencyProof,
  GrowingTree,
  inclusionProof,
  leafHash,
  type NodeAt,
  nodeHash,
  rootFrom,
  type Sha256,
  verifyConsistency,
  verifyInclusion,
} from '../../../../host/logbook/tree/merkle';
import * as rfc from '../../proof/rfc6962';

const sha256: Sha256 = (bytes) => new Uint8Array(createHash('sha256').update(bytes).digest());
const hex = (bytes: Uint8Array) => Buffer.from(bytes).toString('hex');
const base64 = (text: string | null) => new Uint8Array(Buffer.from(text ?? '', 'base64'));

interface Case {
  name: string;
  proof: string[];
  wantErr: boolean;
}
interface Published {
  inclusion: (Case & { leafIdx: number; treeSize: number; root: string; leafHash: string })[];
  consistency: (Case & { size1: number; size2: number; root1: string; root2: string })[];
}
const published = JSON.parse(readFileSync(new URL('published.json', import.meta.url), 'utf8')) as Published;

const LEAVES = [
  '',
  '00',
  '10',
  '2021',
  '3031',
  '40414243',
  '5051525354555657',
  '606162636465666768696a6b6c6d6e6f',
];
const ROOTS = [
  'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
  '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
  'fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125',
  'aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77',
  'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
  '4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4',
  '76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef',
  'ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c',
  '5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328',
];
const leaves = LEAVES.map((text) => new Uint8Array(Buffer.from(text, 'hex')));

/** The nodes of a tree over these leaves, from the definition. */
function nodesOf(data: readonly Uint8Array[]): NodeAt {
  return (level, index) => rfc.treeHash(data.slice(index * 2 ** level, (index + 1) * 2 ** level));
}

describe('roots', () => {
  it('has the published root at every size', () => {
    const tree = new GrowingTree(sha256);
    expect(hex(tree.root())).toBe(ROOTS[0]);
    leaves.forEach((leaf, i) => {
      tree.append(leafHash(sha256, leaf));
      expect([tree.size, hex(tree.root())]).toEqual([i + 1, ROOTS[i + 1]]);
    });
    expect(
      hex(
        rootFrom(
          sha256,
          leaves.map((leaf) => leafHash(sha256, leaf)),
        ),
      ),
    ).toBe(ROOTS[8]);
    expect(hex(rootFrom(sha256, []))).toBe(ROOTS[0]);
    // The same file, NodeHashes: the node over the first two leaves.
    const [first, second] = leaves.map((leaf) => leafHash(sha256, leaf));
    expect(hex(nodeHash(sha256, first, second))).toBe(ROOTS[2]);
  });
});

describe('published proofs', () => {
  it.each(published.inclusion)('$name', ({ leafIdx, treeSize, root, leafHash: leaf, proof, wantErr }) => {
    const hashes = proof.map(base64);
    const holds = verifyInclusion(sha256, base64(leaf), leafIdx, treeSize, hashes, base64(root));
    expect(holds).toBe(!wantErr);
  });

  it.each(published.consistency)('$name', ({ size1, size2, root1, root2, proof, wantErr }) => {
    const holds = verifyConsistency(sha256, size1, size2, base64(root1), base64(root2), proof.map(base64));
    expect(holds).toBe(!wantErr);
  });
});

describe('own proofs', () => {
  it('proves every leaf of every small tree as the definition does, and no other leaf', () => {
    for (let size = 1; size <= 33; size++) {
      const data = rfc.sampleLeaves(size);
      const root = rfc.treeHash(data);
      const hashes = data.map((leaf) => leafHash(sha256, leaf));
      for (let index = 0; index < size; index++) {
        const proof = inclusionProof(sha256, index, size, nodesOf(data));
        expect(proof).toEqual(rfc.auditPath(index, data));
        const shown = hashes.filter((leaf) => verifyInclusion(sha256, leaf, index, size, proof, root));
        expect(shown).toEqual([hashes[index]]);
        expect(verifyInclusion(sha256, hashes[index], index + 1, size, proof, root)).toBe(false);
      }
    }
  });

  it('proves that every small tree begins with every smaller one, as the definition does', () => {
    const data = rfc.sampleLeaves(33);
    const roots = Array.from({ length: 34 }, (_, size) => rfc.treeHash(data.slice(0, size)));
    for (let to = 1; to <= 33; to++)
      for (let from = 1; from <= to; from++) {
        const proof = consistencyProof(sha256, from, to, nodesOf(data));
        expect(proof).toEqual(rfc.consistencyProof(from, data.slice(0, to)));
        expect(verifyConsistency(sha256, from, to, roots[from], roots[to], proof)).toBe(true);
        if (from === to) continue;
        expect(verifyConsistency(sha256, from, to, roots[from - 1], roots[to], proof)).toBe(false);
        expect(verifyConsistency(sha256, from, to, roots[from], roots[to - 1], proof)).toBe(false);
      }
  });
});
