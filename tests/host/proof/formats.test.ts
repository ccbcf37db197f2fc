// Keys, notes, checkpoints and proofs against what their specifications and reference implementations publish.

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { sha256Raw } from '../../../host/keys';
import { fromBase64, toBase64, utf8 } from '../../../host/proof/bytes';
import { checkpointText, parseCheckpoint } from '../../../host/proof/checkpoint';
import { cosign, noteSigner, signCheckpoint, verifyEd25519 } from '../../../host/proof/ed25519';
import {
  cosignedMessage,
  noteOf,
  parseNote,
  readSignatures,
  signatureLine,
  timeOf,
  verifyNote,
} from '../../../host/proof/note';
import { parseProof, proofText } from '../../../host/proof/tlogProof';
import { KeyType, keyText, parseKey, verifierKey } from '../../../host/proof/verifierKey';
import { parseRequest, requestText } from '../../../host/proof/witnessRequest';
import * as published from './published';

const keyOf = (text: string) => parseKey(text, sha256Raw);
const peter = keyOf(published.PETER);
const enoch = keyOf(published.ENOCH);
const PETER_NOTE = noteOf(published.GO_TEXT, published.PETER_LINE);
const BOTH = noteOf(published.GO_TEXT, published.PETER_LINE + published.ENOCH_LINE);
const seed = fromBase64(published.PETER_SEED, 'seed').slice(1);

describe('verifier keys', () => {
  it.each([published.PETER, published.ENOCH, published.C2SP_KEY, published.COSIGNER])(
    'reads and writes %s',
    (text) => expect(keyText(keyOf(text))).toBe(text),
  );

  // golang/mod, sumdb/note/note_test.go (2026), TestNewVerifier: the same manglings.
  it('refuses every part of a key, every changed character, a wrong length and an unknown algorithm', () => {
    const text = published.PETER;
    for (let i = 0; i <= text.length; i++)
      for (let j = i + 1; j <= text.length; j++)
        if (j - i < text.length) expect(() => keyOf(text.slice(i, j)), text.slice(i, j)).toThrow();
    for (let i = 0; i < text.length; i++) {
      const next = String.fromCharCode(text.charCodeAt(i) + 1);
      expect(() => keyOf(text.slice(0, i) + next + text.slice(i + 1)), `at ${i}`).toThrow();
    }
    const wrongLength = 'PeterNeumann+cc469956+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TWBADKEY==';
    expect(() => keyOf(wrongLength)).toThrow();
    expect(() => keyOf('PeterNeumann+173116ae+ZRpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW')).toThrow(
      /Ed25519/,
    );
  });

  it('gives one public key another id when it signs something else', () => {
    const cosigner = verifierKey(peter.name, KeyType.Cosignature, peter.publicKey, sha256Raw);
    expect(cosigner.id).not.toEqual(peter.id);
  });
});

describe('signed notes', () => {
  it('signs byte for byte what the reference implementation signs', () => {
    const signer = noteSigner('PeterNeumann', KeyType.Note, seed);
    expect(keyText(signer.key)).toBe(published.PETER);
    const line = signatureLine(signer.key, signer.sign(utf8(published.GO_TEXT)));
    expect(line).toBe(published.PETER_LINE);
  });

  it('verifies the examples of the specification and of the reference implementation', async () => {
    const c2sp = await verifyNote(parseNote(published.C2SP_NOTE), [keyOf(published.C2SP_KEY)], verifyEd25519);
    expect(c2sp.map(({ key }) => key.name)).toEqual(['example.com/foo']);
    const names = async (...keys: (typeof peter)[]) =>
      (await verifyNote(parseNote(BOTH), keys, verifyEd25519)).map(({ key }) => key.name);
    expect(await names(peter)).toEqual(['PeterNeumann']);
    expect(await names(peter, enoch)).toEqual(['PeterNeumann', 'EnochRoot']);
    expect(await names()).toEqual([]);
  });

  it('refuses the whole note when a signature of a known key does not hold', async () => {
    const other = noteOf(`${published.GO_TEXT}No.\n`, published.PETER_LINE);
    await expect(verifyNote(parseNote(other), [peter], verifyEd25519)).rejects.toThrow(/PeterNeumann/);
    const also = noteOf(
      published.GO_TEXT,
      published.PETER_LINE + published.PETER_LINE.replace('ZJku', 'ZJkv'),
    );
    await expect(verifyNote(parseNote(also), [peter], verifyEd25519)).rejects.toThrow(/PeterNeumann/);
  });

  // golang/mod, sumdb/note/note_test.go (2026), TestOpen: badMsgs; the byte 0xff has no counterpart in a string.
  it.each([
    ['no signatures', published.GO_TEXT],
    ['an empty line only', `${published.GO_TEXT}\n`],
    ['no newline at the end', PETER_NOTE.slice(0, -1)],
    ['a control character', `\u0001${PETER_NOTE}`],
    ['half a character', `\ud800${PETER_NOTE}`],
    ['a name with a space', PETER_NOTE.replace('PeterNeumann', 'Bad Name')],
    ['a line that is no signature', `${PETER_NOTE}Unexpected line.\n`],
    ['101 signatures', noteOf(published.GO_TEXT, published.PETER_LINE.repeat(101))],
    ['four characters more in a signature', PETER_NOTE.replace('ZJkuBS9U', 'ZJku\u00c4BS9U')],
  ])('refuses a note with %s', (_what, text) => {
    expect(() => parseNote(text)).toThrow();
  });

  it('separates text and signatures at the last empty line', () => {
    const text = 'Ognuno sta solo sul cuor della terra\n\ned \u00e8 subito sera.\n';
    expect(parseNote(noteOf(text, published.PETER_LINE)).text).toBe(text);
  });
});

