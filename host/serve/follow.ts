// Keeps the state of the house at the end of the log book, in entry order. Most entries come from this
// process; those another process has written in between, a command for instance, are read from the log book.
import type { AnyRecord } from '../../firmware/contract/messages';
import type { House } from '../house/house';
import { replay } from '../house/past';
import type { Entry, Logbook } from '../logbook/logbook';

export interface Follower {
  /** An entry just made, with its record if already read. It never rejects. */
  take(entry: Entry, record?: AnyRecord): Promise<void>;
  /** Reads what anyone has written since. It never rejects. */
  catchUp(): Promise<void>;
}

export interface FollowerOptions {
  house: House;
  logbook: Pick<Logbook, 'after'>;
  /** Called after an entry was applied. */
  onApplied(entry: Entry, record?: AnyRecord): void;
  onProblem(sentence: string): void;
}

/** See `Follower`; `house` must already be at some end of the log book. */
export function createFollower(o: FollowerOptions): Follower {
  const apply = (entry: Entry, record?: AnyRecord): void => {
    if (o.house.apply({ kind: 'entry', entry, ...(record && { record }) })) o.onApplied(entry, record);
  };
  let told = '';
  const catchUp = async (): Promise<void> => {
    try {
      await replay(o.logbook, o.house.past.entry(), apply);
      if (told !== '') o.onProblem('The log book can be read again.');
      told = '';
    } catch (error) {
      const { message } = error as Error;
      if (message !== told) o.onProblem(message);
      told = message;
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

/** Catches up again and again, `ms` after the last time, for entries that others make. @returns what ends it */
export function followEvery(follower: Pick<Follower, 'catchUp'>, ms: number): () => void {
  let timer: NodeJS.Timeout;
  const wait = (): void => {
    timer = setTimeout(() => void follower.catchUp().then(() => isWanted && wait()), ms);
  };
  let isWanted = true;
  wait();
  return () => {
    isWanted = false;
    clearTimeout(timer);
  };
}
