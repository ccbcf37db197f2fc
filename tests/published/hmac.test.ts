// Source: RFC 4231 (2005), section 4, test cases 1 to 7 for HMAC-SHA-256. Case 5 is the truncation to 128
// bits, which is what every signed message carries.
import { createHash, createHmac } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { hasValidSignature, hmac, sign, signingKey, toHex } from '../../firmware/contract/signature';

const sha256 = (bytes: string): string => createHash('sha256').update(bytes, 'latin1').digest('binary');
const binary = (hex: string): string => Buffer.from(hex, 'hex').toString('latin1');

/** RFC 4231 section 4.8. */
const LONG_TEXT =
  'This is a test using a larger than block-size key and a larger than block-size data. ' +
  'The key needs to be hashed before being used by the HMAC algorithm.';

const CASES: [string, string, string, string][] = [
  [
    '4.2, case 1',
    '0b'.repeat(20),
    'Hi There',
    'b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7',
  ],
  [
    '4.3, case 2',
    Buffer.from('Jefe').toString('hex'),
    'what do ya want for nothing?',
    '5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843',
  ],
  [
    '4.4, case 3',
    'aa'.repeat(20),
    binary('dd'.repeat(50)),
    '773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe',
  ],
  [
    '4.5, case 4',
    Array.from({ length: 25 }, (_, i) => (i + 1).toString(16).padStart(2, '0')).join(''),
    binary('cd'.repeat(50)),
    '82558a389a443c0ea4cc819899f2083a85f0faa3e578f8077a2e3ff46729665b',
  ],
  [
    '4.6, case 5, cut to 128 bits',
    '0c'.repeat(20),
    'Test With Truncation',
    'a3b6167473100ee06e0c796c2955552b',
  ],
  [
    '4.7, case 6',
    'aa'.repeat(131),
    'Test Using Larger Than Block-Size Key - Hash Key First',
    '60e431591ee0b67f0d8a26aacbf5b77f8e0bc6213728c5140546040f0ee37f54',
  ],
  [
    '4.8, case 7',
    'aa'.repeat(131),
    LONG_TEXT,
    '9b09ffa71b942fcb27635fbcd5b0e944bfdc63644f0713938a7f51535c3a35e2',
  ],
];

describe('HMAC-SHA-256 as RFC 4231 has it', () => {
  it.each(CASES)('section %s', (_section, key, data, tag) => {
    const made = toHex(hmac(signingKey(binary(key), sha256), data));
    expect(made.slice(0, tag.length)).toBe(tag);
  });

  it('agrees with node:crypto for any key and text', () => {
    const bytes = fc.uint8Array({ maxLength: 200 }).map((all) => Buffer.from(all).toString('latin1'));
    fc.assert(
      fc.property(bytes, bytes, (key, data) => {
        const theirs = createHmac('sha256', Buffer.from(key, 'latin1')).update(data, 'latin1').digest('hex');
        expect(toHex(hmac(signingKey(key, sha256), data))).toBe(theirs);
      }),
    );
  });

  it('signs a message with the first 128 bits over kind, address and text', () => {
    const key = signingKey('secret', sha256);
    const tag = createHmac('sha256', 'secret').update('order\nsite/c1\n{"v":1').digest('hex').slice(0, 32);
    const sealed = sign(key, 'order', 'site/c1', '{"v":1');
    expect(sealed).toBe(`{"v":1,"mac":"${tag}"}`);
    expect(hasValidSignature(key, 'order', 'site/c1', sealed)).toBe(true);
  });
});
