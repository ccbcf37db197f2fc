// Where people sign in, and where accounts are changed: the decisions of this folder on the store. A change is in the
// log book before it holds.
import type {
  AccountChange,
  AccountOutcome,
  AccountRequest,
  AccountView,
  CodeRequest,
  Person,
  SignInRequest,
} from '../api/accounts';
import { type HostClock, nowSec, risingMs } from '../clock';
import {
  type Account,
  CODE_SEC,
  type Decided,
  decideAdd,
  decideCode,
  decideDisabled,
  decideRole,
  stateOf,
  tidyId,
  viewOf,
  withPassword,
} from './account';
import {
  codeHash,
  hashPassword,
  isPassword,
  newCode,
  newToken,
  passwordRefusal,
  tokenHash,
} from './password';
import { type Attempt, Patience } from './patience';
import { isAlive, isProved, LIFE_SEC, usedAgain } from './session';
import type { AccountStore, Session } from './store';

/** Who signs an entry of the log book. */
export type Signer = Pick<Person, 'id' | 'name'>;

export interface DeskOptions {
  store: AccountStore;
  clock: HostClock;
  /** Writes a change into the log book, durable once it resolves. */
  enter(change: AccountChange, by: Signer): Promise<void>;
  /** Hash of the code that makes the first administrator; '' for none. */
  firstCode?: string;
}

/** Somebody with a session. */
export interface Guest {
  person: Person;
  session: Session;
}

/** What comes of an attempt to sign in: the cookies to set, or for how long not to try again. */
export interface Entry extends AccountOutcome {
  waitSec?: number;
  token?: string;
  /** Of a device on which this account has now signed in. */
  device?: string;
}

/** A hash of no password, so that an unknown account takes as long to refuse as a known one. */
let nobody: Promise<string> | undefined;
/** Passwords that may wait to be checked at once: each takes 19 MiB and a tenth of a second. */
const CHECKS_MAX = 8;

const WRONG = 'Account or password is wrong.';
const refused = (answer: string): AccountOutcome => ({ ok: false, answer });

function waitWords(sec: number): string {
  const time = sec < 90 ? `${sec} s` : `${Math.ceil(sec / 60)} minutes`;
  return `Too many wrong attempts from here; try again in ${time}.`;
}

export class Desk {
  private readonly patience = new Patience();
  private checks = 0;
  private turn: Promise<unknown> = Promise.resolve();

  constructor(private readonly o: DeskOptions) {}

  /** False while there is no account, and none has to be made before anything else: then nobody has to sign in. */
  asks(): boolean {
    return this.o.store.any() || this.awaitsFirst();
  }

  /** True while the first administrator may be made with the printed code. */
  awaitsFirst(): boolean {
    return Boolean(this.o.firstCode) && !this.o.store.any();
  }

  /** Who has this cookie; undefined without a session. @param isUse false for what only looks whether it lasts */
  guest(token: string, isUse = true): Guest | undefined {
    if (token === '') return undefined;
    const { store } = this.o;
    const session = store.session(tokenHash(token));
    const account = session && store.of(session.account);
    const now = this.now();
    if (!account || stateOf(account) !== 'active' || !isAlive(session, now)) return undefined;
    const used = isUse ? usedAgain(session, now) : undefined;
    if (used) this.note(used);
    const { id, name, role } = account;
    return { person: { id, name, role }, session: used ?? session };
  }

  private note(session: Session): void {
    try {
      this.o.store.putSession(session);
    } catch {
      // A full disk ends no session: somebody may have to restore a supply.
    }
  }

  isProved({ session }: Guest): boolean {
    return isProved(session, this.now());
  }

  /** @param from network address, and the cookie of the device */
  async signIn(wish: SignInRequest, from: { address: string; device: string }): Promise<Entry> {
    const id = tidyId(wish.account);
    const device = from.device === '' ? '' : tokenHash(from.device);
    const isKnown = this.o.store.deviceOf(device) === id;
    const attempt = { account: id, address: from.address, device: isKnown ? device : '' };
    const right = await this.tried(attempt, () => this.fits(this.o.store.of(id), wish.password));
    if (right !== true) return right;
    return this.begin(id, isKnown ? from.device : '');
  }

  /** Takes a one-time code, and the password its owner chooses; the code is used up. */
  async useCode(wish: CodeRequest, from: { address: string }): Promise<Entry> {
    const { store, firstCode } = this.o;
    const id = tidyId(wish.account);
    const hash = codeHash(wish.code);
    const isFirst = this.awaitsFirst() && hash === firstCode;
    const has = (account: Account | undefined): boolean =>
      account !== undefined &&
      !account.isDisabled &&
      account.code === hash &&
      account.codeUntil >= this.now();
    // Others cannot use up the attempts of somebody with a code.
    const attempt = { account: 'code', address: from.address, device: `code ${from.address}` };
    const right = await this.tried(attempt, async () => isFirst || has(store.of(id)));
    if (right !== true)
      return right.answer === WRONG
        ? refused('Account or code is wrong, or the code was used or is too old.')
        : right;
    const wrong = passwordRefusal(wish.password, [id, wish.name ?? '', store.of(id)?.name ?? '']);
    if (wrong !== '') return refused(wrong);
    const password = await hashPassword(wish.password);
    const done = await this.inTurn(async () => {
      if (isFirst) return this.makeFirst(wish, password);
      const account = store.of(id);
      return account && has(account)
        ? this.hold(withPassword(account, password), account)
        : refused('The code was used meanwhile.');
    });
    return done.ok ? this.begin(id, '') : done;
  }

