// Accounts, sessions and known devices, in a file of their own beside the log book. Of passwords, codes and cookies it
// holds only hashes. Each commit is on the disk before anyone hears of it. All is also held in memory, and read again
// when the file has changed: a file that is locked, gone or unreadable ends nobody's session.
import { closeSync, openSync, statSync } from 'node:fs';
import { besideOf } from '../beside';
import { systemClock } from '../clock';
import { type Db, inTransaction } from '../sqlite';
import type { Account, OwedEntry } from './account';
import type { Passkey } from './passkeys';
import { MEMORY, openFile, type Rows, rowsOf } from './rows';
import type { Session } from './session';
import type { AccessToken } from './token';

export interface AccountStore {
  /** True once an administrator can sign in: from then on the page asks who is there. */
  any(): boolean;
  /** By id. */
  all(): Account[];
  of(id: string): Account | undefined;
  session(hash: string): Session | undefined;
  /** The account that has signed in on a device before; by the hash of the device's cookie. */
  deviceOf(hash: string): string | undefined;
  /** Access tokens, oldest first, also those that are no longer good. */
  tokens(): AccessToken[];
  tokenOf(hash: string): AccessToken | undefined;
  passkeys(): Passkey[];
  passkey(id: string): Passkey | undefined;
  /** What the log book does not have yet, oldest first. */
  owed(): OwedEntry[];
  /** Why the file cannot be read or written, one sentence; '' if it can. */
  trouble(): string;
  /**
   * All that `work` reads and writes is one change of the file, which nobody else changes meanwhile.
   * @throws Error with one sentence if the file cannot be written, and what `work` throws; then nothing is changed
   */
  change<T>(work: () => T): T;
  put(account: Account): void;
  putSession(session: Session): void;
  /** Notes a use, in memory at least. A session that has ended meanwhile stays so. */
  use(session: Session): void;
  /** Keeps a session in memory only, where the file takes none; it ends with this program. */
  hold(session: Session): void;
  endSession(hash: string): void;
  /** Ends all of an account. */
  endSessions(account: string): void;
  /** Forgets sessions that began before a UTC second. */
  thinSessions(before: number): void;
  putDevice(hash: string, account: string, at: number): void;
  putToken(token: AccessToken): void;
  /** Notes a use, in memory at least. */
  useToken(token: AccessToken): void;
  /** Forgets access tokens that were good until before a UTC second. */
  thinTokens(before: number): void;
  putPasskey(passkey: Passkey): void;
  removePasskey(id: string): void;
  /** Removes all of an account. */
  removePasskeys(account: string): void;
  owe(entry: OwedEntry): void;
  paid(id: string): void;
  close(): void;
}

/** Path of the accounts that belong to a log book's file. */
export function accountsFileOf(db: string): string {
  return db === MEMORY ? db : `${besideOf(db)}.accounts`;
}

/** Nobody waits long for a file that another program writes: what is in memory serves. */
const READ_WAIT_MS = 20;
const WRITE_WAIT_MS = 3000;
/** After a file that could not be read, ms. */
const AGAIN_MS = 1000;
/** Two changes within this time may look alike from outside, ms: a kernel's clock ticks every 4 to 10. */
const TICK_MS = 200;

class Remembered implements AccountStore {
  private db: Db | undefined;
  private rows: Rows | undefined;
  /** Of the file as it was read last; '' to read it again. */
  private seen = '';
  private inode = 0n;
  private againMs = 0;
  private why = '';
  private accounts = new Map<string, Account>();
  private sessions = new Map<string, Session>();
  private devices = new Map<string, string>();
  private byId = new Map<string, Passkey>();
  private byHash = new Map<string, AccessToken>();
  private list: OwedEntry[] = [];
  private readonly held = new Map<string, Session>();

  constructor(private readonly file: string) {
    this.look();
  }

  /** Reads the file again if it has changed. */
  private look(): void {
    if (this.db?.inTransaction) {
      if (this.seen === '') this.load();
      return;
    }
    if (this.file === MEMORY) {
      if (this.rows && this.seen !== '') return;
      this.open();
      this.load();
      return;
    }
    const now = systemClock.nowMs();
    if (now < this.againMs) return;
    const stat = statSync(this.file, { bigint: true, throwIfNoEntry: false });
    if (!stat) {
      this.missed();
      return;
    }
    const isSettled = now - Number(stat.mtimeMs) > TICK_MS;
    const mark = `${stat.ino} ${stat.size} ${stat.mtimeNs}`;
    if (mark === this.seen) return;
    try {
      if (this.inode !== stat.ino) this.shut();
      this.open();
      this.inode = stat.ino;
      this.db?.pragma(`busy_timeout = ${READ_WAIT_MS}`);
      this.load();
      this.seen = isSettled ? mark : 'changing';
      this.why = '';
    } catch (error) {
      this.failed(error as Error);
      this.againMs = now + AGAIN_MS;
    } finally {
      this.db?.pragma(`busy_timeout = ${WRITE_WAIT_MS}`);
    }
  }

  /** Not there yet, or gone: what is in memory serves. */
  private missed(): void {
    if (this.inode !== 0n) this.failed(new Error('it is gone; restore it from your backup'));
  }

  private failed(error: Error): void {
    this.why = `The accounts in ${this.file} cannot be used: ${error.message}.`;
  }

  private open(): void {
    if (this.rows) return;
    this.db = openFile(this.file, WRITE_WAIT_MS);
    this.rows = rowsOf(this.db);
  }

