// The check of what was taken out of a report, against someone who changes the files to suit him.
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { TestKind, Verdict } from '../../../firmware/contract/codes';
import { evidenceCommand } from '../../../host/cli/evidence';
import { seededKeys } from '../../../host/keys';
import { cosign, type NoteSigner, noteSigner, signCheckpoint } from '../../../host/proof/ed25519';
import { hostSigner, witnessSigner } from '../../../host/proof/hostKey';
import { parseNote } from '../../../host/proof/note';
import { KeyType, keyText } from '../../../host/proof/verifierKey';
import { checkEvidence, type EvidenceFiles } from '../../../host/report/evidence/check';
import { packOf } from '../../../host/report/evidence/pack';
import { FILES } from '../../../host/report/evidence/proof';
import { KEYS } from '../logbook/records';
import { at, type Book, newBook } from './book';

const WITNESS = witnessSigner(seededKeys(77), 'gatehouse');
const BY_WITNESS = [keyText(WITNESS.key)];
/** Someone who holds neither the host nor the witness. */
const FORGER = new Uint8Array(32).fill(9);

let book: Book;
/** Entries under the checkpoint. */
let signed: number;
let unsigned: EvidenceFiles;
let good: EvidenceFiles;

async function files(from = '2026-02-02', to = '2026-06-30'): Promise<EvidenceFiles> {
  const pack = await packOf(await book.report(from, to));
  const text = (name: string): string | undefined => pack.find((one) => one.name === name)?.data.toString();
  return {
    records: text(FILES.records)!,
    proof: text(FILES.proof)!,
    checkpoint: text(FILES.checkpoint),
    results: text(FILES.results),
  };
}

/** The proof with other values. */
function altered(proof: string, other: object): string {
  return JSON.stringify({ ...JSON.parse(proof), ...other });
}

/** The signed text again, signed by someone else as the host, and perhaps by the witness. */
function signedBy(signer: NoteSigner, by: NoteSigner[] = []): Pick<EvidenceFiles, 'proof' | 'checkpoint'> {
  const { text } = parseNote(good.checkpoint!);
  const [, size, root] = text.split('\n');
  const note = signCheckpoint(signer, { size: Number(size), root: Buffer.from(root, 'base64') });
  const lines = by.map((one) => cosign(one, parseNote(note).text, 1_780_000_000)).join('');
  return { proof: altered(good.proof, { key: keyText(signer.key) }), checkpoint: note + lines };
}

beforeAll(async () => {
  book = await newBook();
  await book.test('a', TestKind.Full, at('2026-02-02', 3), [
    { verdict: Verdict.Pass, litSec: 3600 },
    { verdict: Verdict.Fail, litSec: 1800 },
  ]);
  unsigned = await files();
  signed = await book.logbook.entries();
  const text = signCheckpoint(hostSigner(KEYS, 'demo'), {
    ...{ size: signed, root: await book.logbook.tree.root(signed) },
  });
  await book.logbook.checkpoints.add({ size: signed, at: 1_780_000_000, text });
  await book.logbook.checkpoints.cosign(signed, cosign(WITNESS, parseNote(text).text, 1_780_000_000));
  await book.test('b', TestKind.Brief, at('2026-03-02', 3), [{ verdict: Verdict.Pass }]);
  good = await files();
});

const refused = (change: Partial<EvidenceFiles>, witnesses: string[], why: string) =>
  expect(checkEvidence({ ...good, ...change }, witnesses)).rejects.toThrow(why);

it('accepts what the host made and the witness signed, and counts what is newer', async () => {
  expect(await checkEvidence(good, BY_WITNESS)).toMatchObject({
    ...{ signed, newer: 1, signers: ['nightproof/demo', 'gatehouse'] },
  });
  expect(await checkEvidence(unsigned)).toMatchObject({ signed: 0, signers: [] });
});

