// The past of a house as the host last knew it, stored in the log book's memory, so that a start need not read
// decades again. It is believed only if this host signed it for a site by which entries are read the same, and the
// log book still holds the entry up to which it was read; anything else is thrown away, and the log book is read
// from its beginning.
import { type KeyRing, sha256Hex } from '../keys';
import type { Logbook } from '../logbook/logbook';
import type { LongMemory } from '../logbook/memory';
import { type SealOwner, sealed, unsealed } from '../seal';
import type { Circuit, Luminaire, Site } from '../site/model';
import type { Past, PastState } from './past';

/** Raised with every change to what is read from entries: the stored past of another version is not ours. */
export const PAST_VERSION = 15;
const NAME = 'past';
/** Entries after which the past is stored anew. */
const EVERY = 5000;

export interface PastStoreOptions {
  site: Site;
  keys: KeyRing;
  memory: LongMemory;
}

/**
 * Fields by which no entry is read: people change them often, and a long log book takes minutes to read. What is not
 * named here counts, so that a new field never leaves a past that is wrong.
 */
const UNREAD: ReadonlySet<string> = new Set<keyof Site | keyof Circuit | keyof Luminaire>([
  ...(['name', 'responsible', 'location', 'simulation', 'witnesses', 'timeStamps'] as const),
  ...(['windows', 'opening', 'closedDates', 'noTestDates', 'engineerDays'] as const),
  ...(['openingsAtOnce', 'staggerSec', 'floors', 'floor', 'floorPlans', 'areas'] as const),
  ...(['place', 'spot', 'serves', 'batteryFitted', 'batteriesBefore'] as const),
]);

/** All that the past is read by, apart from the entries. */
function printOf(site: Site): string {
  const read = JSON.stringify(site, (key, value) => (UNREAD.has(key) ? undefined : value));
  return sha256Hex(JSON.stringify([PAST_VERSION, read]));
}

/** True if a past read for one site is right for the other too. */
export function isReadAlike(site: Site, other: Site): boolean {
  return printOf(site) === printOf(other);
}

const ownerOf = ({ site, keys }: Pick<PastStoreOptions, 'site' | 'keys'>): SealOwner => ({
  ...{ keys, site, use: 'past', basis: printOf(site) },
});

/**
 * The stored past; undefined if there is none, or it is not ours, of another version or of a site by which
 * entries are read otherwise, or the log book does not hold the entry it ends with.
 */
export async function storedPast(
  { site, keys, memory }: PastStoreOptions,
  logbook: Pick<Logbook, 'after'>,
): Promise<PastState | undefined> {
  const text = unsealed(ownerOf({ site, keys }), memory.take(NAME));
  if (text === undefined) return undefined;
  const state = JSON.parse(text) as PastState;
  const [entry] = await logbook.after(state.entry - 1, 1);
  return entry?.entry === state.entry && entry.hash === state.hash ? state : undefined;
}

export interface PastStore {
  /** Stores the past, if it has grown enough since it was last stored; with `always`, if it has grown at all. */
  keep(past: Past, always?: boolean): void;
}

/** @param from number of the entry up to which the past is stored already, 0 if it is not */
export function newPastStore({ site, keys, memory }: PastStoreOptions, from: number): PastStore {
  let stored = from;
  // A host that was given its past has not read the stored one, and will not.
  memory.take(NAME);
  return {
    keep(past, always = false) {
      if (past.entry() - stored < (always ? 1 : EVERY)) return;
      stored = past.entry();
      memory.put(NAME, sealed(ownerOf({ site, keys }), JSON.stringify(past.state())));
    },
  };
}
