// What every engine's tree and checkpoints must do; the tree is compared with the recursive definition of RFC 6962
// (2013), section 2.1, written down here again.
import { createHash } from 'node:crypto';
import { afterEach, beforeEach, expect, it } from 'vitest';
import type { Entry, Logbook } from '../../../host/logbook/logbook';
import { KEPT_MAX } from '../../../host/logbook/own';
import { type Sha256, verifyConsistency, verifyInclusion } from '../../../host/logbook/tree/merkle';
import type { Engine, Place } from './cases';
import { KEYS, newJournal } from './records';

const sha256: Sha256 = (data) => createHash('sha256').update(data).digest();
const hash = (...parts: (string | Uint8Array)[]): Buffer => {
  const made = createHash('sha256');
  for (const part of parts) made.update(part);
  return made.digest();
};
const leafOf = (e: Entry): Buffer => hash('\0', e.address, '\n', String(e.at), '\n', e.body);

/** MTH of RFC 6962, section 2.1. */
function headOf(leaves: Buffer[]): Buffer {
  if (leaves.length <= 1) return leaves[0] ?? hash('');
  let k = 1;
  while (k * 2 < leaves.length) k *= 2;
  return hash('\x01', headOf(leaves.slice(0, k)), headOf(leaves.slice(k)));
}

const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');

async function leavesOf(logbook: Logbook): Promise<Buffer[]> {
  const leaves: Buffer[] = [];
  for (;;) {
    const slice = await logbook.after(leaves.length, 500);
    if (slice.length === 0) return leaves;
    leaves.push(...slice.map(leafOf));
  }
}

/** Adds so many records of one controller. */
async function fill(logbook: Logbook, journal: ReturnType<typeof newJournal>, count: number): Promise<void> {
  await logbook.appendBatch(Array.from({ length: count }, () => journal.record()));
}

