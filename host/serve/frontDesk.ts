// The desk of a running host: its accounts, and the log book that their changes are entered in.
import { Desk } from '../accounts/desk';
import { codeHash, newCode } from '../accounts/password';
import { accountsFileOf, openAccounts } from '../accounts/store';
import { systemClock } from '../clock';
import { accountNote } from '../house/notes/accountChange';
import { writeNote } from '../house/notes/notes';
import type { KeyRing } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';

export interface FrontDeskOptions {
  site: Site;
  db: string;
  /** True if nobody else reaches the page: then nobody has to sign in before there is an account. */
  isOpen: boolean;
  logbook: Logbook;
  keys: KeyRing;
  /** UTC second, for the log book. */
  now(): number;
  /** Applies a new log book entry to the house; it never rejects. */
  take(entry: Entry): Promise<void>;
}

export interface FrontDesk {
  desk: Desk;
  /** How the first administrator is made, for the people at the host; '' if there is one, or none is needed. */
  words(url: string): string;
  close(): void;
}

/** Sessions follow this machine's clock, also in a simulation. @throws Error with one sentence */
export function openDesk({ site, db, isOpen, logbook, keys, now, take }: FrontDeskOptions): FrontDesk {
  const store = openAccounts(accountsFileOf(db));
  const code = isOpen || store.any() ? '' : newCode();
  const desk = new Desk({
    ...{ store, clock: systemClock, firstCode: code === '' ? '' : codeHash(code) },
    async enter(change, by) {
      await take(await writeNote(logbook, keys, accountNote(site, by, now(), change)));
    },
  });
  const words = (url: string): string =>
    code === ''
      ? ''
      : `There is no account yet. Make the first administrator at ${url} with this one-time code, which is good until the host stops: ${code}\n`;
  return { desk, words, close: () => store.close() };
}
