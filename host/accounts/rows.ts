// The tables of the accounts file.
import Database from 'libsql';
import type { Role } from '../api/accounts';
import type { TokenScope } from '../api/tokens';
import type { Db } from '../sqlite';
import type { Account, OwedEntry } from './account';
import type { Passkey } from './passkeys';
import type { Session } from './session';
import type { AccessToken } from './token';

export const MEMORY = ':memory:';
/** "NPAC": marks the file as ours. */
const APPLICATION_ID = 0x4e504143;
/** Devices kept for one account; the oldest go first. */
const DEVICES_MAX = 20;

// Texts as BLOB: a flipped bit in a TEXT column ends the process inside the driver.
const SCHEMA = `
CREATE TABLE IF NOT EXISTS accounts (
  id BLOB PRIMARY KEY, name BLOB NOT NULL, role BLOB NOT NULL, disabled INTEGER NOT NULL,
  password BLOB NOT NULL, code BLOB NOT NULL, code_until INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS sessions (
  hash BLOB PRIMARY KEY, account BLOB NOT NULL, began INTEGER NOT NULL, used INTEGER NOT NULL, proved INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS devices (
  id INTEGER PRIMARY KEY, hash BLOB NOT NULL UNIQUE, account BLOB NOT NULL, at INTEGER NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS owed (
  n INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, entry BLOB NOT NULL
) STRICT;
CREATE TABLE IF NOT EXISTS tokens (
  hash BLOB PRIMARY KEY, id BLOB NOT NULL UNIQUE, name BLOB NOT NULL, scope BLOB NOT NULL, maker BLOB NOT NULL,
  made INTEGER NOT NULL, until INTEGER NOT NULL, used INTEGER NOT NULL, withdrawn INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS passkeys (
  id BLOB PRIMARY KEY, account BLOB NOT NULL, name BLOB NOT NULL, key BLOB NOT NULL, counter INTEGER NOT NULL,
  host BLOB NOT NULL, made INTEGER NOT NULL, used INTEGER NOT NULL
) STRICT, WITHOUT ROWID;
CREATE TABLE IF NOT EXISTS roles (
  account BLOB NOT NULL, building BLOB NOT NULL, role BLOB NOT NULL, PRIMARY KEY (account, building)
) STRICT, WITHOUT ROWID;
PRAGMA application_id = ${APPLICATION_ID};
`;
const TABLES = [...SCHEMA.matchAll(/EXISTS (\w+)/g)].map(([, table]) => table);

type Row = Record<string, unknown>;

const blob = (text: string): Buffer => Buffer.from(text);
const textOf = (value: unknown): string => Buffer.from(value as Uint8Array).toString('utf8');

function prepare(db: Db): void {
  db.pragma('journal_mode = DELETE');
  db.pragma('synchronous = EXTRA');
  const [{ application_id: mark }] = db.pragma('application_id') as Row[];
  const tables = db.prepare('SELECT name FROM sqlite_master').all() as Row[];
  if (tables.length > 0 && mark !== APPLICATION_ID) throw new Error('it is the database of another program');
  const present = new Set(tables.map(({ name }) => name));
  if (!TABLES.every((table) => present.has(table))) db.exec(`BEGIN IMMEDIATE; ${SCHEMA} COMMIT;`);
  const [{ quick_check: verdict }] = db.pragma('quick_check(1)') as Row[];
  if (verdict !== 'ok') throw new Error('it is damaged; restore it from your backup, or move it away');
}

/** @throws Error if it is damaged, foreign or cannot be opened */
export function openFile(file: string, timeout: number): Db {
  const db = new Database(file, { timeout });
  try {
    prepare(db);
    return db;
  } catch (error) {
    db.close();
    throw error;
  }
}

function accountOf(row: Row, roles: readonly Row[]): Account {
  const id = textOf(row.id);
  const own = roles.filter(({ account }) => textOf(account) === id);
  const at = Object.fromEntries(own.map(({ building, role }) => [textOf(building), textOf(role) as Role]));
  return {
    ...(own.length > 0 && { at }),
    ...{ id, name: textOf(row.name), role: textOf(row.role) as Role },
    isDisabled: row.disabled !== 0,
    ...{ password: textOf(row.password), code: textOf(row.code), codeUntil: row.code_until as number },
  };
}

function sessionOf(row: Row): Session {
  const { began, used, proved } = row as unknown as Session;
  return { hash: textOf(row.hash), account: textOf(row.account), began, used, proved };
}

function tokenOf(row: Row): AccessToken {
  const { made, until, used } = row as unknown as AccessToken;
  return {
    ...{ hash: textOf(row.hash), id: textOf(row.id), name: textOf(row.name), by: textOf(row.maker) },
    ...{ scope: textOf(row.scope) as TokenScope, made, until, used, isWithdrawn: row.withdrawn !== 0 },
  };
}

function passkeyOf(row: Row): Passkey {
  const { counter, made, used } = row as unknown as Passkey;
  return {
    ...{ id: textOf(row.id), account: textOf(row.account), name: textOf(row.name), host: textOf(row.host) },
    ...{ key: new Uint8Array(row.key as Uint8Array), counter, made, used },
  };
}

