// Where people sign in, and where accounts are changed: the decisions of this folder on the store. A change is stored
// together with the entry that the log book is to have of it, and the log book gets that at once, or as soon as it can.
import type {
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
import { Changes, type ChangesOptions, ENDED, refusal, refused, type Signer } from './changes';
import type { Grants } from './grants';
import { Passkeys, type Place } from './passkeys';
import {
  codeHash,
  hashPassword,
  isPassword,
  newCode,
  newToken,
  passwordRefusal,
  tokenHash,
} from './password';
import { type Attempt, networkOf, Patience } from './patience';
import { isAlive, isProved, LIFE_SEC, type Session, usedAgain } from './session';
import { Tokens } from './tokens';

export interface DeskOptions extends ChangesOptions {
  clock: HostClock;
  /** Ids of the accounts of which the log book says that they were made. */
  madeBefore?: ReadonlySet<string>;
  /** Distinguishes its cookies from those of other hosts on this machine. */
  mark?: string;
  /** True if the accounts end with the host. */
  isDemonstration?: boolean;
  /** True while a test runs, in which nobody's session ends of old age. */
  isTesting?(): boolean;
  /** Ids of the buildings of a host for several. */
  buildings?(): readonly string[];
  /** What everybody knows of the buildings, which no password may be made of: ids, names, responsible people. */
  known?(): readonly string[];
  /** Hash of the code that makes the first administrator; '' for none. */
  firstCode?: string;
  /** Tells the people at the host who signed in, and of tokens that were refused. */
  tell?(sentence: string): void;
  /** Tells them of what anybody can do again and again, few times only. Those with the same `about` count as the same. */
  complain?(about: string, sentence: string): void;
}

/** Somebody with a session. */
export interface Guest {
  person: Person;
  /** What the account may do, and in which buildings. */
  grants: Grants;
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
/** Passwords that may wait to be checked, each for a tenth of a second; more on devices that are known. */
const CHECKS_MAX = 4;
const KNOWN_CHECKS_MAX = 8;

const WRONG = 'Account or password is wrong.';
const WRONG_PASSKEY = 'This passkey was not accepted. Sign in with the password.';
const PASSKEYS_ENDED = 'The passkeys of this account were removed';

/** True if what was checked of an account still holds. */
function isSame(checked: Account | undefined, present: Account | undefined): boolean {
  return present !== undefined && !present.isDisabled && present.password === checked?.password;
}

/** Never what was typed: some type their password into the wrong field. */
function asWhom(account: Account | undefined): string {
  return account ? `as ${account.id}` : 'with an account that is not there';
}

function waitWords(sec: number): string {
  return `Too many wrong attempts; try again in ${sec} s.`;
}

export class Desk {
  private readonly patience = new Patience();
  private checks = 0;
  private readonly changes: Changes;
  /** Of programs that cannot sign in. */
  readonly tokens: Tokens;
  readonly passkeys: Passkeys;

  constructor(private readonly o: DeskOptions) {
    this.changes = new Changes(o);
    this.passkeys = new Passkeys({ ...o, changes: this.changes });
    this.tokens = new Tokens({ ...o, deliver: () => this.deliver() });
  }

  /** Enters what the log book is to have and does not have yet. @returns why not all of it; '' if it has all */
  deliver(): Promise<string> {
    return this.changes.deliver();
  }

  get isDemonstration(): boolean {
    return this.o.isDemonstration === true;
  }

  get mark(): string {
    return this.o.mark ?? '';
  }

  /**
   * False while no administrator can sign in, and none has to be made before anything else: then nobody has to sign in.
   * True where the accounts are lost: nobody gains by removing their file.
   */
  asks(): boolean {
    return this.o.store.any() || this.awaitsFirst() || this.trouble() !== '';
  }

  /** Why nobody can sign in, and what to do, in words; '' if somebody can, or nobody has to. */
  trouble(): string {
    const { store, madeBefore } = this.o;
    if (store.any()) return '';
    const why = store.trouble();
    const isLost = [...(madeBefore ?? [])].some((id) => store.of(id) === undefined);
    if (why === '' && !isLost) return '';
    const lost = 'The log book says that accounts were made here, but their file does not have them.';
    const how = 'Restore that file from your backup, or make an administrator with "nightproof accounts add"';
    return `${why || lost} ${how} on the host's machine${why === '' ? '' : ', after moving the file away'}.`;
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
    const isTesting = () => this.o.isTesting?.() ?? false;
    if (!account || stateOf(account) !== 'active' || !isAlive(session, now, isTesting)) return undefined;
    const used = isUse ? usedAgain(session, now) : undefined;
    if (used) store.use(used);
    const { id, name, role, at } = account;
    const grants = { role, ...(at && { at }) };
    return { person: { id, name, role }, grants, session: used ?? session };
  }

  /** Notes that somebody asked for what the account may not do. @param what method and pattern of the route */
  lacks({ person }: Guest, what: string): void {
    this.o.complain?.(
      `${person.id} ${what}`,
      `The account ${person.id} asked for ${what} without the right to it.`,
    );
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
    const account = this.o.store.of(id);
    const right = await this.tried(attempt, () => this.fits(account, wish.password));
    if (right !== true) {
      this.failed(from.address, `could not sign in ${asWhom(account)}`);
      return right;
    }
    const entry = this.begin(account!, isKnown);
    if (entry.ok) this.o.tell?.(`The account ${id} signed in from ${from.address}.`);
    return entry;
  }

  /** Signs in whoever's passkey has answered. */
  async usePasskey(response: string, place: Place, address: string): Promise<Entry> {
    const account = await this.passkeys.owner(response, place);
    const entry = account ? this.begin(account, false) : refused(WRONG_PASSKEY);
    if (account && entry.ok)
      this.o.tell?.(`The account ${account.id} signed in from ${address} with a passkey.`);
    else this.failed(address, 'could not sign in with a passkey');
    return entry;
  }

  /** Takes a one-time code, and the password its owner chooses; the code is used up. */
  async useCode(wish: CodeRequest, address: string): Promise<Entry> {
    const { store, firstCode } = this.o;
    const id = tidyId(wish.account);
    const hash = codeHash(wish.code);
    const isFirst = this.awaitsFirst() && hash === firstCode;
    const has = (account: Account | undefined): boolean =>
      account !== undefined &&
      !account.isDisabled &&
      account.code === hash &&
      account.codeUntil >= this.now();
    // Nobody waits for the failures of others: a code of 100 random bits needs no limit (NIST SP 800-63B, 5.1.2.2 asks for
    // one below 64 bits; from memory).
    if (!isFirst && !has(store.of(id))) {
      if (this.awaitsFirst()) {
        this.failed(address, 'could not sign in, with a wrong one-time code');
        return refused('Code is wrong. Compare it with the screen.');
      }
      this.failed(address, `could not sign in by a one-time code ${asWhom(store.of(id))}`);
      return refused('Account or code is wrong, or the code was used or is too old.');
    }
    const wrong = await this.passwordRefusal(wish.password, [id, wish.name ?? '', store.of(id)?.name ?? '']);
    if (wrong !== '') return refused(wrong);
    const password = await hashPassword(wish.password);
    const decide = (): Decided => {
      if (isFirst) return this.decideFirst(wish, password);
      const account = store.of(id);
      if (!account || !has(account)) return refusal('The code was used meanwhile.');
      this.passkeys.end(id);
      return withPassword(account, password);
    };
    const entry = await this.changes.settle<Entry>(decide, undefined, (one) => this.begin(one, false));
    if (entry.ok) this.o.tell?.(`The account ${id} signed in from ${address} with a one-time code.`);
    return entry;
  }

  /** The password once more; the session then counts as proved for some minutes. */
  async prove(guest: Guest, password: string, address: string): Promise<Entry> {
    const { person, session } = guest;
    const attempt = { account: person.id, address, device: session.hash };
    const { store } = this.o;
    const before = store.of(person.id);
    const right = await this.tried(attempt, () => this.fits(before, password));
    if (right !== true) {
      this.failed(address, `could not prove to be ${person.id}, who is signed in there`);
      return right.answer === WRONG ? refused('The password is wrong.') : right;
    }
    const proved = store.change(() => {
      const present = store.session(session.hash);
      // Both may have ended while the password was checked.
      if (!present || !isSame(before, store.of(person.id))) return false;
      store.putSession({ ...present, proved: this.now() });
      return true;
    });
    return proved ? { ok: true, answer: 'Thank you.' } : refused(ENDED);
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
    const { person } = guest;
    const before = this.o.store.of(person.id);
    const proved = await this.prove(guest, old, address);
    if (!proved.ok) return proved;
    const wrong = await this.passwordRefusal(password, [person.id, person.name]);
    if (wrong !== '') return refused(wrong);
    const hash = await hashPassword(password);
    let more = '';
    const decide = (): Decided => {
      const account = this.o.store.of(person.id);
      if (!account || !isSame(before, account)) return refusal(ENDED);
      more = this.passkeys.end(person.id) ? ` ${PASSKEYS_ENDED}; add your own again.` : '';
      return withPassword(account, hash);
    };
    return this.changes.settle(decide, person, (account) => ({
      ...this.begin(account, false),
      answer: `The new password holds from now on.${more}`,
    }));
  }

  list(): AccountView[] {
    return this.o.store.all().map(viewOf);
  }

  /** Changes an account on behalf of an administrator, or of somebody at the host's own machine. */
  change(wish: AccountRequest, by: Signer): Promise<AccountOutcome> {
    const code = newCode();
    const kept = { hash: codeHash(code), until: this.now() + CODE_SEC };
    const hasCode = wish.do === 'make' || wish.do === 'code';
    let more = '';
    const decide = (): Decided => {
      const decided = this.decide(wish, kept, by);
      if (wish.do === 'enable' && 'account' in decided && this.passkeys.end(decided.account.id))
        more = ` ${PASSKEYS_ENDED}.`;
      return decided;
    };
    return this.changes.settle(decide, by, (_, { ok, answer }) => ({
      ...{ ok, answer: `${answer}${more}` },
      ...(hasCode && { code }),
    }));
  }

  private decide(wish: AccountRequest, code: { hash: string; until: number }, by: Signer): Decided {
    const all = this.o.store.all();
    const buildings = this.o.buildings?.();
    if (wish.do === 'make') return decideAdd(all, { ...wish, id: wish.account }, code, buildings);
    if (wish.do === 'role') return decideRole(all, wish.account, wish, buildings);
    if (wish.do === 'code') return decideCode(all, wish.account, code, by.id);
    return decideDisabled(all, wish.account, wish.do === 'disable');
  }

  private decideFirst({ account: id, name = '' }: CodeRequest, password: string): Decided {
    if (!this.awaitsFirst()) return refusal('There are accounts already; ask an administrator for one.');
    const wish = { id, name, role: 'administrator' as const };
    const made = decideAdd(this.o.store.all(), wish, { hash: '', until: 0 }, this.o.buildings?.());
    return 'refusals' in made ? made : { ...made, account: { ...made.account, password } };
  }

  /** A new session, with a new cookie whatever the browser had before. @param checked the account as it was checked */
  private begin(checked: Account, isKnown: boolean): Entry {
    const { store } = this.o;
    const { token, hash } = newToken();
    const fresh = newToken();
    const now = this.now();
    const session = { hash, account: checked.id, began: now, used: now, proved: now };
    const isStill = () => isSame(checked, store.of(checked.id));
    let isBegun = true;
    try {
      isBegun = store.change(() => {
        // The password may have been changed while it was checked.
        if (!isStill()) return false;
        store.thinSessions(now - 2 * LIFE_SEC);
        store.putSession(session);
        if (!isKnown) store.putDevice(fresh.hash, checked.id, now);
        return true;
      });
    } catch {
      // A full disk keeps nobody from restoring a supply.
      isBegun = isStill();
      if (isBegun) store.hold(session);
    }
    if (!isBegun) return refused(WRONG);
    return { ok: true, answer: 'Signed in.', token, ...(!isKnown && { device: fresh.token }) };
  }

  /** Tells of an attempt that failed; of the same in the same network only the first. */
  private failed(address: string, what: string): void {
    this.o.complain?.(`${what} ${networkOf(address)}`, `Somebody at ${address} ${what}.`);
  }

  /** Makes an attempt if it may be made now. */
  private async tried(attempt: Attempt, isRight: () => Promise<boolean>): Promise<true | Entry> {
    const up = risingMs(this.o.clock) / 1000;
    const waitSec = this.patience.wait(attempt, up);
    if (waitSec > 0) return { ...refused(waitWords(waitSec)), waitSec };
    if (this.checks >= (attempt.device === '' ? CHECKS_MAX : KNOWN_CHECKS_MAX))
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

  private passwordRefusal(password: string, own: readonly string[]): Promise<string> {
    return passwordRefusal(password, own, this.o.known?.());
  }

  private now(): number {
    return nowSec(this.o.clock);
  }
}
