// How components read the store and the time.
import { createContext } from 'preact';
import { useContext, useEffect, useRef, useState } from 'preact/hooks';
import { parseRoute, type Route } from '../words/route';
import { dateIn } from '../words/time';
import { followDuties } from './duties';
import { askDuties } from './host';
import type { Outbox } from './outbox';
import { type PageState, siteNow } from './pageState';
import { phoneSec } from './phoneClock';
import { Questions } from './questions';
import { PageStore } from './store';

export const StoreContext = createContext(new PageStore());

/** Where entries are stored until the log book has them; null on a page that takes none. */
export const OutboxContext = createContext<Outbox | null>(null);

/** The store, for changing it. */
export function useStore(): PageStore {
  return useContext(StoreContext);
}

/** The state; the component renders again when it changes. */
export function usePage(): PageState {
  const store = useStore();
  const [, redraw] = useState(0);
  useEffect(() => store.listen(() => redraw((n) => n + 1)), [store]);
  return store.state;
}

/** Site time, UTC seconds, updated twice a second. */
export function useNow(): number {
  const store = useStore();
  const [, redraw] = useState(0);
  useEffect(() => {
    const timer = setInterval(() => redraw((n) => n + 1), 500);
    return () => clearInterval(timer);
  }, []);
  return siteNow(store.state, performance.now());
}

/**
 * Site time for an entry, UTC seconds: it goes on without the host, also while the phone sleeps.
 */
export function entryNow({ clock, phoneOff }: PageState): number {
  if (!clock) return phoneSec();
  const elapsed = (performance.now() - clock.atMs) / 1000;
  return clock.speed === 1 ? phoneSec() + phoneOff : clock.now + elapsed * clock.speed;
}

/** Keeps the duties up to date in the store. */
export function useDuties(): void {
  const store = useStore();
  const { dutiesHeard, building } = usePage();
  const day = dateIn(useNow(), building?.timeZone ?? 'UTC');
  useEffect(() => followDuties(store, askDuties), [store, dutiesHeard, day]);
}

export interface Asked<T> {
  value: T | null;
  problem: string;
}

/** Fetches once per `key`, and again whenever `again` changes; keeps the last value while fetching. */
export function useAsked<T>(ask: () => Promise<T>, key: string, again: number | string): Asked<T> {
  const [asked, setAsked] = useState<Asked<T> & { key: string }>({ key, value: null, problem: '' });
  const questions = useRef<Questions<T> | null>(null);
  // `ask` is a new function at every render; `key` says when it asks something else.
  useEffect(() => {
    const own = new Questions(ask, {
      take: (value) => setAsked({ key, value, problem: '' }),
      failed: ({ message: problem }) =>
        setAsked((old) => ({ key, value: old.key === key ? old.value : null, problem })),
    });
    questions.current = own;
    return () => own.leave();
  }, [key]);
  useEffect(() => void questions.current?.again(), [key, again]);
  return asked.key === key ? asked : { value: null, problem: '' };
}

/** Share of its commissioned current at which a lamp counts as lit, %; 100 until the building is known. */
export function useFloorPercent(): number {
  return usePage().building?.floorPercent ?? 100;
}

/** The page within the page that its address means. */
export function useRoute(): Route {
  const [hash, setHash] = useState(location.hash);
  useEffect(() => {
    const follow = () => setHash(location.hash);
    addEventListener('hashchange', follow);
    return () => removeEventListener('hashchange', follow);
  }, []);
  return parseRoute(hash);
}
