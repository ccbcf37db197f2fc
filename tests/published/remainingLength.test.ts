// Source: OASIS MQTT 3.1.1 (2014), section 2.2.3, table 2.4 "Size of Remaining Length field" and the
// example of 321 bytes in the text before it. Read as quoted in secondary restatements.
import { describe, expect, it } from 'vitest';
import { decodeLength, encodeLength } from '../../firmware/link/packets';

const TABLE: [number, string][] = [
  [0, '00'],
  [64, '40'],
  [127, '7f'],
  [128, '8001'],
  [321, 'c102'],
  [16_383, 'ff7f'],
  [16_384, '808001'],
  [2_097_151, 'ffff7f'],
  [2_097_152, '80808001'],
  [268_435_455, 'ffffff7f'],
];

describe('the remaining length of MQTT 3.1.1', () => {
  it.each(TABLE)('of %i bytes is written as %s and read back', (bytes, hex) => {
    expect(Buffer.from(encodeLength(bytes), 'latin1').toString('hex')).toBe(hex);
    expect(decodeLength(Buffer.from(hex, 'hex').toString('latin1'), 0)).toBe(bytes);
  });
});