describe('checkpoints and cosignatures', () => {
  const root = fromBase64('CsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=', 'root');

  it('reads and writes the example of the specification', () => {
    const text = parseNote(parseRequest(published.WITNESS_EXAMPLE).checkpoint).text;
    const checkpoint = parseCheckpoint(text);
    expect(checkpoint).toEqual({ origin: 'example.com/behind-the-sofa', size: 20852163, root });
    expect(checkpointText(checkpoint)).toBe(text);
  });

  // transparency-dev/formats, log/checkpoint_test.go (2026), TestUnmarshalLogState: the invalid ones.
  it.each([
    ['too few lines', 'Head\n9944\n'],
    ['no origin', `\n9944\n${toBase64(root)}\n`],
    ['no newline at the end', `Log\n123\n${toBase64(root)}`],
    ['a size in words', `Log\nbananas\n${toBase64(root)}\n`],
    ['a negative size', `Log\n-34\n${toBase64(root)}\n`],
    ['a size with a leading zero', `Log\n034\n${toBase64(root)}\n`],
    ['too large a size', `Log\n3438945738945739845734895735\n${toBase64(root)}\n`],
    ['a root that is not base64', "Log\n123\nThisIsn'tBase64\n"],
    ['a root of seven bytes', 'Log\n123\nYmFuYW5hcw==\n'],
    ['an empty extension line', `Log\n123\n${toBase64(root)}\n\n`],
  ])('refuses a checkpoint with %s', (_what, text) => {
    expect(() => parseCheckpoint(text)).toThrow();
  });

  it('signs a checkpoint under its own name, and verifies those of another log', async () => {
    const signer = noteSigner('nightproof/museum', KeyType.Note, seed);
    const note = parseNote(signCheckpoint(signer, { size: 3, root }));
    expect(note.text).toBe(checkpointText({ origin: 'nightproof/museum', size: 3, root }));
    expect(await verifyNote(note, [signer.key], verifyEd25519)).toHaveLength(1);
    const publicKey = new Uint8Array(Buffer.from(published.LOG_KEY_HEX, 'hex'));
    const log = verifierKey(published.LOG_ORIGIN, KeyType.Note, publicKey, sha256Raw);
    for (const size of [1, 3, 5])
      expect(await verifyNote(parseNote(published.logCheckpoint(size)), [log], verifyEd25519)).toHaveLength(
        1,
      );
  });

  it('reads the time of a published cosignature', () => {
    const [line] = readSignatures(`— witness ${published.TIMED}\n`);
    expect(timeOf(line)).toBe(published.TIMED_AT);
    const [plain] = readSignatures(published.PETER_LINE);
    expect(() => timeOf(plain)).toThrow(/cosignature/);
  });

  it('cosigns with a time that cannot be changed', async () => {
    const signer = noteSigner('witness', KeyType.Cosignature, seed);
    const text = checkpointText({ origin: 'nightproof/museum', size: 3, root });
    const line = cosign(signer, text, 1679315147);
    const [signed] = await verifyNote(parseNote(noteOf(text, line)), [signer.key], verifyEd25519);
    expect(signed.timeSec).toBe(1679315147);
    const { bytes } = signed.signature;
    bytes[7] ^= 1;
    const later = noteOf(text, signatureLine(signer.key, bytes));
    await expect(verifyNote(parseNote(later), [signer.key], verifyEd25519)).rejects.toThrow();
  });

  // The message of section "Ed25519 signed message" of C2SP tlog-cosignature v1.0.1 (2026), typed out by hand.
  it('cosigns what openssl verifies', () => {
    const folder = mkdtempSync(join(tmpdir(), 'cosigned-'));
    try {
      const signer = noteSigner('witness', KeyType.Cosignature, seed);
      const body = 'example.com/behind-the-sofa\n20852163\nCsUYapGGPo4dkMgIAUqom/Xajj7h2fB2MPA3j2jxq2I=\n';
      const [{ bytes }] = readSignatures(cosign(signer, body, 1679315147));
      const message = `cosignature/v1\ntime 1679315147\n${body}`;
      expect(Buffer.from(cosignedMessage(body, 1679315147)).toString()).toBe(message);
      const spki = Buffer.concat([Buffer.from('302a300506032b6570032100', 'hex'), signer.key.publicKey]);
      writeFileSync(join(folder, 'key'), spki);
      writeFileSync(join(folder, 'message'), message);
      writeFileSync(join(folder, 'signature'), bytes.slice(8));
      const verify = 'pkeyutl -verify -rawin -pubin -keyform DER -inkey key -in message -sigfile signature';
      expect(`${execFileSync('openssl', verify.split(' '), { cwd: folder })}`).toMatch(
        /Verified Successfully/,
      );
    } finally {
      rmSync(folder, { recursive: true });
    }
  });
});

