// What becomes of an account, and why not; pure. At least one administrator stays who can sign in.
import { type AccountChange, type AccountState, type AccountView, ROLES, type Role } from '../api/accounts';
import type { TokenChange } from '../api/tokens';
import { tidyText } from '../words/freeText';
import { isWho, NAME_RULE } from '../words/person';

export interface Account {
  id: string;
  name: string;
  role: Role;
  isDisabled: boolean;
  /** Argon2id, in PHC's string form; '' before a password is chosen. */
  password: string;
  /** SHA-256 of the one-time code, hex; '' without one. */
  code: string;
  /** UTC second up to which the code is good. */
  codeUntil: number;
}

/** A change of an account or of an access token. */
export type Change = AccountChange | TokenChange;

/** A change that the log book is to have. */
export interface OwedEntry {
  /** Its own, by which it is entered once. */
  id: string;
  by: { id: string; name: string };
  change: Change;
}

export type Decided = { account: Account; change: AccountChange } | { refusals: string[] };

const ID = /^[a-z0-9][a-z0-9.-]{0,22}[a-z0-9]$/;
export const ID_RULE = '2 to 24 lower-case letters without accents, digits, dots and hyphens';
/** How long a one-time code is good, s: over a weekend, and no longer than a week. */
export const CODE_SEC = 7 * 86_400;

/** True if somebody with this role may do what asks for `least`. */
export function mayAct(role: Role, least: Role): boolean {
  return ROLES.indexOf(role) >= ROLES.indexOf(least);
}

/** The id as it is stored: people type capitals. */
export function tidyId(typed: string): string {
  return typed.trim().toLowerCase();
}

export function stateOf({ isDisabled, password }: Account): AccountState {
  if (isDisabled) return 'disabled';
  return password === '' ? 'has no password yet' : 'active';
}

export function viewOf(account: Account): AccountView {
  const { id, name, role } = account;
  return { id, name, role, state: stateOf(account) };
}

function changed(account: Account, did: AccountChange['did'], before?: Role): Decided {
  const { id, name, role } = account;
  return { account, change: { account: id, name, role, did, ...(before && { before }) } };
}

const FIRST = 'Make an administrator first: nobody else can make accounts and give codes on the page.';

function hasAdministrator(all: readonly Account[]): boolean {
  return all.some(({ role, isDisabled }) => role === 'administrator' && !isDisabled);
}

/** A new account without a password; it is given a code to choose one. */
export function decideAdd(
  all: readonly Account[],
  wish: { id: string; name: string; role: Role },
  code: { hash: string; until: number },
): Decided {
  const id = tidyId(wish.id);
  const name = tidyText(wish.name);
  const refusals = [
    ID.test(id) ? '' : `The account must have ${ID_RULE}, e.g. anna or j.vail.`,
    isWho(name) ? '' : `Give the full name, ${NAME_RULE}: it stands in the log book.`,
    hasAdministrator(all) || wish.role === 'administrator' ? '' : FIRST,
    all.some((one) => one.id === id) ? `There is an account ${id} already; choose another.` : '',
  ].filter((sentence) => sentence !== '');
  if (refusals.length > 0) return { refusals };
  const fresh = { isDisabled: false, password: '', code: code.hash, codeUntil: code.until };
  return changed({ id, name, role: wish.role, ...fresh }, 'made');
}

/** True if nobody else could still do what an administrator does. */
function isLast(all: readonly Account[], { id, role }: Account): boolean {
  if (role !== 'administrator') return false;
  return !all.some((one) => one.id !== id && one.role === role && stateOf(one) === 'active');
}

const LAST = 'is the only administrator with a password; make another one first';

function found(all: readonly Account[], typed: string): Account | { refusals: string[] } {
  const id = tidyId(typed);
  return all.find((one) => one.id === id) ?? { refusals: [`There is no account ${id.slice(0, 40)}.`] };
}

export function decideRole(all: readonly Account[], id: string, role: Role): Decided {
  const account = found(all, id);
  if ('refusals' in account) return account;
  if (account.role === role) return { refusals: [`${account.id} has the role ${role} already.`] };
  if (isLast(all, account)) return { refusals: [`${account.id} ${LAST}.`] };
  return changed({ ...account, role }, 'role', account.role);
}

export function decideDisabled(all: readonly Account[], id: string, isDisabled: boolean): Decided {
  const account = found(all, id);
  if ('refusals' in account) return account;
  if (account.isDisabled === isDisabled)
    return { refusals: [`${account.id} is ${isDisabled ? 'disabled' : 'enabled'} already.`] };
  if (isDisabled && isLast(all, account)) return { refusals: [`${account.id} ${LAST}.`] };
  return changed({ ...account, isDisabled }, isDisabled ? 'disabled' : 'enabled');
}

const OWN = 'Change your own password on the page of your account; a code is for somebody who forgot his.';

/** A one-time code for another password. The present one holds until it is used: the last administrator is not shut out. */
export function decideCode(
  all: readonly Account[],
  id: string,
  code: { hash: string; until: number },
  by: string,
): Decided {
  const account = found(all, id);
  if ('refusals' in account) return account;
  if (account.id === by) return { refusals: [OWN] };
  return changed({ ...account, code: code.hash, codeUntil: code.until }, 'code');
}

/** True if the sessions of the account rested on what it was before. */
export function endsSessions({ did }: AccountChange): boolean {
  return !['role', 'code', 'passkey', 'passkey removed'].includes(did);
}

/** As it is, with one passkey more or less. */
export function withPasskeys(account: Account, did: 'passkey' | 'passkey removed'): Decided {
  return changed(account, did);
}

/** With a password that its owner chose; a code is used up by that. */
export function withPassword(account: Account, hash: string): Decided {
  return changed({ ...account, password: hash, code: '', codeUntil: 0 }, 'password');
}