  private shut(): void {
    this.db?.close();
    this.db = undefined;
    this.rows = undefined;
    this.seen = '';
  }

  private load(): void {
    const rows = this.rows!;
    const accounts = new Map(rows.accounts().map((one) => [one.id, one]));
    const sessions = new Map(rows.sessions().map((one) => [one.hash, one]));
    for (const [hash, one] of this.held) {
      // Its account must be as it was when it began.
      const [before, after] = [this.accounts.get(one.account), accounts.get(one.account)];
      if (before?.password === after?.password && after?.isDisabled === false) sessions.set(hash, one);
      else this.held.delete(hash);
    }
    for (const [hash, { used }] of this.sessions) {
      const one = sessions.get(hash);
      if (one && used > one.used) sessions.set(hash, { ...one, used });
    }
    this.devices = new Map(rows.devices());
    this.byHash = new Map(rows.tokens().map((one) => [one.hash, one]));
    this.byId = new Map(rows.passkeys().map((one) => [one.id, one]));
    this.list = rows.owed();
    [this.accounts, this.sessions, this.seen] = [accounts, sessions, 'read'];
  }

  /** Writes, and has the next question read the file again. */
  private write(work: (rows: Rows) => void): void {
    if (!this.db?.inTransaction) {
      // Before SQLite does: only its owner may read it.
      if (this.file !== MEMORY && this.inode === 0n) closeSync(openSync(this.file, 'a', 0o600));
      this.againMs = 0;
      this.look();
      if (this.why !== '') throw new Error(this.why);
    }
    if (!this.rows) throw new Error(this.why);
    this.seen = '';
    work(this.rows);
  }

  change<T>(work: () => T): T {
    this.write(() => {});
    try {
      return inTransaction(this.db!, work);
    } finally {
      this.seen = '';
    }
  }

  any(): boolean {
    const all = this.all();
    return all.some((one) => one.role === 'administrator' && one.password !== '' && !one.isDisabled);
  }

  all(): Account[] {
    this.look();
    return [...this.accounts.values()];
  }

  of(id: string): Account | undefined {
    this.look();
    return this.accounts.get(id);
  }

  session(hash: string): Session | undefined {
    this.look();
    return this.sessions.get(hash);
  }

  deviceOf(hash: string): string | undefined {
    this.look();
    return this.devices.get(hash);
  }

  tokens(): AccessToken[] {
    this.look();
    return [...this.byHash.values()];
  }

  tokenOf(hash: string): AccessToken | undefined {
    this.look();
    return this.byHash.get(hash);
  }

  passkeys(): Passkey[] {
    this.look();
    return [...this.byId.values()];
  }

  passkey(id: string): Passkey | undefined {
    this.look();
    return this.byId.get(id);
  }

  owed(): OwedEntry[] {
    this.look();
    return this.list;
  }

  trouble(): string {
    this.look();
    return this.why;
  }

  put(account: Account): void {
    this.write((rows) => rows.put(account));
  }

  putSession(session: Session): void {
    this.write((rows) => rows.putSession(session));
  }

  use(session: Session): void {
    this.sessions.set(session.hash, session);
    if (this.held.has(session.hash)) return void this.held.set(session.hash, session);
    this.note((rows) => rows.use(session));
  }

  /** Writes what may be lost: a full or locked disk ends no session, for somebody may have to restore a supply. */
  private note(work: (rows: Rows) => void): void {
    if (!this.rows) return;
    try {
      this.db?.pragma(`busy_timeout = ${READ_WAIT_MS}`);
      work(this.rows);
    } catch {
      // Memory has it.
    } finally {
      this.db?.pragma(`busy_timeout = ${WRITE_WAIT_MS}`);
    }
  }

  useToken(token: AccessToken): void {
    this.byHash.set(token.hash, token);
    this.note((rows) => rows.useToken(token));
  }

  putPasskey(passkey: Passkey): void {
    this.write((rows) => rows.putPasskey(passkey));
  }

  removePasskey(id: string): void {
    this.write((rows) => rows.removePasskey(id));
  }

  removePasskeys(account: string): void {
    this.write((rows) => rows.removePasskeys(account));
  }

  putToken(token: AccessToken): void {
    this.write((rows) => rows.putToken(token));
  }

  thinTokens(before: number): void {
    this.write((rows) => rows.thinTokens(before));
  }

  hold(session: Session): void {
    this.held.set(session.hash, session);
    this.sessions.set(session.hash, session);
  }

  endSession(hash: string): void {
    this.held.delete(hash);
    this.sessions.delete(hash);
    this.write((rows) => rows.endSession(hash));
  }

  endSessions(account: string): void {
    for (const [hash, one] of this.held) if (one.account === account) this.held.delete(hash);
    this.write((rows) => rows.endSessions(account));
  }

  thinSessions(before: number): void {
    this.write((rows) => rows.thinSessions(before));
  }

  putDevice(hash: string, account: string, at: number): void {
    this.write((rows) => rows.putDevice(hash, account, at));
  }

  owe(entry: OwedEntry): void {
    this.write((rows) => rows.owe(entry));
  }

  paid(id: string): void {
    this.write((rows) => rows.paid(id));
  }

  close(): void {
    this.shut();
  }
}

/** The accounts in a file, which is made with the first of them; another program may make or change it meanwhile. */
export function openAccounts(file: string): AccountStore {
  return new Remembered(file);
}
