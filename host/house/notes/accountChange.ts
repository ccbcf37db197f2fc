// What became of accounts and access tokens: who may do what on the page, and who gave them that.
import type { AccountChange } from '../../api/accounts';
import type { TokenChange } from '../../api/tokens';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import type { Site } from '../../site/model';
import { dayWord } from '../../words/when';
import { siteNotes } from './inspected';
import { type NewNote, signedNote } from './notes';

export const ACCOUNT = 'account';

/** The note on a change, signed by who made it; `at` is a UTC second. */
export function accountNote(
  site: Pick<Site, 'id'>,
  by: { id: string; name: string },
  at: number,
  change: AccountChange | TokenChange,
): NewNote {
  const signed = by.id === '' ? {} : { account: by.id };
  const note = { address: siteNotes(site), kind: ACCOUNT, at, who: by.name, ...signed } as const;
  if ('token' in change) return { ...note, fields: change };
  const { account: of, ...rest } = change;
  return { ...note, fields: { of, ...rest } };
}

type OfAccount = Omit<AccountChange, 'account'> & { of: string };
/** As the note has it: `of` is the account changed, for "account" is that of who changed it. */
export type AccountFields = OfAccount | TokenChange;

/** As it follows the name of who did: "made the account anna for Anna Vail: electrician." */
export function accountWords(fields: AccountFields, zone: string): string {
  if ('token' in fields) return tokenWords(fields, zone);
  const { of, name, role, did, before } = fields;
  if (did === 'made') return `made the account ${of} for ${name}: ${role}.`;
  if (did === 'role') return `gave the account ${of} (${name}) the role ${role} instead of ${before}.`;
  if (did === 'code') return `gave the account ${of} (${name}) a one-time code for another password.`;
  if (did === 'passkey') return `added a passkey to the account ${of} (${name}).`;
  if (did === 'passkey removed') return `removed a passkey of the account ${of} (${name}).`;
  if (did === 'password') return `set a new password for the account ${of} (${name}).`;
  return `${did} the account ${of} (${name}).`;
}

function tokenWords({ token, name, scope, did, until }: TokenChange, zone: string): string {
  if (did === 'withdrawn') return `withdrew the access token ${token} (${name}).`;
  return `made the access token ${token} (${name}): for ${scope} only, until ${dayWord(until, zone)}.`;
}

/** Ids of the accounts that the log book says were made; none is ever removed. */
export function madeAccounts(keys: KeyRing, entries: readonly Entry[]): Set<string> {
  return new Set(entries.flatMap((entry) => signedNote<Partial<OfAccount>>(keys, entry)?.fields.of ?? []));
}
