// What an account may do in which building, where a host serves several; pure. An administrator is that everywhere. Everybody
// else has a role in all buildings, in some of them, or in some another one than in the rest.
import { ROLES, type Role } from '../api/accounts';

/** Stands for every building that has no role of its own. */
export const EVERYWHERE = '*';

export interface Grants {
  role: Role;
  /** Roles by building, or everywhere; missing or empty where an account was made for the only building of a host. */
  at?: Readonly<Record<string, Role>>;
}

/** Where somebody acts. */
export interface Where {
  /** Id of the building; `EVERYWHERE` for what is about all of them. */
  building: string;
  /** Whether it is one of several. */
  isShared: boolean;
}

/** The role there; undefined for none. */
export function roleAt({ role, at = {} }: Grants, { building, isShared }: Where): Role | undefined {
  if (role === 'administrator') return role;
  // One made for another host's only building says nothing of these.
  if (Object.keys(at).length === 0) return isShared ? undefined : role;
  return Object.hasOwn(at, building) ? at[building] : at[EVERYWHERE];
}

/** The highest of them, which the account as a whole is called by. */
function highest(at: Readonly<Record<string, Role>>): Role {
  const all = Object.values(at);
  return ROLES.filter((role) => all.includes(role)).pop() ?? ROLES[0];
}

/** With a role in a building, or the same one in all of them; 'none' takes one away. */
export function granted(
  { at = {} }: Pick<Grants, 'at'>,
  role: Role | 'none',
  building: string | undefined,
): Grants & Required<Pick<Grants, 'at'>> {
  if (role === 'administrator') return { role, at: {} };
  const key = building ?? EVERYWHERE;
  const { [key]: _before, ...others } = at;
  // In every building: none keeps another.
  const kept = building === undefined && role !== 'none' ? {} : others;
  const next = role === 'none' ? kept : { ...kept, [key]: role };
  return { role: highest(next), at: next };
}

/** Of several buildings those whose log books are to have a change of an account. */
export function concerned(account: Grants | undefined, all: readonly string[]): readonly string[] {
  const own = Object.keys(account?.at ?? {});
  const isOfAll =
    !account || account.role === 'administrator' || own.length === 0 || own.includes(EVERYWHERE);
  return isOfAll ? all : all.filter((id) => own.includes(id));
}