export function treeCases(engine: Engine): void {
  let place: Place;
  let logbook: Logbook;
  beforeEach(async () => {
    place = await engine.place();
    logbook = await place.open();
  });
  afterEach(async () => {
    await logbook.close();
    await place.remove();
  });
  const again = async (): Promise<void> => {
    if (!engine.isKept) return;
    await logbook.close();
    logbook = await place.open();
  };

  it('has the root of all entries at every size, also after it was opened again', async () => {
    expect(hex(await logbook.tree.root())).toBe(hex(headOf([])));
    const journal = newJournal('demo/a');
    for (const count of [1, 1, 1, 252, 1, 1, 255, 200]) {
      await fill(logbook, journal, count);
      await again();
    }
    const leaves = await leavesOf(logbook);
    expect(await logbook.tree.size()).toBe(712);
    for (const size of [0, 1, 2, 3, 255, 256, 257, 511, 512, 513, 712])
      expect([size, hex(await logbook.tree.root(size))]).toEqual([size, hex(headOf(leaves.slice(0, size)))]);
  });

  it('proves every entry and every earlier tree', async () => {
    const journal = newJournal('demo/a');
    await fill(logbook, journal, 300);
    await again();
    await fill(logbook, journal, 240);
    const leaves = await leavesOf(logbook);
    const root = headOf(leaves);
    for (const entry of [1, 2, 129, 256, 257, 300, 512, 513, 540]) {
      const proof = await logbook.tree.inclusion(entry, 540);
      expect(verifyInclusion(sha256, leaves[entry - 1], entry - 1, 540, proof, root)).toBe(true);
    }
    for (const from of [1, 2, 255, 256, 257, 300, 512, 539, 540]) {
      const proof = await logbook.tree.consistency(from, 540);
      const old = headOf(leaves.slice(0, from));
      expect(verifyConsistency(sha256, from, 540, old, root, proof)).toBe(true);
    }
    await expect(logbook.tree.root(541)).rejects.toThrow('540 entries');
    await expect(logbook.tree.inclusion(0, 540)).rejects.toThrow('not among');
  });

  it('covers orders, their answers and what is kept apart', async () => {
    const order = { address: 'demo/a', at: 1780000000, do: 2, arg: 3600, who: 'Anna' };
    const counter = await logbook.orders.take(order);
    await logbook.orders.answer('demo/a', counter, 'It said "no".', 1780000005);
    await logbook.orders.answer('demo/a', counter + 1, 'never asked', 1780000006);
    await logbook.keep({ address: 'demo/b', at: 1780000007, why: 'Odd.', body: '{"v":1,"v":1}' });
    await logbook.keep({ address: 'demo/b', at: 1780000008, why: 'Odd.', body: '{"v":1,"v":1}' });
    const entries = await logbook.after(0, 10);
    expect(entries.map(({ kind, address, at, seq }) => [kind, address, at, seq])).toEqual([
      ['ordered', 'demo/a', 1780000000, 1],
      ['answered', 'demo/a', 1780000005, 2],
      ['kept', 'demo/b', 1780000007, 1],
    ]);
    expect(JSON.parse(entries[0].body)).toMatchObject({ counter, do: 2, arg: 3600, who: 'Anna' });
    expect(JSON.parse(entries[1].body)).toMatchObject({ counter, answer: 'It said "no".' });
    expect(JSON.parse(entries[2].body)).toMatchObject({ of: ' 0', text: '{"v":1,"v":1}' });
    expect(await logbook.verify(KEYS)).toMatchObject({ valid: true, entries: 3 });
    expect(hex(await logbook.tree.root())).toBe(hex(headOf(entries.map(leafOf))));
  });

  it('keeps so many texts of one controller apart, and says when it stops', async () => {
    const keep = (address: string, n: number) =>
      logbook.keep({ address, at: 1780000000, why: 'Odd.', body: `{"n":${n}}` });
    // Most of them in one transaction: other texts under the number of a record.
    const first = newJournal('demo/a', '0f0f0f0f').record();
    const others = Array.from({ length: KEPT_MAX - 5 }, (_, n) => ({ ...first, body: `{"other":${n}}` }));
    await logbook.appendBatch([first, ...others]);
    for (let n = 0; n < 10; n++) await keep('demo/a', n);
    await keep('demo/b', 1);
    expect(await logbook.evidenceCount()).toBe(KEPT_MAX + 1);
    const [last] = await logbook.page({ limit: 1, address: 'demo/a' });
    expect(JSON.parse(last.body)).toMatchObject({ why: 'Odd. No more texts of this controller are kept.' });
    expect(await logbook.entries()).toBe(1 + KEPT_MAX + 1);
    // A record that does not fit is an entry, and must be said: else one controller could make the whole doubtful.
    const stranger = newJournal('demo/a');
    stranger.record('intent', { plan: 1, test: 3, type: 1 });
    await logbook.appendBatch([newJournal('demo/a').record(), stranger.record()]);
    const found = await logbook.verify(KEYS);
    expect(found).toMatchObject({ valid: true, faults: [{ part: 'controller', said: true }] });
  });

  it('keeps checkpoints with their cosignatures and time stamps', async () => {
    await fill(logbook, newJournal('demo/a'), 3);
    expect(await logbook.checkpoints.latest()).toBeUndefined();
    await logbook.checkpoints.add({ size: 2, at: 50, text: 'two\n' });
    await logbook.checkpoints.add({ size: 3, at: 60, text: 'three\n' });
    await logbook.checkpoints.cosign(2, 'one line\n');
    await logbook.checkpoints.cosign(2, 'another line\n');
    await logbook.checkpoints.cosign(2, 'one line\n');
    const token = new Uint8Array([0, 255, 7]);
    await logbook.checkpoints.stamp(2, { url: 'http://stamp.example', at: 70, token });
    await again();
    const two = {
      ...{ size: 2, at: 50, text: 'two\n', cosignatures: ['one line\n', 'another line\n'] },
      stamps: [{ url: 'http://stamp.example', at: 70, token }],
    };
    const three = { size: 3, at: 60, text: 'three\n', cosignatures: [], stamps: [] };
    expect(await logbook.checkpoints.all()).toEqual([two, three]);
    expect(await logbook.checkpoints.at(2)).toEqual(two);
    expect(await logbook.checkpoints.at(1)).toBeUndefined();
    expect(await logbook.checkpoints.latest()).toEqual(three);
    await expect(logbook.checkpoints.add({ size: 3, at: 61, text: 'other\n' })).rejects.toThrow();
  });
}
