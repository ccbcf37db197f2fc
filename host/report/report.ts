// A report on a period: all that is found out, and the document made of it.
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { profileFor, type RuleProfile } from '../profiles/profile';
import type { Site } from '../site/model';
import { type BookState, bookDeviations, bookState, silentCircuits } from './book';
import { type Defect, type Deviation, isOpen } from './findings';
import { type Gathered, gather } from './gather';
import type { LampStory } from './lamps';
import { lateTests } from './late';
import type { Period } from './period';
import type { Turns } from './turns';

export interface ReportOptions {
  site: Site;
  logbook: Pick<Logbook, 'after' | 'page' | 'tree' | 'checkpoints' | 'memory'>;
  keys: KeyRing;
  period: Period;
  /** UTC second. */
  now: number;
  /** The controllers are simulated: said on the first sheet. */
  simulated: boolean;
  turns: Turns;
}

export interface Report extends Omit<ReportOptions, 'keys'> {
  profile: RuleProfile;
  found: Gathered;
  book: BookState;
  /** Open ones first, then by time. */
  deviations: Deviation[];
  defects: Defect[];
  /** Luminaires of the site file in its order. */
  lamps: LampStory[];
}

function inOrder<T extends { at: number; closedAt: number }>(all: T[]): T[] {
  return all.sort((a, b) => Number(isOpen(b)) - Number(isOpen(a)) || a.at - b.at);
}

/** Reads the log book once and finds out what the report says. @throws LogbookError if it cannot be read */
export async function makeReport(o: ReportOptions): Promise<Report> {
  const { site, period, logbook, now } = o;
  const profile = profileFor(site);
  const found = await gather(logbook, o);
  const book = await bookState(logbook, found.entries);
  const about = { site, period, logbook, found, now };
  const deviations = inOrder([
    ...bookDeviations(about, book),
    ...found.records,
    ...(await silentCircuits(about, found.lastRecord)),
    ...found.troubles.ofPeriod(),
    ...lateTests({ site, profile, period, now, begins: found.begins }, (lamp, circuit) =>
      found.lamps.story(lamp.id, circuit.id),
    ),
    ...found.lamps.voids,
  ]);
  const lamps = site.circuits.flatMap(({ id, luminaires }) =>
    luminaires.map((lamp) => found.lamps.story(lamp.id, id)),
  );
  return { ...o, profile, found, book, deviations, defects: inOrder(found.lamps.defects), lamps };
}

/** Whether nothing is open: neither a deviation nor a defect. */
export function isClean({ deviations, defects }: Pick<Report, 'deviations' | 'defects'>): boolean {
  return ![...deviations, ...defects].some(isOpen);
}

function counted(count: number, one: string): string {
  return `${count} ${count === 1 ? one : `${one}s`}`;
}

/** The sentence on the first sheet. */
export function statusWords(report: Pick<Report, 'deviations' | 'defects'>): string {
  const { deviations, defects } = report;
  const closed = [
    counted(deviations.filter((one) => !isOpen(one)).length, 'deviation'),
    counted(defects.filter((one) => !isOpen(one)).length, 'defect'),
  ].join(' and ');
  if (isClean(report)) return `Nothing is open. Of the period, ${closed} are listed as put right.`;
  const open = [
    counted(deviations.filter(isOpen).length, 'open deviation'),
    counted(defects.filter(isOpen).length, 'open defect'),
  ].join(', ');
  return `Not clean: ${open}. Besides, ${closed} of the period are listed as put right.`;
}
