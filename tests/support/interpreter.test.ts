import { describe, expect, it } from 'vitest';
import { flashImage } from './interpreter';

describe('flash image of the interpreter', () => {
  it('holds size, padded name and data of each file on word boundaries, and is erased elsewhere', () => {
    const image = flashImage({ '.boot0': 'abc', log: '\xff\x00' });
    expect(image.readUInt32LE(0)).toBe(3);
    expect(image.toString('latin1', 4, 32)).toBe('.boot0'.padEnd(28, '\0'));
    expect(image.toString('latin1', 32, 36)).toBe('abc\xff');
    expect(image.readUInt32LE(36)).toBe(2);
    expect([...image.subarray(68, 71)]).toEqual([0xff, 0, 0xff]);
  });

  it('refuses what does not fit', () => {
    expect(() => flashImage({ a: 'x'.repeat(262_144) })).toThrow('a does not fit');
    expect(() => flashImage({ ['n'.repeat(29)]: 'x' })).toThrow('does not fit');
  });
});
