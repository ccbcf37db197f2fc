// One building of a host before it is connected to anything: its log book, its keys, and what both say of it.
import { setImmediate as nextTurn } from 'node:timers/promises';
import { type HostClock, nowSec, risingMs, systemClock } from '../clock';
import type { Numbered } from '../house/desired/desired';
import { createHouse, type House } from '../house/house';
import { type ListingOptions, noteLists } from '../house/notes/listing';
import { type PastState, replay } from '../house/past';
import { newPastStore, type PastStore, storedPast } from '../house/pastStore';
import type { AlertSettings } from '../integrators/alerts/settings';
import { type KeyRing, openKeys, secretFileOf } from '../keys';
import { openLogbook } from '../logbook/engines/open';
import type { Logbook } from '../logbook/logbook';
import { loadMemory, type WrittenMemory } from '../logbook/memory';
import { isSimulated, noteSimulated } from '../logbook/simulated';
import { profileFor } from '../profiles/profile';
import { expectOwn } from '../proof/owner';
import { type EventHub, newEventHub } from '../server/events';
import { missingPictures } from '../server/floorPlans';
import type { Site } from '../site/model';
import { owedFullTests } from '../site/owed';
import type { Ending } from './ending';
import { type HeardList, newHeardList } from './heard';
import { settleSiteFile } from './siteFile';
import type { ReadySite } from './takingOver';
import { tell } from './tell';

export interface BuildingOptions {
  site: Site;
  siteFile: string;
  /** SQLite file; ':memory:' needs `keys`. */
  db: string;
  clock?: HostClock;
  simulated?: boolean;
  /** Seconds of `clock` per real second. */
  speed?: () => number;
  /** By default from the secret file beside the log book. */
  keys?: KeyRing;
  plan?: Numbered;
  /** Has the host work with a site changed on the page; without it the page changes none. */
  takeOver?: (next: ReadySite) => void;
  /** Of the text that `site` was read from; by default that of the file as it is. */
  siteRevision?: string;
  /** What the log book said of `site` up to an entry; by default as stored, or read from the first entry on. */
  past?: PastState;
  /** Who is told of alarms, and how. */
  alerts?: AlertSettings;
  /** First level of the topics of discovery messages; without it there are none. */
  discovery?: string;
  /** True if ingest workers store the records; the host then follows the log book. */
  workers?: boolean;
  /** Interval of the controllers' reports, s. */
  heartbeatSec?: number;
}

const HEARTBEAT_SEC = 60;
/** Transit delay that does not indicate trouble, real s. */
const SLACK_SEC = 5;

/** Entries read in one turn of the event loop: some milliseconds. */
const SLICE = 200;

/** Everything of a building that is made before a socket is opened. */
export interface OpenBuilding {
  o: BuildingOptions;
  clock: HostClock;
  speed: () => number;
  keys: KeyRing;
  logbook: Logbook;
  memory: WrittenMemory;
  house: House;
  hub: EventHub;
  heard: HeardList;
  pastStore: PastStore;
  /** Revision of the site file it was started with; '' if it is not read. */
  siteRevision: string;
}

type ListingParts = Pick<OpenBuilding, 'keys' | 'logbook' | 'house' | 'clock'> & { site: Site };

/** How this host notes which luminaires each revision of the settings describes. */
export function listing({ site, keys, logbook, house, clock }: ListingParts): Omit<ListingOptions, 'take'> {
  return {
    ...{ site, keys, logbook, listed: house.past.notes.listed, now: () => nowSec(clock) },
    revisionOf: (circuit) => house.desired.settingsRevision(circuit),
  };
}

type Books = Pick<OpenBuilding, 'keys' | 'logbook' | 'memory' | 'clock' | 'speed'>;

/** The house as the log book and what the host remembers tell it. */
async function furnish(
  o: BuildingOptions,
  { keys, logbook, memory, clock, speed }: Books,
): Promise<Pick<OpenBuilding, 'house' | 'pastStore'>> {
  const { site } = o;
  const simulated = await isSimulated(logbook);
  const stored = o.past ? undefined : await storedPast({ site, keys, memory }, logbook);
  const past = o.past ?? stored;
  const house = createHouse({
    ...{ site, keys, memory, simulated, onProblem: tell },
    heartbeatSec: o.heartbeatSec ?? HEARTBEAT_SEC,
    slackSec: () => SLACK_SEC * speed(),
    upSec: () => risingMs(clock) / 1000,
    ...(o.plan && { given: o.plan }),
    ...(past && { past }),
  });
  const pastStore = newPastStore({ site, keys, memory }, stored?.entry ?? 0);
  // Other buildings and the page of the same process go on meanwhile.
  const turn = async (): Promise<boolean> => {
    await nextTurn();
    return true;
  };
  await replay(logbook, house.past.entry(), (entry) => house.apply({ kind: 'entry', entry }), {
    ...{ slice: SLICE, turn },
  });
  pastStore.keep(house.past);
  house.apply({ kind: 'time', now: nowSec(clock) });
  await noteLists({
    ...listing({ site, keys, logbook, house, clock }),
    take: (entry) => void house.apply({ kind: 'entry', entry }),
  });
  return { house, pastStore };
}

/**
 * Opens log book and keys and reads what they say.
 * @param ending gets what closes them again, also if this throws
 * @throws Error with one sentence if log book or secret cannot be used
 */
export async function openBuilding(o: BuildingOptions, ending: Ending): Promise<OpenBuilding> {
  const { site } = o;
  const clock = o.clock ?? systemClock;
  const speed = o.speed ?? (() => 1);
  const keys = o.keys ?? openKeys(secretFileOf(o.db));
  const logbook = await openLogbook(o.db);
  ending.add(() => logbook.close());
  await expectOwn(logbook, site, o.db);
  if (o.simulated) await noteSimulated(logbook);
  const memory = await loadMemory(logbook.memory, tell);
  const siteRevision = await settleSiteFile(o, logbook, keys, nowSec(clock));
  for (const sentence of owedFullTests(site, profileFor(site))) tell(sentence);
  for (const sentence of missingPictures(site, o.siteFile)) tell(sentence);
  const books = { keys, logbook, memory, clock, speed };
  const { house, pastStore } = await furnish(o, books);
  const heard = newHeardList(memory, clock);
  ending.add(() => logbook.mark(false));
  await logbook.mark(true);
  ending.add(() => memory.written());
  ending.add(() => heard.save());
  ending.add(() => pastStore.keep(house.past, true));
  return { o, ...books, house, hub: newEventHub(), heard, pastStore, siteRevision };
}
