// The desk of a running host: its accounts, and the log book that their changes are entered in.
import { Desk } from '../accounts/desk';
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
  logbook: Logbook;
  keys: KeyRing;
  /** UTC second, for the log book. */
  now(): number;
  /** Applies a new log book entry to the house; it never rejects. */
  take(entry: Entry): Promise<void>;
}

/** Sessions follow this machine's clock, also in a simulation. @throws Error with one sentence */
export function openDesk({ site, db, logbook, keys, now, take }: FrontDeskOptions): {
  desk: Desk;
  close(): void;
} {
  const store = openAccounts(accountsFileOf(db));
  const desk = new Desk({
    ...{ store, clock: systemClock },
    async enter(change, by) {
      await take(await writeNote(logbook, keys, accountNote(site, by, now(), change)));
    },
  });
  return { desk, close: () => store.close() };
}
