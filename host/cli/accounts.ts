// `accounts`: who may do what on the page. Whoever can run it on the host's own machine needs no account.
import { viewOf } from '../accounts/account';
import type { ChangesOptions, Signer } from '../accounts/changes';
import { Desk } from '../accounts/desk';
import { type AccountStore, accountsFileOf, openAccounts } from '../accounts/store';
import type { AccountRequest } from '../api/accounts';
import type { TokenRequest } from '../api/tokens';
import { nowSec, systemClock } from '../clock';
import { accountNote } from '../house/notes/accountChange';
import { writeOnce } from '../house/notes/notes';
import type { Site } from '../site/model';
import { isoUtc } from '../words/when';
import { Mistake } from './arguments';
import { nameOf, withLogbook } from './baseline';

export interface AccountsOptions {
  site: Site;
  db: string;
  who: string;
}

/** Prints all accounts. @returns the exit code. @throws Error with one sentence if they cannot be read */
export function accountsListCommand(db: string): number {
  const store = openAccounts(accountsFileOf(db));
  try {
    if (store.trouble() !== '') throw new Mistake(store.trouble());
    const list = store.all().map(viewOf);
    if (list.length === 0)
      process.stdout.write(
        `There are no accounts in ${accountsFileOf(db)}. If none was ever made, nobody has to sign in on this machine; ` +
          'if some were, restore that file from your backup.\n',
      );
    for (const { id, name, role, state } of list)
      process.stdout.write(`${id.padEnd(24)}  ${name} (${role}): ${state}\n`);
    return 0;
  } finally {
    store.close();
  }
}

/**
 * Changes an account, with an entry in the log book. A running host heeds it at once.
 * @returns the exit code. @throws Error with one sentence if nothing is changed
 */
export async function accountsChangeCommand(o: AccountsOptions, wish: AccountRequest): Promise<number> {
  const outcome = await atDesk(o, (desk, by) => desk.change(wish, by));
  if (!outcome.ok) throw new Mistake(outcome.answer);
  process.stdout.write(`${outcome.answer}\n`);
  if (outcome.code)
    process.stdout.write(
      `One-time code, good for a week: ${outcome.code}\n` +
        'Its owner chooses a password with it on the page, under "I have a one-time code".\n',
    );
  return 0;
}

/**
 * Makes or withdraws an access token, with an entry in the log book. A running host heeds it at once.
 * @returns the exit code. @throws Error with one sentence if nothing is changed
 */
export async function tokenCommand(o: AccountsOptions, wish: TokenRequest): Promise<number> {
  const { ok, answer, secret } = await atDesk(o, (desk, by) => desk.tokens.change(wish, by));
  if (!ok) throw new Mistake(answer);
  process.stdout.write(`${answer}\n`);
  if (secret === undefined || wish.do !== 'make') return 0;
  process.stdout.write(`The token, shown only now: ${secret}\n`);
  if (wish.scope === 'calendar')
    process.stdout.write(
      `A calendar program subscribes to the address of the page with /calendar.ics?token=${secret} behind it. ` +
        'Whoever sees that address can read the calendar.\n',
    );
  return 0;
}

/** Prints all access tokens. @returns the exit code. @throws Error with one sentence if they cannot be read */
export function tokenListCommand(db: string): number {
  const store = openAccounts(accountsFileOf(db));
  try {
    if (store.trouble() !== '') throw new Mistake(store.trouble());
    const list = deskOn(store, async () => {}).tokens.list();
    if (list.length === 0) process.stdout.write(`There are no access tokens in ${accountsFileOf(db)}.\n`);
    for (const { id, name, scope, state, until, used } of list) {
      const last = used === 0 ? 'never used' : `last used ${isoUtc(used)}`;
      process.stdout.write(`${id}  ${name} (${scope}): ${state}, until ${isoUtc(until)}, ${last}\n`);
    }
    return 0;
  } finally {
    store.close();
  }
}

function deskOn(store: AccountStore, enter: ChangesOptions['enter']): Desk {
  return new Desk({ store, clock: systemClock, enter });
}

function atDesk<T>(
  { site, db, who }: AccountsOptions,
  work: (desk: Desk, by: Signer) => Promise<T>,
): Promise<T> {
  const by = { id: '', name: nameOf(who) };
  return withLogbook({ site, db }, async (logbook, keys) => {
    const store = openAccounts(accountsFileOf(db));
    const desk = deskOn(store, async (change, signer, id) => {
      await writeOnce(logbook, keys, accountNote(site, signer, nowSec(systemClock), change), id);
    });
    try {
      return await work(desk, by);
    } finally {
      store.close();
    }
  });
}
