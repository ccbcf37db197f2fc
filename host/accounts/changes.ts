// Changes of accounts, each stored as a whole together with the entry that the log book is to have of it; the log book
// gets that at once, or as soon as it can.
import { randomUUID } from 'node:crypto';
import type { AccountOutcome, Person } from '../api/accounts';
import { type Account, type Change, type Decided, endsSessions, type OwedEntry } from './account';
import type { AccountStore } from './store';

/** Who signs an entry of the log book. */
export type Signer = Pick<Person, 'id' | 'name'>;

export interface ChangesOptions {
  store: AccountStore;
  /** Writes a change into the log book, durable once it resolves; once, however often it is called with the same id. */
  enter(change: Change, by: Signer, id: string): Promise<void>;
}

export const ENDED = 'Your session has ended; sign in again.';

export const refused = (answer: string): AccountOutcome => ({ ok: false, answer });
export const refusal = (sentence: string): Decided => ({ refusals: [sentence] });

/** A change as the log book is to have it, under an id of its own. */
export function owedEntry(change: Change, { id, name }: Signer): OwedEntry {
  return { id: randomUUID().replaceAll('-', ''), by: { id, name }, change };
}

/**
 * @param what was changed
 * @param why the log book does not have it yet, one sentence; '' if it has
 */
export function doneWords(what: string, why: string): string {
  return why === ''
    ? `Done, and entered in the log book: ${what}.`
    : `Done: ${what}. The log book does not have it yet, and gets it as soon as it can. ${why}`;
}

export class Changes {
  private delivering: Promise<unknown> = Promise.resolve();

  constructor(private readonly o: ChangesOptions) {}

  /**
   * Stores what is decided on the accounts as they are now, the end of sessions that rested on what they were, and what
   * the log book is to have of it: all of it or nothing.
   * @param by who signs; the account itself if left out
   */
  async settle<T extends AccountOutcome>(
    decide: () => Decided,
    by: Signer | undefined,
    then: (account: Account, outcome: AccountOutcome) => T,
  ): Promise<T | AccountOutcome> {
    let decided: Decided;
    try {
      decided = this.o.store.change(() => this.store(decide(), by));
    } catch (error) {
      return refused(`Nothing was changed. ${(error as Error).message}`);
    }
    if ('refusals' in decided) return refused(decided.refusals.join(' '));
    const { account } = decided;
    const answer = doneWords(`account ${account.id}`, await this.deliver());
    return then(account, { ok: true, answer });
  }

  private store(decided: Decided, by: Signer | undefined): Decided {
    if ('refusals' in decided) return decided;
    const { store } = this.o;
    const { account, change } = decided;
    store.put(account);
    if (endsSessions(change)) store.endSessions(account.id);
    store.owe(owedEntry(change, by ?? account));
    return decided;
  }

  /** Enters what the log book is to have. @returns why not all of it, one sentence; '' if it has all */
  deliver(): Promise<string> {
    const { store, enter } = this.o;
    const all = async (): Promise<string> => {
      let why = '';
      try {
        // What one log book cannot take does not keep the rest from others.
        for (const { id, by, change } of store.owed())
          await enter(change, by, id).then(
            () => store.paid(id),
            (error: Error) => {
              why ||= error.message;
            },
          );
      } catch (error) {
        why ||= (error as Error).message;
      }
      return why;
    };
    const done = this.delivering.then(all);
    this.delivering = done;
    return done;
  }
}
