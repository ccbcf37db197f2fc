// Roles by building.
import { expect, it } from 'vitest';
import { type Account, booksFor, decideAdd, decideRole } from '../../../host/accounts/account';
import { roleAt } from '../../../host/accounts/grants';
import type { Role } from '../../../host/api/accounts';

const BUILDINGS = ['north', 'south', 'west'];
const CODE = { hash: 'h', until: 1 };
const ADA: Account = {
  ...{
    id: 'ada',
    name: 'Ada Vail',
    role: 'administrator',
    isDisabled: false,
    password: 'set',
    code: '',
    codeUntil: 0,
  },
};
const made = (role: Role, building?: string): Account => {
  const decided = decideAdd([ADA], { id: 'zoe', name: 'Zoë Oda', role, building }, CODE, BUILDINGS);
  if ('refusals' in decided) throw new Error(decided.refusals.join(' '));
  return decided.account;
};
const at = (account: Account, building: string) => roleAt(account, { building, isShared: true });
const roles = (account: Account) => BUILDINGS.map((building) => at(account, building));

it('hold where they were given, and an administrator is that everywhere', () => {
  expect(roles(made('electrician', 'north'))).toEqual(['electrician', undefined, undefined]);
  expect(roles(made('viewer'))).toEqual(['viewer', 'viewer', 'viewer']);
  expect(roles(ADA)).toEqual(['administrator', 'administrator', 'administrator']);
  // "constructor" is a good id of a building, and every object of JavaScript has one.
  expect(at(made('electrician', 'north'), 'constructor')).toBeUndefined();
});

it('of an account made for the only building of a host hold there, and in none of several', () => {
  const old: Account = { ...ADA, id: 'old', role: 'electrician' };
  expect(roleAt(old, { building: 'north', isShared: false })).toBe('electrician');
  expect(roles(old)).toEqual([undefined, undefined, undefined]);
});

it('are given and taken one by one, and the last is not taken', () => {
  let account = made('viewer');
  const give = (role: Role | 'none', building?: string): string => {
    const decided = decideRole([ADA, account], 'zoe', { role, building }, BUILDINGS);
    if ('refusals' in decided) return decided.refusals.join(' ');
    account = decided.account;
    return '';
  };
  expect(give('electrician', 'north')).toBe('');
  expect(roles(account)).toEqual(['electrician', 'viewer', 'viewer']);
  expect(give('none')).toBe('');
  expect(roles(account)).toEqual(['electrician', undefined, undefined]);
  expect(give('none', 'north')).toBe('zoe would have no role any more; disable the account instead.');
  expect(give('electrician', 'north')).toBe('zoe has the role electrician there already.');
  expect(give('viewer')).toBe('');
  expect(roles(account)).toEqual(['viewer', 'viewer', 'viewer']);
  expect(give('administrator', 'north')).toBe(
    'An administrator is that in every building; give the role without a building.',
  );
  expect(give('viewer', 'east')).toMatch(
    /^There is no building "east" here; choose one of: north, south, west\.$/,
  );
  expect(give('administrator')).toBe('');
  expect(at(account, 'west')).toBe('administrator');
});

it('are not given in buildings where a host has one only', () => {
  const decided = decideRole([ADA, { ...ADA, id: 'zoe', role: 'viewer' }], 'zoe', {
    role: 'viewer',
    building: 'north',
  });
  expect(decided).toEqual({ refusals: ['This host has one building only; give the role without it.'] });
});

it('stand in the log books of the buildings that they are about', () => {
  const change = { account: 'zoe', name: 'Zoë Oda', role: 'electrician', did: 'made' } as const;
  expect(booksFor(change, made('electrician', 'north'), BUILDINGS)).toEqual(['north']);
  expect(booksFor(change, made('electrician'), BUILDINGS)).toEqual(BUILDINGS);
  const taken = decideRole(
    [ADA, made('viewer')],
    'zoe',
    { role: 'electrician', building: 'west' },
    BUILDINGS,
  );
  if ('refusals' in taken) throw new Error(taken.refusals.join(' '));
  expect(booksFor(taken.change, taken.account, BUILDINGS)).toEqual(['west']);
});