  /** The password once more; the session then counts as proved for some minutes. */
  async prove(guest: Guest, password: string, address: string): Promise<Entry> {
    const { person, session } = guest;
    const attempt = { account: person.id, address, device: session.hash };
    const right = await this.tried(attempt, () => this.fits(this.o.store.of(person.id), password));
    if (right !== true) return right.answer === WRONG ? refused('The password is wrong.') : right;
    this.o.store.putSession({ ...session, proved: this.now() });
    return { ok: true, answer: 'Thank you.' };
  }

  /** Ends the session, or all of its account. */
  signOut({ session }: Guest, everywhere: boolean): void {
    if (everywhere) this.o.store.endSessions(session.account);
    else this.o.store.endSession(session.hash);
  }

  /** A new password for whoever is signed in; every other session of the account ends. */
  async changePassword(
    guest: Guest,
    { old, password }: { old: string; password: string },
    address: string,
  ): Promise<Entry> {
    const proved = await this.prove(guest, old, address);
    if (!proved.ok) return proved;
    const { person } = guest;
    const wrong = passwordRefusal(password, [person.id, person.name]);
    if (wrong !== '') return refused(wrong);
    const hash = await hashPassword(password);
    const done = await this.inTurn(async () => {
      const account = this.o.store.of(person.id);
      return account ? this.hold(withPassword(account, hash), person) : refused(WRONG);
    });
    return done.ok ? { ...this.begin(person.id, ''), answer: 'The new password holds from now on.' } : done;
  }

  list(): AccountView[] {
    return this.o.store.all().map(viewOf);
  }

  /** Changes an account on behalf of an administrator, or of somebody at the host's own machine. */
  change(wish: AccountRequest, by: Signer): Promise<AccountOutcome> {
    return this.inTurn(async () => {
      const code = newCode();
      const decided = this.decide(wish, { hash: codeHash(code), until: this.now() + CODE_SEC });
      const done = await this.hold(decided, by);
      return done.ok && (wish.do === 'make' || wish.do === 'code') ? { ...done, code } : done;
    });
  }

  private decide(wish: AccountRequest, code: { hash: string; until: number }): Decided {
    const all = this.o.store.all();
    if (wish.do === 'make')
      return decideAdd(all, { id: wish.account, name: wish.name, role: wish.role }, code);
    if (wish.do === 'role') return decideRole(all, wish.account, wish.role);
    if (wish.do === 'code') return decideCode(all, wish.account, code);
    return decideDisabled(all, wish.account, wish.do === 'disable');
  }

  private async makeFirst(
    { account: id, name = '' }: CodeRequest,
    password: string,
  ): Promise<AccountOutcome> {
    if (!this.awaitsFirst()) return refused('There are accounts already; ask an administrator for one.');
    const none = { hash: '', until: 0 };
    const made = decideAdd([], { id, name, role: 'administrator' }, none);
    if ('refusals' in made) return refused(made.refusals.join(' '));
    return this.hold({ ...made, account: { ...made.account, password } }, made.account);
  }

  /** Has a decision hold: first in the log book, then in the store. What rested on the account's old state ends. */
  private async hold(decided: Decided, by: Signer): Promise<AccountOutcome> {
    if ('refusals' in decided) return refused(decided.refusals.join(' '));
    const { account, change } = decided;
    try {
      await this.o.enter(change, by);
      this.o.store.put(account);
      if (change.did !== 'role') this.o.store.endSessions(account.id);
    } catch (error) {
      return refused(`Nothing was changed. ${(error as Error).message}`);
    }
    return { ok: true, answer: `Done, and entered in the log book: account ${account.id}.` };
  }

  /** A new session, with a new cookie whatever the browser had before. */
  private begin(id: string, device: string): Entry {
    const { store } = this.o;
    const { token, hash } = newToken();
    const now = this.now();
    store.thinSessions(now - LIFE_SEC);
    store.putSession({ hash, account: id, began: now, used: now, proved: now });
    if (device !== '') return { ok: true, answer: 'Signed in.', token };
    const fresh = newToken();
    store.putDevice(fresh.hash, id, now);
    return { ok: true, answer: 'Signed in.', token, device: fresh.token };
  }

  /** Makes an attempt if it may be made now. */
  private async tried(attempt: Attempt, isRight: () => Promise<boolean>): Promise<true | Entry> {
    const up = risingMs(this.o.clock) / 1000;
    const waitSec = this.patience.wait(attempt, up);
    if (waitSec > 0) return { ...refused(waitWords(waitSec)), waitSec };
    if (this.checks >= CHECKS_MAX)
      return {
        ...refused('Too many people are signing in at once; try again in a few seconds.'),
        waitSec: 3,
      };
    this.patience.begin(attempt, up);
    this.checks++;
    try {
      if (!(await isRight())) return refused(WRONG);
      this.patience.right(attempt);
      return true;
    } finally {
      this.checks--;
    }
  }

  private async fits(account: Account | undefined, password: string): Promise<boolean> {
    nobody ??= hashPassword(newCode());
    const isKnown = account !== undefined && stateOf(account) === 'active';
    return (await isPassword(password, isKnown ? account.password : await nobody)) && isKnown;
  }

  /** Changes are made one after the other. */
  private inTurn<T>(work: () => Promise<T>): Promise<T> {
    const done = this.turn.then(work);
    this.turn = done.catch(() => {});
    return done;
  }

  private now(): number {
    return nowSec(this.o.clock);
  }
}
