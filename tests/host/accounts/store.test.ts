// The file of the accounts while other programs change, lock, lose or damage it.
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'libsql';
import { afterEach, beforeEach, expect, it } from 'vitest';
import { Desk } from '../../../host/accounts/desk';
import { newToken } from '../../../host/accounts/password';
import { type AccountStore, openAccounts } from '../../../host/accounts/store';
import { OLDER_COOKIE, OLDER_FILE } from './olderFile';

const NOW = 1_800_000_000;
const ZOE = {
  ...{ id: 'zoe', name: 'Zoë Łuk', role: 'administrator' as const, password: 'set' },
  ...{ isDisabled: false, code: '', codeUntil: 0 },
} as const;

let folder: string;
let file: string;
let store: AccountStore;
const token = newToken();
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'nightproof-accounts-'));
  file = join(folder, 'log.db.accounts');
  store = openAccounts(file);
  store.put(ZOE);
  store.putSession({ hash: token.hash, account: 'zoe', began: NOW, used: NOW, proved: NOW });
});
afterEach(() => {
  store.close();
  rmSync(folder, { recursive: true, force: true });
});

function newDesk(of: AccountStore, now = NOW): Desk {
  const madeBefore = new Set(['zoe']);
  return new Desk({ store: of, clock: { nowMs: () => now * 1000 }, madeBefore, enter: async () => {} });
}

it('is read again when another program has changed it', () => {
  const other = openAccounts(file);
  expect(other.of('zoe')?.name).toBe('Zoë Łuk');
  store.change(() => {
    store.put({ ...ZOE, name: 'Zoë Vail' });
    store.endSessions('zoe');
  });
  expect(other.of('zoe')?.name).toBe('Zoë Vail');
  expect(newDesk(other).guest(token.token)).toBeUndefined();
  other.close();
});

it('is brought forward from before there were tokens, passkeys and buildings, with all that is in it', async () => {
  store.close();
  writeFileSync(file, OLDER_FILE);
  store = openAccounts(file);
  const desk = newDesk(store);
  expect([store.trouble(), store.any(), store.tokens(), store.passkeys()]).toEqual(['', true, [], []]);
  expect(desk.list()).toEqual([
    { id: 'ida', name: 'Ida Orr', role: 'electrician', at: {}, state: 'disabled' },
    { id: 'zoe', name: 'Zoë Łuk', role: 'administrator', at: {}, state: 'active' },
  ]);
  expect(store.owed()).toMatchObject([{ by: { id: 'zoe' }, change: { account: 'ida', did: 'made' } }]);
  expect(desk.guest(OLDER_COOKIE)?.person.id).toBe('zoe');
  const wish = { account: 'zoe', password: 'five llamas hum at dusk' };
  expect((await desk.signIn(wish, { address: '192.0.2.7', device: '' })).ok).toBe(true);
  store.put({ ...ZOE, at: { annex: 'viewer' } });
  const passkey = { account: 'zoe', name: 'phone', host: 'localhost', counter: 3, made: NOW, used: 0 };
  store.putPasskey({ id: 'AbC-_', key: new Uint8Array([0, 165, 255]), ...passkey });
  const other = openAccounts(file);
  expect(other.passkey('AbC-_')).toEqual({ id: 'AbC-_', key: new Uint8Array([0, 165, 255]), ...passkey });
  expect(other.of('zoe')?.at).toEqual({ annex: 'viewer' });
  other.close();
});

it.each(['tokens', 'passkeys', 'roles'])('is brought forward where only its %s are missing', (table) => {
  store.close();
  const old = new Database(file);
  old.exec(`DROP TABLE ${table}`);
  old.close();
  store = openAccounts(file);
  expect([store.of('zoe'), store.tokens(), store.passkeys()]).toEqual([ZOE, [], []]);
});

it('ends no session while it is locked, gone or damaged, and asks for no restart when it is back', () => {
  const desk = newDesk(store, NOW + 120);
  expect(desk.guest(token.token)?.person.id).toBe('zoe');
  const other = new Database(file);
  other.exec('BEGIN EXCLUSIVE');
  expect(desk.guest(token.token)?.person.id).toBe('zoe');
  other.exec('COMMIT');
  other.close();
  rmSync(file);
  expect(desk.guest(token.token)?.person.id).toBe('zoe');
  expect(() => store.put(ZOE)).toThrow('it is gone; restore it from your backup');
  writeFileSync(file, 'not a database, but long enough to be looked at as if it were one'.repeat(20));
  expect(desk.guest(token.token)?.person.id).toBe('zoe');
});

it('that is lost or damaged at the start lets nobody in, and says what to do', () => {
  for (const damage of [() => rmSync(file), () => writeFileSync(file, 'no accounts'.repeat(200))]) {
    damage();
    const again = openAccounts(file);
    const desk = newDesk(again);
    expect(desk.asks()).toBe(true);
    expect(desk.guest(token.token)).toBeUndefined();
    expect(desk.trouble()).toMatch(/Restore that file from your backup, or make an administrator/);
    again.close();
  }
  rmSync(file);
  const anew = openAccounts(file);
  anew.put({ ...ZOE, id: 'ida' });
  expect(newDesk(anew).trouble()).toBe('');
  anew.close();
});
