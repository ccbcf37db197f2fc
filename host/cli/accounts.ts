// `accounts`: who may do what on the page. Whoever can run it on the host's own machine needs no account.
import { viewOf } from '../accounts/account';
import { Desk } from '../accounts/desk';
import { accountsFileOf, openAccounts } from '../accounts/store';
import type { AccountRequest } from '../api/accounts';
import { nowSec, systemClock } from '../clock';
import { accountNote } from '../house/notes/accountChange';
import { writeOnce } from '../house/notes/notes';
import type { Site } from '../site/model';
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
export async function accountsChangeCommand(
  { site, db, who }: AccountsOptions,
  wish: AccountRequest,
): Promise<number> {
  const by = { id: '', name: nameOf(who) };
  const outcome = await withLogbook({ site, db }, async (logbook, keys) => {
    const store = openAccounts(accountsFileOf(db));
    const desk = new Desk({
      ...{ store, clock: systemClock },
      async enter(change, signer, id) {
        await writeOnce(logbook, keys, accountNote(site, signer, nowSec(systemClock), change), id);
      },
    });
    try {
      return await desk.change(wish, by);
    } finally {
      store.close();
    }
  });
  if (!outcome.ok) throw new Mistake(outcome.answer);
  process.stdout.write(`${outcome.answer}\n`);
  if (outcome.code)
    process.stdout.write(
      `One-time code, good for a week: ${outcome.code}\n` +
        'Its owner chooses a password with it on the page, under "I have a one-time code".\n',
    );
  return 0;
}
