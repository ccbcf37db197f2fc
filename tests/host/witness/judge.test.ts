// A witness against the requests that the tests of an independent witness send: FiloSottile/torchwood,
// cmd/litewitness/testdata/litewitness.txt (2025). Statuses are those of C2SP tlog-witness v1.0.0 (2026), which
// answers an unknown log with 404.

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { sha256Raw } from '../../../host/keys';
import { checkpointText } from '../../../host/proof/checkpoint';
import { noteSigner, signCheckpoint, verifyEd25519 } from '../../../host/proof/ed25519';
import { noteOf, parseNote, verifyNote } from '../../../host/proof/note';
import { KeyType, verifierKey } from '../../../host/proof/verifierKey';
import { judge, type WitnessParts } from '../../../host/witness/judge';
import { openWitnessStore, type WitnessStore } from '../../../host/witness/store';
import {
  ask,
  FROM_1_TO_3,
  FROM_1_TO_5,
  FROM_3_TO_5,
  LOG_KEY_HEX,
  LOG_ORIGIN,
  logCheckpoint,
  NOT_FROM_1_TO_3,
} from '../proof/published';

const log = verifierKey(
  ...([LOG_ORIGIN, KeyType.Note, new Uint8Array(Buffer.from(LOG_KEY_HEX, 'hex')), sha256Raw] as const),
);
const mine = noteSigner('nightproof/museum', KeyType.Note, new Uint8Array(32).fill(1));
const signer = noteSigner('example.com/witness', KeyType.Cosignature, new Uint8Array(32).fill(2));

let folder: string;
let store: WitnessStore;
let problems: string[];
let parts: WitnessParts;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'witness-'));
  store = openWitnessStore(join(folder, 'witness.db'));
  problems = [];
  parts = { signer, logs: [log, mine.key], store, now: () => 1770000000, onProblem: (s) => problems.push(s) };
});
afterEach(() => {
  store.close();
  rmSync(folder, { recursive: true });
});

const post = (text: string) => judge(parts, text);
const first = () => post(ask(0, [], logCheckpoint(1)));

it('signs the published log from one entry to three to five, and says what it saw last', async () => {
  expect((await first()).status).toBe(200);
  expect((await post(ask(1, FROM_1_TO_3, logCheckpoint(3)))).status).toBe(200);
  const late = await post(ask(1, FROM_1_TO_5, logCheckpoint(5)));
  expect(late).toEqual({ status: 409, body: '3\n', type: 'text/x.tlog.size' });
  const answer = await post(ask(3, FROM_3_TO_5, logCheckpoint(5)));
  expect(answer.status).toBe(200);
  expect(await post(ask(0, [], logCheckpoint(5)))).toMatchObject({ status: 409, body: '5\n' });
  expect(problems).toEqual([]);
  const note = parseNote(noteOf(parseNote(logCheckpoint(5)).text, answer.body));
  const [signed] = await verifyNote(note, [signer.key], verifyEd25519);
  expect(signed.timeSec).toBe(1770000000);
  const kept = await verifyNote(parseNote(store.latest(LOG_ORIGIN)!.note), [log, signer.key], verifyEd25519);
  expect(kept.map(({ key }) => key.name)).toEqual([LOG_ORIGIN, 'example.com/witness']);
});

it.each([
  ['a wrong signature', 403, () => ask(1, FROM_1_TO_3, logCheckpoint(3).replace('6go=', '6gw='))],
  // As published: the wrong signature there ends in spare bits (RFC 4648, 2006, section 3.5) and is no base64 to us.
  ['a signature with spare bits', 400, () => ask(1, FROM_1_TO_3, logCheckpoint(3).replace('6go=', '6gx='))],
  [
    'another key of the same name',
    403,
    () => ask(1, FROM_1_TO_3, logCheckpoint(3).replace('UgIom2', 'UgIon2')),
  ],
  ['an unknown log', 404, () => ask(1, FROM_1_TO_3, logCheckpoint(3).replaceAll('e562', 'e563'))],
  ['no consistency proof', 422, () => ask(1, [], logCheckpoint(3))],
  ['a consistency proof one bit away', 422, () => ask(1, NOT_FROM_1_TO_3, logCheckpoint(3))],
  ['a consistency proof where none is due', 422, () => ask(1, FROM_1_TO_3, logCheckpoint(1))],
  ['an old size above the new one', 400, () => ask(3, [], logCheckpoint(1))],
  ['no request at all', 400, () => 'old 1\n'],
  ['no note', 400, () => ask(1, FROM_1_TO_3, 'hello\n')],
])('refuses %s with %i and signs nothing', async (_what, status, request) => {
  await first();
  const answer = await post(request());
  expect(answer.status).toBe(status);
  expect(answer.body).not.toContain('\u2014');
  expect(store.latest(LOG_ORIGIN)!.size).toBe(1);
});

it('refuses a proof from nothing, and an empty log with a root of its own', async () => {
  expect((await post(ask(0, FROM_1_TO_3, logCheckpoint(3)))).status).toBe(422);
  const empty = signCheckpoint(mine, { size: 0, root: new Uint8Array(32) });
  expect((await post(ask(0, [], empty))).status).toBe(422);
  const root = sha256Raw(new Uint8Array());
  expect((await post(ask(0, [], signCheckpoint(mine, { size: 0, root })))).status).toBe(200);
});

it('raises an alarm over a rewritten log, keeps what it asked, and remembers it after a restart', async () => {
  const root = (n: number) => new Uint8Array(32).fill(n);
  expect((await post(ask(0, [], signCheckpoint(mine, { size: 7, root: root(1) })))).status).toBe(200);
  const again = await post(ask(7, [], signCheckpoint(mine, { size: 7, root: root(1) })));
  expect(again.status).toBe(200);
  const rewritten = ask(7, [], signCheckpoint(mine, { size: 7, root: root(2) }));
  expect((await post(rewritten)).status).toBe(422);
  expect(problems).toEqual([
    'The checkpoint of nightproof/museum at 7 entries has another root than the one already signed.',
  ]);
  store.close();
  store = openWitnessStore(join(folder, 'witness.db'));
  parts.store = store;
  expect((await post(rewritten)).status).toBe(422);
  expect(store.refused(10)).toHaveLength(2);
  expect((await post(ask(3, [], signCheckpoint(mine, { size: 3, root: root(2) })))).status).toBe(409);
  expect(problems.at(-1)).toMatch(/asked for a signature at 3 entries, fewer than the 7 seen before/);
  expect(parseNote(store.latest('nightproof/museum')!.note).text).toBe(
    checkpointText({ origin: 'nightproof/museum', size: 7, root: root(1) }),
  );
});