function owedOf(row: Row): OwedEntry {
  const { by, change } = JSON.parse(textOf(row.entry)) as Omit<OwedEntry, 'id'>;
  return { id: textOf(row.id), by, change };
}

export type Rows = ReturnType<typeof rowsOf>;

// A lone Buffer would be taken for named values, hence the lists.
export function rowsOf(db: Db) {
  const all = db.prepare('SELECT * FROM accounts ORDER BY id');
  const put = db.prepare('INSERT OR REPLACE INTO accounts VALUES (?, ?, ?, ?, ?, ?, ?)');
  const roles = db.prepare('SELECT * FROM roles');
  const putRole = db.prepare('INSERT INTO roles VALUES (?, ?, ?)');
  const endRoles = db.prepare('DELETE FROM roles WHERE account = ?');
  const sessions = db.prepare('SELECT * FROM sessions');
  const putSession = db.prepare('INSERT OR REPLACE INTO sessions VALUES (?, ?, ?, ?, ?)');
  const use = db.prepare('UPDATE sessions SET used = ? WHERE hash = ?');
  const end = db.prepare('DELETE FROM sessions WHERE hash = ?');
  const endAll = db.prepare('DELETE FROM sessions WHERE account = ?');
  const thin = db.prepare('DELETE FROM sessions WHERE began < ?');
  const devices = db.prepare('SELECT hash, account FROM devices');
  const putDevice = db.prepare('INSERT INTO devices (hash, account, at) VALUES (?, ?, ?)');
  const thinDevices = db.prepare(
    `DELETE FROM devices WHERE account = ?1 AND id NOT IN (
      SELECT id FROM devices WHERE account = ?1 ORDER BY id DESC LIMIT ${DEVICES_MAX})`,
  );
  const owed = db.prepare('SELECT id, entry FROM owed ORDER BY n');
  const owe = db.prepare('INSERT INTO owed (id, entry) VALUES (?, ?)');
  const paid = db.prepare('DELETE FROM owed WHERE id = ?');
  const tokens = db.prepare('SELECT * FROM tokens ORDER BY made, id');
  const putToken = db.prepare('INSERT OR REPLACE INTO tokens VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)');
  const useToken = db.prepare('UPDATE tokens SET used = ? WHERE hash = ?');
  const thinTokens = db.prepare('DELETE FROM tokens WHERE until < ?');
  const passkeys = db.prepare('SELECT * FROM passkeys ORDER BY made, id');
  const putPasskey = db.prepare('INSERT OR REPLACE INTO passkeys VALUES (?, ?, ?, ?, ?, ?, ?, ?)');
  const removePasskey = db.prepare('DELETE FROM passkeys WHERE id = ?');
  const removePasskeys = db.prepare('DELETE FROM passkeys WHERE account = ?');
  return {
    passkeys: () => (passkeys.all() as Row[]).map(passkeyOf),
    putPasskey({ id, account, name, key, counter, host, made, used }: Passkey) {
      const [a, b, c, d] = [id, account, name, host].map(blob);
      putPasskey.run(a, b, c, Buffer.from(key), counter, d, made, used);
    },
    removePasskey: (id: string) => void removePasskey.run([blob(id)]),
    removePasskeys: (account: string) => void removePasskeys.run([blob(account)]),
    tokens: () => (tokens.all() as Row[]).map(tokenOf),
    putToken({ hash, id, name, scope, by, made, until, used, isWithdrawn }: AccessToken) {
      const [a, b, c, d, e] = [hash, id, name, scope, by].map(blob);
      putToken.run(a, b, c, d, e, made, until, used, isWithdrawn ? 1 : 0);
    },
    useToken: ({ hash, used }: AccessToken) => void useToken.run(used, blob(hash)),
    thinTokens: (before: number) => void thinTokens.run(before),
    accounts() {
      const granted = roles.all() as Row[];
      return (all.all() as Row[]).map((row) => accountOf(row, granted));
    },
    put({ id, name, role, at = {}, isDisabled, password, code, codeUntil }: Account) {
      const [a, b, c, d, e] = [id, name, role, password, code].map(blob);
      put.run(a, b, c, isDisabled ? 1 : 0, d, e, codeUntil);
      endRoles.run([a]);
      for (const [building, one] of Object.entries(at)) putRole.run(a, blob(building), blob(one));
    },
    sessions: () => (sessions.all() as Row[]).map(sessionOf),
    putSession: ({ hash, account, began, used, proved }: Session) =>
      void putSession.run(blob(hash), blob(account), began, used, proved),
    use: ({ hash, used }: Session) => void use.run(used, blob(hash)),
    endSession: (hash: string) => void end.run([blob(hash)]),
    endSessions: (account: string) => void endAll.run([blob(account)]),
    thinSessions: (before: number) => void thin.run(before),
    devices: () =>
      (devices.all() as Row[]).map((row): [string, string] => [textOf(row.hash), textOf(row.account)]),
    putDevice(hash: string, account: string, at: number) {
      putDevice.run(blob(hash), blob(account), at);
      thinDevices.run([blob(account)]);
    },
    owed: () => (owed.all() as Row[]).map(owedOf),
    owe: ({ id, by, change }: OwedEntry) => void owe.run(blob(id), blob(JSON.stringify({ by, change }))),
    paid: (id: string) => void paid.run([blob(id)]),
  };
}
