import { expect, it } from 'vitest';
import { chainHash, sign, signingKey } from '../../../firmware/contract/signature';
import { Ledger } from '../../../simulator/campaign/ledger';
import { sha256 } from '../../../simulator/digest';

const key = signingKey('a secret', sha256);
const ADDRESS = 'site/c1';

function record(seq: number, before: string, body = '"kind":"start"', signer = key): string {
  const prev = before === '' ? '0'.repeat(32) : chainHash(sha256, before);
  return sign(signer, 'record', ADDRESS, `{"v":1,"journal":"abcd0123","seq":${seq},${body},"prev":"${prev}"`);
}

it('accepts records in order and recognises repeats', () => {
  const ledger = new Ledger(key, ADDRESS);
  const first = record(1, '');
  const second = record(2, first);
  expect([first, second, first, second].map((text) => ledger.take(text))).toEqual([
    ...['taken', 'taken', 'again', 'again'],
  ]);
  expect(ledger.through('abcd0123')).toBe(2);
});

it('distinguishes a gap, a second text of the same number, a broken chain and a bad signature', () => {
  const ledger = new Ledger(key, ADDRESS);
  const first = record(1, '');
  ledger.take(first);
  const other = record(1, '', '"kind":"fault"');
  expect(ledger.take(record(3, record(2, first)))).toBe('gap');
  expect(ledger.take(other)).toBe('duplicate');
  expect(ledger.take(record(2, other))).toBe('unchained');
  expect(ledger.take(record(2, first, '"kind":"start"', signingKey('another', sha256)))).toBe('forged');
  expect(ledger.through('abcd0123')).toBe(1);
  expect(ledger.through('another')).toBe(0);
});

it('keeps what came ahead of its turn, and knows another text of the same number', () => {
  const ledger = new Ledger(key, ADDRESS);
  const first = record(1, '');
  const second = record(2, first);
  const third = record(3, second);
  ledger.take(first);
  expect(ledger.take(third)).toBe('gap');
  expect(ledger.keep(third)).toBe(true);
  expect(ledger.keep(record(3, second, '"kind":"fault"'))).toBe(false);
  expect(ledger.next('abcd0123')).toBe(undefined);
  ledger.take(second);
  expect(ledger.next('abcd0123')).toBe(third);
  expect(ledger.next('abcd0123')).toBe(undefined);
});
