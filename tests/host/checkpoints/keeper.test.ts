import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { type CheckpointKeeper, createKeeper } from '../../../host/checkpoints/keeper';
import { parseCheckpoint } from '../../../host/proof/checkpoint';
import { noteSigner, verifyEd25519 } from '../../../host/proof/ed25519';
import { noteOf, parseNote, verifyNote } from '../../../host/proof/note';
import { KeyType, keyText } from '../../../host/proof/verifierKey';
import type { WitnessParts } from '../../../host/witness/judge';
import { startWitness, type WitnessServer } from '../../../host/witness/service';
import { openWitnessStore, type WitnessStore } from '../../../host/witness/store';
import { sampleLeaves, treeHash } from '../proof/rfc6962';
import { leafBook } from './book';

const host = noteSigner('nightproof/museum', KeyType.Note, new Uint8Array(32).fill(1));
const other = noteSigner('nightproof/museum', KeyType.Note, new Uint8Array(32).fill(3));
const gatehouse = noteSigner('gatehouse', KeyType.Cosignature, new Uint8Array(32).fill(2));
const DAY_SEC = 86400;

let folder: string;
let now: number;
let problems: string[];
let store: WitnessStore;
let server: WitnessServer;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), 'keeper-'));
  now = 1770000000;
  problems = [];
  store = openWitnessStore(join(folder, 'witness.db'));
  server = await startWitness(witness(), { port: 0, host: '127.0.0.1' });
});
afterEach(async () => {
  await server.close();
  store.close();
  rmSync(folder, { recursive: true });
});

function witness(log = host): WitnessParts {
  return { signer: gatehouse, logs: [log.key], store, now: () => now, onProblem: () => undefined };
}

function keeperOf(leaves: Uint8Array[], book = leafBook(leaves), url = server.url): CheckpointKeeper {
  return createKeeper({
    ...{ book, signer: host, witnesses: [{ url, key: gatehouse.key }], now: () => now },
    onProblem: (sentence) => problems.push(sentence),
  });
}

it('signs one checkpoint a day while entries come, and one on demand if anything is new', async () => {
  const leaves = sampleLeaves(3);
  const book = leafBook(leaves);
  const keeper = keeperOf(leaves, book);
  await keeper.look();
  leaves.push(...sampleLeaves(4, 'more'));
  now += DAY_SEC - 1;
  await keeper.look();
  const sizes = async () => (await book.checkpoints.all()).map(({ size }) => size);
  expect(await sizes()).toEqual([3]);
  now += 1;
  await keeper.look();
  expect(await sizes()).toEqual([3, 7]);
  leaves.push(...sampleLeaves(1, 'test'));
  await keeper.make();
  await keeper.make();
  now += 2 * DAY_SEC;
  await keeper.look();
  expect(await sizes()).toEqual([3, 7, 8]);
  const note = parseNote((await book.checkpoints.latest())!.text);
  expect(await verifyNote(note, [host.key], verifyEd25519)).toHaveLength(1);
  expect(parseCheckpoint(note.text)).toEqual({
    origin: 'nightproof/museum',
    size: 8,
    root: treeHash(leaves),
  });
  expect(problems).toEqual([]);
});

it('stores what a witness signs, across restarts of either', async () => {
  const leaves = sampleLeaves(5);
  const book = leafBook(leaves);
  await keeperOf(leaves, book).look();
  leaves.push(...sampleLeaves(6, 'more'));
  now += DAY_SEC;
  const again = keeperOf(leaves, book);
  await again.look();
  const { text, cosignatures } = (await book.checkpoints.at(11))!;
  const signed = await verifyNote(
    parseNote(noteOf(parseNote(text).text, cosignatures.join(''))),
    [gatehouse.key],
    verifyEd25519,
  );
  expect(signed.map(({ timeSec }) => timeSec)).toEqual([now]);
  expect(again.view()).toEqual({
    ...{ origin: 'nightproof/museum', size: 11, at: now, key: keyText(host.key), alarms: [] },
    root: Buffer.from(treeHash(leaves)).toString('base64'),
    witnesses: [{ name: 'gatehouse', size: 11, at: now, problem: '' }],
  });
});

it('tries a witness that is down less and less often, says so once, and delivers when it is back', async () => {
  const leaves = sampleLeaves(5);
  const book = leafBook(leaves);
  await server.close();
  const keeper = keeperOf(leaves, book);
  for (let i = 0; i < 20; i++) await keeper.look();
  expect(problems).toHaveLength(1);
  expect(problems[0]).toMatch(/^Witness gatehouse at http:\S+ does not answer: /);
  expect(keeper.view()!.alarms).toEqual([]);
  server = await startWitness(witness(), { port: Number(new URL(server.url).port), host: '127.0.0.1' });
  let looks = 0;
  while (keeper.view()!.witnesses[0].size === 0) {
    await keeper.look();
    looks++;
  }
  expect(looks).toBeGreaterThan(1);
  expect((await book.checkpoints.latest())!.cosignatures).toHaveLength(1);
});

it('raises an alarm when a witness has seen another history of the log book', async () => {
  await keeperOf(sampleLeaves(7)).look();
  // Everything rewritten with the host's own key, after the witness signed.
  const forged = keeperOf(sampleLeaves(9, 'forged'));
  await forged.look();
  expect(forged.view()!.alarms).toEqual([
    expect.stringMatching(
      /^Witness gatehouse refuses this log book: .* does not contain the log of 7 entries/,
    ),
  ]);
  expect(problems).toEqual(forged.view()!.alarms);
});

it('raises an alarm when a witness has seen more entries than the log book has', async () => {
  await keeperOf(sampleLeaves(7)).look();
  const restored = keeperOf(sampleLeaves(5));
  await restored.look();
  expect(restored.view()!.alarms).toEqual([
    expect.stringMatching(/has signed 7 entries of this log book, which now has a checkpoint of only 5/),
  ]);
});

it.each([
  ['another key of the same name', other, /answered 403: nightproof\/museum has not signed this checkpoint/],
  ['another log', noteSigner('other', KeyType.Note, new Uint8Array(32)), /does not know this log book/],
])('says what to do when the witness was started with %s', async (_what, log, sentence) => {
  await server.close();
  server = await startWitness(witness(log), { port: 0, host: '127.0.0.1' });
  await keeperOf(sampleLeaves(5)).look();
  expect(problems).toEqual([expect.stringMatching(sentence)]);
});

it('signs nothing more when its own log book no longer holds what it signed', async () => {
  const leaves = sampleLeaves(7);
  const book = leafBook(leaves);
  const keeper = keeperOf(leaves, book);
  await keeper.make();
  leaves[3] = sampleLeaves(1, 'forged')[0];
  leaves.push(...sampleLeaves(2, 'more'));
  await keeper.make();
  await keeper.make();
  expect(problems).toEqual([
    expect.stringMatching(/had 7 entries .* no longer the same: an entry was changed/),
  ]);
  expect(keeper.view()!.alarms).toEqual(problems);
  leaves.length = 6;
  await keeper.make();
  expect(problems[1]).toMatch(/had 7 entries .* and now has 6: entries are missing/);
  expect(await book.checkpoints.all()).toHaveLength(1);
});
