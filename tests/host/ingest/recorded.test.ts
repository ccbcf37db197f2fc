// Messages of controllers as they were once recorded: whatever the host learns later, it must go on reading them.
import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { signingKey } from '../../../firmware/contract/signature';
import { type AdmittedRecord, admit } from '../../../host/ingest/door';
import { type KeyRing, sha256 } from '../../../host/keys';
import { readRecord } from '../../../host/records/schema';

/** The secret of the controller that was recorded. */
const KEY = signingKey('estate secret', sha256);
const KEYS: KeyRing = { keyOf: () => KEY, secretOf: () => '', seedFor: () => new Uint8Array(32) };

const lines = readFileSync(new URL('recorded/november2026.txt', import.meta.url), 'utf8')
  .split('\n')
  .filter((line) => line !== '' && !line.startsWith('#'));

const read = (line: string) => {
  const at = line.indexOf(' ');
  return admit(line.slice(0, at), line.slice(at + 1), KEYS, (address) => address === 'estate/c1');
};

it('reads every message of a controller of November 2026', () => {
  const admitted = lines.map(read);
  const kinds = admitted.map((one) => (typeof one === 'string' ? `refused: ${one}` : one.kind));
  expect(new Set(kinds)).toEqual(new Set(['presence', 'state', 'record', 'reply', 'live']));
  const records = admitted.filter(
    (one): one is AdmittedRecord => typeof one === 'object' && one.kind === 'record',
  );
  expect(records.map(({ record }) => record?.kind)).toEqual([
    ...['start', 'order', 'held', 'released', 'order', 'intent', 'result', 'intent', 'result'],
  ]);
  const results = records.map(({ text }) => readRecord(text)).filter((one) => one?.kind === 'result');
  expect(results).toMatchObject([
    { type: 1, seconds: 65, v: 1 },
    { type: 2, v: 1 },
  ]);
});

it('refuses each of them with one digit changed', () => {
  const signed = lines.filter((line) => /\/(record|state|reply) /.test(line));
  expect(signed.length).toBeGreaterThan(10);
  for (const line of signed) expect(read(line.replace('"v":1', '"v":2'))).toBe('signature');
});