it('refuses a report without a checkpoint if a witness must have signed', async () => {
  await refused(unsigned, BY_WITNESS, 'no signed checkpoint');
  const proof = altered(good.proof, { checkpoint: null });
  await refused({ proof, checkpoint: undefined }, BY_WITNESS, 'no signed checkpoint');
  await refused({ proof }, [], 'Nothing proves');
  await refused({ checkpoint: undefined }, BY_WITNESS, 'is missing');
});

it('takes no key for that of the witness because it is called so', async () => {
  const named = signedBy(noteSigner('gatehouse', KeyType.Note, FORGER));
  await refused(named, BY_WITNESS, 'not one of demo');
  const site = altered(named.proof, { site: 'gatehouse' });
  await refused({ ...named, proof: site }, BY_WITNESS, 'not one of gatehouse');
  const other = noteSigner('gatehouse', KeyType.Cosignature, FORGER);
  const host = signedBy(noteSigner('nightproof/demo', KeyType.Note, FORGER), [other]);
  await refused(host, BY_WITNESS, 'signature of gatehouse');
});

it('takes neither the witness, nor a key of another kind or site, for the host', async () => {
  await refused({ proof: altered(good.proof, { key: keyText(WITNESS.key) }) }, [], 'not one of demo');
  const cosigner = noteSigner('nightproof/demo', KeyType.Cosignature, FORGER);
  await refused({ proof: altered(good.proof, { key: keyText(cosigner.key) }) }, [], 'not one of demo');
  await refused({ proof: altered(good.proof, { site: 'lodge' }) }, [], 'not one of lodge');
  const elsewhere = hostSigner(KEYS, 'lodge');
  const moved = altered(good.proof, { site: 'lodge', key: keyText(elsewhere.key) });
  await refused({ proof: moved }, [], 'is one of nightproof/demo');
});

it('accepts no report without records, since no hash leads from nothing to a root', async () => {
  await refused({ records: '' }, [], 'no record');
  const nothing = { records: '', proof: altered(good.proof, { hashes: [] }) };
  await refused(nothing, BY_WITNESS, 'no record');
});

it('refuses no period in which nothing happened: the lists of luminaires lead to the root', async () => {
  expect(await checkEvidence(await files('2030-01-01', '2030-01-02'), BY_WITNESS)).toMatchObject({
    records: 2,
  });
});

it('says in plain words what it was given instead of the files', async () => {
  const folder = mkdtempSync(join(tmpdir(), 'nightproof-evidence-'));
  afterAll(() => rmSync(folder, { recursive: true, force: true }));
  const asked = { noted: [], witness: [] };
  await expect(evidenceCommand(folder, asked)).rejects.toThrow('There is no file');
  mkdirSync(join(folder, FILES.records));
  await expect(evidenceCommand(folder, asked)).rejects.toThrow('There is no file');
  const file = join(folder, 'report.pdf');
  writeFileSync(file, '');
  await expect(evidenceCommand(file, asked)).rejects.toThrow('There is no file');
});

it('compares the table with the records, line by line', async () => {
  expect(await checkEvidence(good)).toMatchObject({ lines: 3 });
  expect(await checkEvidence({ ...good, results: undefined })).toMatchObject({ lines: undefined });
  const table = good.results!;
  const lines = table.split('\r\n');
  const other = (from: string | RegExp, to: string) =>
    refused({ results: table.replace(from, to) }, [], ' of results.csv is not as');
  await other(',fail,', ',pass,');
  await other(',1800,', ',3600,');
  await other('A-02', 'A-03');
  await other('2026-02-02T03', '2026-02-03T03');
  await other(/,(\d+)\r\n$/, ',1\r\n');
  await refused(
    { results: lines.filter((_, i) => i !== 2).join('\r\n') },
    [],
    'results.csv lacks lines of entry',
  );
  await refused(
    { results: lines.filter((_, i) => i < 3).join('\r\n') },
    [],
    'results.csv lacks lines of entry',
  );
  await refused(
    { results: [...lines.slice(0, 2), lines[1], ...lines.slice(2)].join('\r\n') },
    [],
    'Line 3 of results.csv',
  );
  await refused({ results: '"' }, [], 'results.csv cannot be read');
});