describe('proofs and requests', () => {
  it('reads and writes the request of the specification', () => {
    const request = parseRequest(published.WITNESS_EXAMPLE);
    expect(request.oldSize).toBe(20852014);
    expect(request.proof).toHaveLength(4);
    expect(requestText(request)).toBe(published.WITNESS_EXAMPLE);
  });

  it.each([
    ['no size', published.WITNESS_EXAMPLE.replace('old ', 'new ')],
    ['a leading zero', published.WITNESS_EXAMPLE.replace('old 2', 'old 02')],
    [
      '64 hashes',
      published.WITNESS_EXAMPLE.replace('\nPl', `\n${`${toBase64(new Uint8Array(32))}\n`.repeat(60)}Pl`),
    ],
    ['a short hash', published.WITNESS_EXAMPLE.replace('PlRNCrwH', '')],
    ['no checkpoint', 'old 0\n'],
  ])('refuses a request with %s', (_what, text) => {
    expect(() => parseRequest(text)).toThrow();
  });

  // transparency-dev/formats, proof/tlog_proof_test.go (2026), TestMarshal: hashes of "hash1" and "hash2".
  const hashes = ['hash1', 'hash2'].map((text) => sha256Raw(utf8(text)));
  const [h1, h2] = hashes.map(toBase64);
  it.each([
    [
      'without extra data',
      { index: 5, hashes, checkpoint: 'test checkpoint\n' },
      `c2sp.org/tlog-proof@v1\nindex 5\n${h1}\n${h2}\n\ntest checkpoint\n`,
    ],
    [
      'with extra data',
      { index: 10, hashes: [hashes[0]], checkpoint: 'checkpoint data\n', extra: utf8('extra information') },
      `c2sp.org/tlog-proof@v1\nextra ZXh0cmEgaW5mb3JtYXRpb24=\nindex 10\n${h1}\n\ncheckpoint data\n`,
    ],
    [
      'without hashes',
      { index: 0, hashes: [], checkpoint: 'checkpoint\n' },
      'c2sp.org/tlog-proof@v1\nindex 0\n\ncheckpoint\n',
    ],
  ])('writes and reads a proof %s as the reference implementation does', (_what, proof, text) => {
    expect(proofText(proof)).toBe(text);
    expect(parseProof(text)).toEqual(proof);
  });

  // The same file, TestUnmarshalErrors.
  it.each([
    'wrong-header\nindex 0\n\ncheckpoint\n',
    'c2sp.org/tlog-proof@v1\nextra !!notbase64!!\nindex 0\n\ncheckpoint\n',
    'c2sp.org/tlog-proof@v1\n\n\ncheckpoint\n',
    'c2sp.org/tlog-proof@v1\nindex notanumber\n\ncheckpoint\n',
    'c2sp.org/tlog-proof@v1\nindex -5\n\ncheckpoint\n',
    'c2sp.org/tlog-proof@v1\nindex 0\n!!notbase64!!\n\ncheckpoint\n',
    `c2sp.org/tlog-proof@v1\nindex 0\n${toBase64(new Uint8Array(64))}\n\ncheckpoint\n`,
    `c2sp.org/tlog-proof@v1\nindex 0\n${'a'.repeat(65 * 1024)}\n`,
  ])('refuses the malformed proof %#', (text) => {
    expect(() => parseProof(text)).toThrow();
  });
});
