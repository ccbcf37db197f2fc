// What a copy of the accounts does not bring back.
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { carryAccounts, copyAccounts } from '../../../host/accounts/copy';
import { openAccounts } from '../../../host/accounts/store';

const NOW = 1_800_000_000;
const CODE = 'c0de'.repeat(16);
const ZOE = {
  ...{ id: 'zoe', name: 'Zoë Łuk', role: 'administrator' as const, password: 'set' },
  ...{ isDisabled: false, code: CODE, codeUntil: NOW },
};
const TOKEN = {
  ...{ hash: 'a'.repeat(64), id: 't1', name: 'calendar', scope: 'calendar' as const, by: 'zoe' },
  ...{ made: NOW, until: NOW + 1, used: 0, isWithdrawn: false },
};
const PASSKEY = {
  ...{ id: 'AbC', key: new Uint8Array([1, 2]), account: 'zoe', name: 'phone', host: 'localhost' },
  ...{ counter: 3, made: NOW, used: 0 },
};

let folder: string;
let from: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-copy-'));
  from = join(folder, 'log.db.accounts');
  const store = openAccounts(from);
  store.put(ZOE);
  store.putSession({ hash: 'b'.repeat(64), account: 'zoe', began: NOW, used: NOW, proved: NOW });
  store.putToken(TOKEN);
  store.putPasskey(PASSKEY);
  store.close();
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

it.each(['tokens', 'passkeys'] as const)('a backup has no %s, which may have ended since', (what) => {
  const to = join(folder, 'copy');
  copyAccounts(from, to);
  const copy = openAccounts(to);
  expect([copy[what](), copy.session('b'.repeat(64))]).toEqual([[], undefined]);
  copy.close();
});

it('a backup has no one-time code, which may have been used since, not even on a free page', () => {
  const to = join(folder, 'copy');
  copyAccounts(from, to);
  const copy = openAccounts(to);
  expect(copy.of('zoe')).toEqual({ ...ZOE, code: '', codeUntil: 0 });
  copy.close();
  expect(readFileSync(to, 'latin1')).not.toContain(CODE);
});

it('another host that takes the place of theirs gets all but sessions', () => {
  const to = join(folder, 'taken');
  carryAccounts(from, to);
  const taken = openAccounts(to);
  expect([taken.of('zoe'), taken.tokens(), taken.passkeys()]).toEqual([ZOE, [TOKEN], [PASSKEY]]);
  expect(taken.session('b'.repeat(64))).toBeUndefined();
  taken.close();
});
