// What becomes of an account, and why not; pure. At least one administrator stays who can sign in.
import { type AccountChange, type AccountState, type AccountView, ROLES, type Role } from '../api/accounts';
import type { TokenChange } from '../api/tokens';
import { tidyText } from '../words/freeText';
import { isWho, NAME_RULE } from '../words/person';
import { concerned, EVERYWHERE, type Grants, granted } from './grants';

export interface Account extends Grants {
  id: string;
  name: string;
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
const ID_RULE = '2 to 24 lower-case letters without accents, digits, dots and hyphens';
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
  const { id, name, role, at = {} } = account;
  return { id, name, role, at, state: stateOf(account) };
}

function changed(account: Account, did: AccountChange['did'], before?: Role): Decided {
  const { id, name, role } = account;
  return { account, change: { account: id, name, role, did, ...(before && { before }) } };
}

const FIRST = 'Make an administrator first: nobody else can make accounts and give codes on the page.';

function hasAdministrator(all: readonly Account[]): boolean {
  return all.some(({ role, isDisabled }) => role === 'administrator' && !isDisabled);
}

/** Why a role cannot be given there; '' if it can. @param buildings of a host for several */
function placeRefusal(
  role: Role | 'none',
  building: string | undefined,
  buildings: readonly string[] | undefined,
): string {
  if (buildings === undefined)
    return building === undefined && role !== 'none'
      ? ''
      : 'This host has one building only; give the role without it.';
  if (role === 'administrator' && building !== undefined)
    return 'An administrator is that in every building; give the role without a building.';
  if (building === undefined || buildings.includes(building)) return '';
  return `There is no building "${building.slice(0, 40)}" here; choose one of: ${buildings.join(', ')}.`;
}

/** A new account without a password; it is given a code to choose one. */
export function decideAdd(
  all: readonly Account[],
  wish: { id: string; name: string; role: Role; building?: string | undefined },
  code: { hash: string; until: number },
  buildings?: readonly string[],
): Decided {
  const id = tidyId(wish.id);
  const name = tidyText(wish.name);
  const refusals = [
    ID.test(id) ? '' : `The account must have ${ID_RULE}, e.g. anna or j.vail.`,
    isWho(name) ? '' : `Give the full name, ${NAME_RULE}: it stands in the log book.`,
    hasAdministrator(all) || wish.role === 'administrator' ? '' : FIRST,
    placeRefusal(wish.role, wish.building, buildings),
    all.some((one) => one.id === id) ? `There is an account ${id} already; choose another.` : '',
  ].filter((sentence) => sentence !== '');
  if (refusals.length > 0) return { refusals };
  const fresh = { isDisabled: false, password: '', code: code.hash, codeUntil: code.until };
  const grants = buildings ? granted({}, wish.role, wish.building) : { role: wish.role };
  return changed({ id, name, ...grants, ...fresh }, 'made');
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

/** In one of several buildings, or in all of them. */
function decideShared(
  account: Account,
  { role, building }: { role: Role | 'none'; building?: string | undefined },
  buildings: readonly string[],
): Decided {
  const { id, name, at = {} } = account;
  const before = account.role === 'administrator' ? account.role : (at[building ?? EVERYWHERE] ?? 'none');
  const next = granted(account, role, building);
  if (before === role && Object.keys(next.at).length === Object.keys(at).length)
    return { refusals: [`${id} has the role ${role} there already.`] };
  if (role === 'none' && Object.keys(next.at).length === 0)
    return { refusals: [`${id} would have no role any more; disable the account instead.`] };
  const others = { ...account, ...next };
  // Both those that lose a role and those that get one.
  const told = building === undefined ? buildings : [building];
  return { account: others, change: { account: id, name, role, did: 'role', before, buildings: [...told] } };
}

export function decideRole(
  all: readonly Account[],
  id: string,
  { role, building }: { role: Role | 'none'; building?: string | undefined },
  buildings?: readonly string[],
): Decided {
  const account = found(all, id);
  if ('refusals' in account) return account;
  const why = placeRefusal(role, building, buildings);
  if (why !== '') return { refusals: [why] };
  if (role !== 'administrator' && isLast(all, account)) return { refusals: [`${account.id} ${LAST}.`] };
  if (buildings) return decideShared(account, { role, building }, buildings);
  if (account.role === role || role === 'none')
    return { refusals: [`${account.id} has the role ${account.role} already.`] };
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

/** Of several buildings those whose log books are to have a change. */
export function booksFor(
  change: Change,
  account: Account | undefined,
  all: readonly string[],
): readonly string[] {
  if ('token' in change) return all;
  return change.buildings?.filter((id) => all.includes(id)) ?? concerned(account, all);
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
