// `accounts`: who may do what on the page. Whoever can run it on the host's own machine needs no account.
import { booksFor, viewOf } from '../accounts/account';
import type { ChangesOptions, Signer } from '../accounts/changes';
import { Desk } from '../accounts/desk';
import { EVERYWHERE } from '../accounts/grants';
import { type AccountStore, accountsFileOf, openAccounts } from '../accounts/store';
import type { AccountRequest, Role } from '../api/accounts';
import type { TokenRequest } from '../api/tokens';
import { nowSec, systemClock } from '../clock';
import { accountNote } from '../house/notes/accountChange';
import { writeOnce } from '../house/notes/notes';
import { bookIn, eachOf, sharedIn, sitesIn } from '../serve/places';
import type { Site } from '../site/model';
import { isoUtc } from '../words/when';
import { Mistake } from './arguments';
import { nameOf, withLogbook } from './baseline';

/** The log book of one building, or the folder of several. */
export type AccountsOptions = { who: string } & ({ site: Site; db: string } | { folder: string });

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
    for (const { id, name, role, at, state } of list)
      process.stdout.write(`${id.padEnd(24)}  ${name} (${rolesOf(role, at)}): ${state}\n`);
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

/** "electrician in north, viewer elsewhere" */
function rolesOf(role: Role, at: Readonly<Record<string, Role>>): string {
  const all = Object.entries(at).sort(([a], [b]) => b.localeCompare(a));
  if (all.length === 0) return role;
  const isOne = all.length === 1;
  const place = (id: string): string =>
    id !== EVERYWHERE ? ` in ${id}` : isOne ? ' in all buildings' : ' elsewhere';
  return all.map(([id, one]) => one + place(id)).join(', ');
}

function deskOn(store: AccountStore, enter: ChangesOptions['enter'], buildings?: readonly string[]): Desk {
  return new Desk({ store, clock: systemClock, enter, ...(buildings && { buildings: () => buildings }) });
}

/** At the desk of several buildings. A log book that cannot take the change now gets it from the host. */
async function atSharedDesk<T>(
  { folder, by }: { folder: string; by: Signer },
  work: (desk: Desk, by: Signer) => Promise<T>,
): Promise<T> {
  const buildings = sitesIn(folder);
  const store = openAccounts(accountsFileOf(sharedIn(folder)));
  const enter: ChangesOptions['enter'] = async (change, signer, id) => {
    const account = 'account' in change ? store.of(change.account) : undefined;
    await eachOf(booksFor(change, account, buildings), (site) =>
      withLogbook({ site: { id: site }, db: bookIn(folder, site) }, async (logbook, keys) => {
        await writeOnce(logbook, keys, accountNote({ id: site }, signer, nowSec(systemClock), change), id);
      }),
    );
  };
  try {
    return await work(deskOn(store, enter, buildings), by);
  } finally {
    store.close();
  }
}

function atDesk<T>(o: AccountsOptions, work: (desk: Desk, by: Signer) => Promise<T>): Promise<T> {
  const by = { id: '', name: nameOf(o.who) };
  if ('folder' in o) return atSharedDesk({ folder: o.folder, by }, work);
  const { site, db } = o;
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
