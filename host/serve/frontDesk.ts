// The desk of a running host: its accounts, and the log book that their changes are entered in.
import type { Account, Change } from '../accounts/account';
import { Desk } from '../accounts/desk';
import { codeHash, newCode } from '../accounts/password';
import { openAccounts } from '../accounts/store';
import { newComplaints } from '../broker/complaints';
import { systemClock } from '../clock';
import { ACCOUNT, accountNote, madeAccounts } from '../house/notes/accountChange';
import { writeOnce } from '../house/notes/notes';
import { replay } from '../house/past';
import { type KeyRing, sha256Hex } from '../keys';
import type { Entry, Logbook } from '../logbook/logbook';
import type { Site } from '../site/model';
import { eachOf } from './places';
import { tell } from './tell';

/** A log book that changes of accounts are entered in. */
export interface DeskBook {
  site: Pick<Site, 'id' | 'name' | 'responsible'>;
  logbook: Logbook;
  keys: KeyRing;
  /** UTC second, for the log book. */
  now(): number;
  /** Applies a new log book entry to the house; it never rejects. */
  take(entry: Entry): Promise<void>;
}

export interface FrontDeskOptions {
  /** File of the accounts. */
  file: string;
  /** What its cookies are told from those of other hosts on this machine by. */
  mark: string;
  /** True if nobody else reaches the page: then nobody has to sign in before there is an account. */
  isOpen: boolean;
  /** The log book of the building; of each, where there are several. */
  books: DeskBooks;
  /** Ids of the accounts that log books say were made; more may come in. */
  madeBefore: ReadonlySet<string>;
  /** True while a test runs. */
  isTesting(): boolean;
  /** True if the accounts end with the host. */
  isDemonstration?: boolean;
}

/** Time between tries to enter what the log book could not take before, ms. */
const OWED_MS = 30_000;

export interface FrontDesk {
  desk: Desk;
  /** Makes the first administrator, until the host stops; '' if there is one, or none is needed. */
  code: string;
  /** How the first administrator is made, for the people at the host; '' if there is one, or none is needed. */
  words(url: string): string;
  /** Tells the people at the host of what anybody can do again and again, few times only. */
  complain(about: string, sentence: string): void;
  close(): void;
}

export interface DeskBooks {
  /** Those that are open. */
  open(): DeskBook[];
  /** Those that a change of an account or an access token is entered in, and why one of them has to wait; '' if none has. */
  of(change: Change, account: Account | undefined): { books: DeskBook[]; waits: string };
  /** Ids of the buildings of a host for several. */
  buildings?(): readonly string[];
}

/** The one log book of a host for one building. */
export function onlyBook(book: DeskBook): DeskBooks {
  return { open: () => [book], of: () => ({ books: [book], waits: '' }) };
}

/** Ids of the accounts that a log book says were made. @throws LogbookError if it cannot be read */
export async function madeIn({ logbook, keys }: Pick<DeskBook, 'logbook' | 'keys'>): Promise<Set<string>> {
  const notes: Entry[] = [];
  await replay(logbook, 0, (entry) => void notes.push(entry), { kind: ACCOUNT });
  return madeAccounts(keys, notes);
}

/** Sessions follow this machine's clock, also in a simulation. */
export function openDesk(o: FrontDeskOptions): FrontDesk {
  const { books, isTesting, madeBefore, isDemonstration = false } = o;
  const store = openAccounts(o.file);
  const code = o.isOpen || store.any() ? '' : newCode();
  const complaints = newComplaints(tell, 'The page');
  const desk = new Desk({
    ...{ store, clock: systemClock, isTesting, madeBefore, isDemonstration },
    ...(books.buildings && { buildings: books.buildings }),
    known: () => books.open().flatMap(({ site: { id, name, responsible } }) => [id, name, responsible]),
    firstCode: code === '' ? '' : codeHash(code),
    // Cookies know no ports: another host on this machine has other names for them.
    mark: sha256Hex(o.mark).slice(0, 8),
    tell,
    complain: complaints.add,
    async enter(change, by, id) {
      const to = books.of(change, 'account' in change ? store.of(change.account) : undefined);
      await eachOf(to.books, async ({ site, logbook, keys, now, take }) => {
        const entry = await writeOnce(logbook, keys, accountNote(site, by, now(), change), id);
        if (entry) await take(entry);
      });
      if (to.waits !== '') throw new Error(to.waits);
    },
  });
  void desk.deliver();
  const timer = setInterval(() => void desk.deliver(), OWED_MS);
  const words = (url: string): string =>
    code === ''
      ? ''
      : `No administrator can sign in yet. Make the first at ${url} with this one-time code, which is good until the host stops:\n  Code: ${code}\n`;
  const close = (): void => {
    clearInterval(timer);
    complaints.close();
    store.close();
  };
  return { desk, code, words, complain: complaints.add, close };
}
