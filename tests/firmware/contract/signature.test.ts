import { createHash } from 'node:crypto';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  chainHash,
  hasValidSignature,
  sign,
  signingKey,
  toHex,
  useOwnDigests,
  useOwnHash,
} from '../../../firmware/contract/signature';
import type { MessageKind } from '../../../firmware/contract/topics';
import { sha256 } from '../../../simulator/digest';

// A simulator loaded before brings its own.
useOwnHash(undefined);
useOwnDigests(undefined);

const key = signingKey('a secret of the controller', sha256);
const ADDRESS = 'site/c1';
const sealed = sign(key, 'order', ADDRESS, '{"v":1,"counter":5');

describe('a signed message', () => {
  it('is JSON that ends in its signature', () => {
    expect(JSON.parse(sealed)).toEqual({ v: 1, counter: 5, mac: expect.stringMatching(/^[0-9a-f]{32}$/) });
    expect(hasValidSignature(key, 'order', ADDRESS, sealed)).toBe(true);
  });

  it('is refused as another kind, for another address and with another key', () => {
    for (const kind of ['plan', 'settings', 'ack', 'time', 'record', 'state'] as MessageKind[])
      expect(hasValidSignature(key, kind, ADDRESS, sealed)).toBe(false);
    expect(hasValidSignature(key, 'order', 'site/c2', sealed)).toBe(false);
    expect(hasValidSignature(signingKey('another', sha256), 'order', ADDRESS, sealed)).toBe(false);
  });

  it('is refused with any one character changed, removed or added', () => {
    for (let i = 0; i < sealed.length; i++) {
      const other = sealed[i] === '0' ? '1' : '0';
      expect(hasValidSignature(key, 'order', ADDRESS, sealed.slice(0, i) + other + sealed.slice(i + 1))).toBe(
        false,
      );
      expect(hasValidSignature(key, 'order', ADDRESS, sealed.slice(0, i) + sealed.slice(i + 1))).toBe(false);
      expect(hasValidSignature(key, 'order', ADDRESS, `${sealed.slice(0, i)} ${sealed.slice(i)}`)).toBe(
        false,
      );
    }
  });

  it('is refused when cut short, doubled or followed by anything', () => {
    for (const text of ['', '"}', sealed.slice(-42), sealed + sealed, `${sealed} `, `${sealed}}`])
      expect(hasValidSignature(key, 'order', ADDRESS, text)).toBe(false);
  });

  it('is never accepted from arbitrary text', () => {
    fc.assert(
      fc.property(fc.string(), fc.stringMatching(/^[0-9a-f]{32}$/), (text, mac) => {
        expect(hasValidSignature(key, 'order', ADDRESS, `${text},"mac":"${mac}"}`)).toBe(false);
        expect(hasValidSignature(key, 'order', ADDRESS, text)).toBe(false);
      }),
    );
  });

  it('may hold any bytes', () => {
    const bytes = fc.uint8Array({ maxLength: 300 }).map((all) => Buffer.from(all).toString('latin1'));
    fc.assert(
      fc.property(bytes, (prefix) => {
        fc.pre(prefix.length > 0);
        expect(hasValidSignature(key, 'plan', ADDRESS, sign(key, 'plan', ADDRESS, prefix))).toBe(true);
      }),
    );
  });
});

it('links records by the first 128 bits of SHA-256', () => {
  expect(chainHash(sha256, 'abc')).toBe(createHash('sha256').update('abc').digest('hex').slice(0, 32));
});

it('writes every byte as two hex digits', () => {
  const all = Array.from({ length: 256 }, (_, i) => String.fromCharCode(i)).join('');
  expect(toHex(all)).toBe(Buffer.from(all, 'latin1').toString('hex'));
});

it('a message is signed and verified the same where the platform hashes it without a copy', () => {
  const lengths: number[] = [];
  useOwnHash((head, text, length) => {
    lengths.push(length);
    return sha256(head + text.slice(0, length));
  });
  try {
    expect(sign(key, 'order', ADDRESS, '{"v":1,"counter":5')).toBe(sealed);
    expect(hasValidSignature(key, 'order', ADDRESS, sealed)).toBe(true);
    expect(hasValidSignature(key, 'order', ADDRESS, sealed.replace('5', '6'))).toBe(false);
    expect(lengths).toEqual([18, 18, 18]);
  } finally {
    useOwnHash(undefined);
  }
});
