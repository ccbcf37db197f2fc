// Accounts, sessions and known devices, in a file of their own beside the log book. Of passwords, codes and cookies it
// holds only hashes. Each commit is on the disk before anyone hears of it.
import { closeSync, existsSync, openSync } from 'node:fs';
import Database from 'libsql';
import type { Role } from '../api/accounts';
import type { Db } from '../sqlite';
import type { Account } from './account';

export interface Session {
  /** Hash of its cookie. */
  hash: string;
  account: string;
  /** UTC seconds: when it began, was last used, and when the password was last given. */
  began: number;
  used: number;
  proved: number;
}

export interface AccountStore {
  /** True once there is an account: from then on the page asks who is there. */
  any(): boolean;
  /** By id. */
  all(): Account[];
  of(id: string): Account | undefined;
  put(account: Account): void;
  session(hash: string): Session | undefined;
  putSession(session: Session): void;
  endSession(hash: string): void;
  /** Ends all of an account. */
  endSessions(account: string): void;
  /** Forgets sessions that began before a UTC second. */
  thinSessions(before: number): void;
  /** The account that has signed in on a device before; by the hash of the device's cookie. */
  deviceOf(hash: string): string | undefined;
  putDevice(hash: string, account: string, at: number): void;
  close(): void;
}

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
PRAGMA application_id = ${APPLICATION_ID};
`;

type Row = Record<string, unknown>;

const blob = (text: string): Buffer => Buffer.from(text);
const textOf = (value: unknown): string => Buffer.from(value as Uint8Array).toString('utf8');

const MEMORY = ':memory:';

/** Path of the accounts that belong to a log book's file. */
export function accountsFileOf(db: string): string {
  return db === MEMORY ? db : `${db}.accounts`;
}

function prepare(db: Db): void {
  db.pragma('journal_mode = DELETE');
  db.pragma('synchronous = EXTRA');
  const [{ application_id: mark }] = db.pragma('application_id') as Row[];
  const [{ n }] = db.prepare('SELECT count(*) AS n FROM sqlite_master').all() as Row[];
  if (n === 0) db.exec(`BEGIN IMMEDIATE; ${SCHEMA} COMMIT;`);
  else if (mark !== APPLICATION_ID) throw new Error('it is the database of another program');
  const [{ quick_check: verdict }] = db.pragma('quick_check(1)') as Row[];
  if (verdict !== 'ok') throw new Error('it is damaged; restore it from your backup, or move it away');
}

function opened(file: string): AccountStore {
  let db: Db | undefined;
  try {
    // Before SQLite does: only its owner may read it.
    if (file !== MEMORY) closeSync(openSync(file, 'a', 0o600));
    db = new Database(file, { timeout: 5000 });
    prepare(db);
    return storeOf(db);
  } catch (error) {
    db?.close();
    throw new Error(`The accounts in ${file} cannot be used: ${(error as Error).message}.`);
  }
}

/**
 * The accounts in a file, which is made with the first of them; another program may make it meanwhile.
 * @throws Error with one sentence, now or later, if the file is damaged, foreign or cannot be opened
 */
export function openAccounts(file: string): AccountStore {
  let store = file === MEMORY || existsSync(file) ? opened(file) : undefined;
  const written = (): AccountStore => {
    store ??= opened(file);
    return store;
  };
  const read = (): AccountStore | undefined => store ?? (existsSync(file) ? written() : undefined);
  return {
    any: () => read()?.any() ?? false,
    all: () => read()?.all() ?? [],
    of: (id) => read()?.of(id),
    put: (account) => written().put(account),
    session: (hash) => read()?.session(hash),
    putSession: (session) => written().putSession(session),
    endSession: (hash) => read()?.endSession(hash),
    endSessions: (account) => read()?.endSessions(account),
    thinSessions: (before) => read()?.thinSessions(before),
    deviceOf: (hash) => read()?.deviceOf(hash),
    putDevice: (hash, account, at) => written().putDevice(hash, account, at),
    close: () => store?.close(),
  };
}

function accountOf(row: Row): Account {
  return {
    ...{ id: textOf(row.id), name: textOf(row.name), role: textOf(row.role) as Role },
    isDisabled: row.disabled !== 0,
    ...{ password: textOf(row.password), code: textOf(row.code), codeUntil: row.code_until as number },
  };
}

function sessionOf(row: Row): Session {
  const { began, used, proved } = row as unknown as Session;
  return { hash: textOf(row.hash), account: textOf(row.account), began, used, proved };
}

// A lone Buffer would be taken for named values, hence the lists.
function storeOf(db: Db): AccountStore {
  const any = db.prepare('SELECT 1 AS one FROM accounts LIMIT 1');
  const all = db.prepare('SELECT * FROM accounts ORDER BY id');
  const of = db.prepare('SELECT * FROM accounts WHERE id = ?');
  const put = db.prepare('INSERT OR REPLACE INTO accounts VALUES (?, ?, ?, ?, ?, ?, ?)');
  const session = db.prepare('SELECT * FROM sessions WHERE hash = ?');
  const putSession = db.prepare('INSERT OR REPLACE INTO sessions VALUES (?, ?, ?, ?, ?)');
  const end = db.prepare('DELETE FROM sessions WHERE hash = ?');
  const endAll = db.prepare('DELETE FROM sessions WHERE account = ?');
  const thin = db.prepare('DELETE FROM sessions WHERE began < ?');
  const device = db.prepare('SELECT account FROM devices WHERE hash = ?');
  const putDevice = db.prepare('INSERT INTO devices (hash, account, at) VALUES (?, ?, ?)');
  const thinDevices = db.prepare(
    `DELETE FROM devices WHERE account = ?1 AND id NOT IN (
      SELECT id FROM devices WHERE account = ?1 ORDER BY id DESC LIMIT ${DEVICES_MAX})`,
  );
  return {
    any: () => any.get() !== undefined,
    all: () => (all.all() as Row[]).map(accountOf),
    of(id) {
      const row = of.get([blob(id)]) as Row | undefined;
      return row && accountOf(row);
    },
    put({ id, name, role, isDisabled, password, code, codeUntil }) {
      const [a, b, c, d, e] = [id, name, role, password, code].map(blob);
      put.run(a, b, c, isDisabled ? 1 : 0, d, e, codeUntil);
    },
    session(hash) {
      const row = session.get([blob(hash)]) as Row | undefined;
      return row && sessionOf(row);
    },
    putSession: ({ hash, account, began, used, proved }) =>
      void putSession.run(blob(hash), blob(account), began, used, proved),
    endSession: (hash) => void end.run([blob(hash)]),
    endSessions: (account) => void endAll.run([blob(account)]),
    thinSessions: (before) => void thin.run(before),
    deviceOf(hash) {
      const row = device.get([blob(hash)]) as Row | undefined;
      return row && textOf(row.account);
    },
    putDevice(hash, account, at) {
      putDevice.run(blob(hash), blob(account), at);
      thinDevices.run([blob(account)]);
    },
    close: () => void db.close(),
  };
}
