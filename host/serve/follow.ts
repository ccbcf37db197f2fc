// Keeps the state of the house at the end of the log book, in the order of its entries. Most entries come from this
// process; those that another one has written in between, a command for instance, are read from the log book.
import type { AnyRecord } from '../../firmware/contract/messages';
import type { House } from '../house/house';
import { replay } from '../house/past';
import type { Entry, Logbook } from '../logbook/logbook';

export interface Follower {
  /** An entry that was just made, with its record where that has been read. It never rejects. */
  take(entry: Entry, record?: AnyRecord): Promise<void>;
  /** Reads what has been written since, by anybody. It never rejects. */
  catchUp(): Promise<void>;
}

export interface FollowerOptions {
  house: House;
  logbook: Pick<Logbook, 'after'>;
  /** After an entry was applied. */
  onApplied(entry: Entry, record?: AnyRecord): void;
  onProblem(sentence: string): void;
}

/** See `Follower`; `house` must have been brought to some end of the log book before. */
export function createFollower(o: FollowerOptions): Follower {
  const apply = (entry: Entry, record?: AnyRecord): void => {
    if (o.house.apply({ kind: 'entry', entry, ...(record && { record }) })) o.onApplied(entry, record);
  };
  const catchUp = async (): Promise<void> => {
    try {
      await replay(o.logbook, o.house.past.entry(), apply);
    } catch (error) {
      o.onProblem((error as Error).message);
    }
  };
  return {
    async take(entry, record) {
      if (entry.entry > o.house.past.entry() + 1) await catchUp();
      else apply(entry, record);
    },
    catchUp,
  };
}
