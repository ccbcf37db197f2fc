// What became of accounts: who may do what on the page, and who gave them that.
import type { AccountChange } from '../../api/accounts';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import { siteNotes } from './inspected';
import { type NewNote, signedNote } from './notes';

export const ACCOUNT = 'account';

/** The note on a change, signed by who made it; `at` is a UTC second. */
export function accountNote(
  site: Pick<Site, 'id'>,
  by: { id: string; name: string },
  at: number,
  change: AccountChange,
): NewNote {
  const { account: of, ...rest } = change;
  const signed = by.id === '' ? {} : { account: by.id };
  return { address: siteNotes(site), kind: ACCOUNT, at, who: by.name, ...signed, fields: { of, ...rest } };
}

/** As the note has it: `of` is the account changed, for "account" is that of who changed it. */
export type AccountFields = Omit<AccountChange, 'account'> & { of: string };

/** As it follows the name of who did: "made the account anna for Anna Vail: electrician." */
export function accountWords({ of, name, role, did, before }: AccountFields): string {
  if (did === 'made') return `made the account ${of} for ${name}: ${role}.`;
  if (did === 'role') return `gave the account ${of} (${name}) the role ${role} instead of ${before}.`;
  if (did === 'code') return `gave the account ${of} (${name}) a one-time code for another password.`;
  if (did === 'password') return `set a new password for the account ${of} (${name}).`;
  return `${did} the account ${of} (${name}).`;
}

/** Ids of the accounts that the log book says were made; none is ever removed. */
export function madeAccounts(keys: KeyRing, entries: readonly Entry[]): Set<string> {
  return new Set(entries.flatMap((entry) => signedNote<AccountFields>(keys, entry)?.fields.of ?? []));
}
