// The desk of a running host: its accounts, and the log book that their changes are entered in.
import { resolve } from 'node:path';
import { Desk } from '../accounts/desk';
import { codeHash, newCode } from '../accounts/password';
import { accountsFileOf, openAccounts } from '../accounts/store';
import { systemClock } from '../clock';
import { ACCOUNT, accountNote, madeAccounts } from '../house/notes/accountChange';
import { writeOnce } from '../house/notes/notes';
import { replay } from '../house/past';
import { type KeyRing, sha256Hex } from '../keys';
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
  /** True while a test runs. */
  isTesting(): boolean;
}

/** Time between tries to enter what the log book could not take before, ms. */
const OWED_MS = 30_000;

export interface FrontDesk {
  desk: Desk;
  /** How the first administrator is made, for the people at the host; '' if there is one, or none is needed. */
  words(url: string): string;
  close(): void;
}

/** Sessions follow this machine's clock, also in a simulation. @throws LogbookError if the log book cannot be read */
export async function openDesk(o: FrontDeskOptions): Promise<FrontDesk> {
  const { site, db, logbook, keys, now, take, isTesting } = o;
  const notes: Entry[] = [];
  await replay(logbook, 0, (entry) => void notes.push(entry), { kind: ACCOUNT });
  const store = openAccounts(accountsFileOf(db));
  const code = o.isOpen || store.any() ? '' : newCode();
  const desk = new Desk({
    ...{ store, clock: systemClock, isTesting, madeBefore: madeAccounts(keys, notes) },
    firstCode: code === '' ? '' : codeHash(code),
    // Cookies know no ports: another host on this machine has other names for them.
    mark: sha256Hex(`${resolve(db)} ${site.id}`).slice(0, 8),
    async enter(change, by, id) {
      const entry = await writeOnce(logbook, keys, accountNote(site, by, now(), change), id);
      if (entry) await take(entry);
    },
  });
  void desk.deliver();
  const timer = setInterval(() => void desk.deliver(), OWED_MS);
  const words = (url: string): string =>
    code === ''
      ? ''
      : `No administrator can sign in yet. Make the first at ${url} with this one-time code, which is good until the host stops: ${code}\n`;
  const close = (): void => {
    clearInterval(timer);
    store.close();
  };
  return { desk, words, close };
}
