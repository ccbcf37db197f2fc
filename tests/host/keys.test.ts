import { chmodSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { hasValidSignature, hmac, signingKey, toHex } from '../../firmware/contract/signature';
import { openKeys, seededKeys, sha256, signMessage } from '../../host/keys';

let folder: string;
let file: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-keys-'));
  file = join(folder, 'site.secret');
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

it('creates a private secret on first use and derives the same keys from it ever after', () => {
  const first = openKeys(file).secretOf('demo/a');
  expect(statSync(file).mode & 0o777).toBe(0o600);
  expect(openKeys(file).secretOf('demo/a')).toBe(first);
  expect(first).toHaveLength(32);
  expect(openKeys(file).secretOf('demo/b')).not.toBe(first);
  expect(openKeys(join(folder, 'other.secret')).secretOf('demo/a')).not.toBe(first);
});

it('refuses a secret that others can read', () => {
  openKeys(file);
  chmodSync(file, 0o640);
  expect(() => openKeys(file)).toThrow(/^The site secret .* can be read by other users \(mode 640\); .*"\.$/);
});

it.each([
  ['emptied', () => ''],
  ['cut short', (text: string) => text.slice(0, 60)],
  [
    'changed in one digit',
    (text: string) => text.replace(/[0-9a-f](?=[0-9a-f]{40} )/, (d) => (d === '0' ? '1' : '0')),
  ],
])('refuses a secret that was %s', (_what, change) => {
  openKeys(file);
  writeFileSync(file, change(readFileSync(file, 'latin1')));
  expect(() => openKeys(file)).toThrow(/^The site secret .* is damaged; .*\.$/);
});

it('says so if the secret cannot be created', () => {
  expect(() => openKeys(join(folder, 'no', 'site.secret'))).toThrow(
    /^The site secret .* cannot be created: /,
  );
});

it('gives simulations the same keys for the same seed', () => {
  expect(seededKeys(7).secretOf('demo/a')).toBe(seededKeys(7).secretOf('demo/a'));
  expect(seededKeys(7).secretOf('demo/a')).not.toBe(seededKeys(8).secretOf('demo/a'));
});

it('signs with SHA-256 as in RFC 4231 (2005), test cases 2 and 3', () => {
  const tag = (key: string, text: string) => toHex(hmac(signingKey(key, sha256), text));
  expect(tag('Jefe', 'what do ya want for nothing?')).toBe(
    '5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843',
  );
  expect(tag('\xaa'.repeat(20), '\xdd'.repeat(50))).toBe(
    '773ea91e36800e46854db8ebd09181a72959098b3ef8c122d9635514ced565fe',
  );
});

it('signs a message for one address and one kind only', () => {
  const keys = seededKeys(1);
  const text = signMessage(keys, 'demo/a', 'order', { v: 1, counter: 4 });
  expect(JSON.parse(text)).toMatchObject({ v: 1, counter: 4 });
  expect(hasValidSignature(keys.keyOf('demo/a'), 'order', 'demo/a', text)).toBe(true);
  expect(hasValidSignature(keys.keyOf('demo/b'), 'order', 'demo/b', text)).toBe(false);
  expect(hasValidSignature(keys.keyOf('demo/a'), 'plan', 'demo/a', text)).toBe(false);
});
