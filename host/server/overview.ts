// A building in one line, for the overview of several.
import { BUILDING_WORDS, type BuildingLine, type BuildingWord } from '../api/buildings';
import { isHeard, wasOff } from '../api/phases';
import type { ControllerStatus } from '../api/views';
import type { House } from '../house/house';
import { nextTest } from '../house/view/nextTest';
import { isInTest } from '../integrators/status';
import type { Site } from '../site/model';

export interface LineSources {
  site: Site;
  house: Pick<House, 'view' | 'past' | 'desired'>;
  /** Sentences that put the log book in doubt. */
  alarms: readonly string[];
  /** UTC second. */
  now: number;
}

/** A building that is not served. */
export function unservedLine(id: string, name: string, trouble: string): BuildingLine {
  return {
    ...{ id, name, timeZone: 'UTC', simulated: false, word: 'not served', trouble },
    ...{
      circuits: 0,
      luminaires: 0,
      off: 0,
      unproven: 0,
      testing: 0,
      faults: 0,
      silent: 0,
      neverHeard: 0,
      defects: 0,
    },
    ...{ newest: null, next: null },
  };
}

function wordOf(line: Omit<BuildingLine, 'word'>): BuildingWord {
  const holds: Partial<Record<BuildingWord, boolean>> = {
    'in doubt': line.trouble !== '',
    'supply off': line.off > 0,
    'supply not proven': line.unproven > 0,
    fault: line.faults > 0,
    silent: line.silent > 0,
    defects: line.defects > 0,
    testing: line.testing > 0,
    'not known': line.neverHeard > 0,
  };
  return BUILDING_WORDS.find((word) => holds[word]) ?? 'in order';
}

function nextOf({ site, house, now }: LineSources): BuildingLine['next'] {
  const plan = house.desired.plan()?.plan;
  const all = site.circuits
    .map(({ id }) => ({
      circuit: id,
      at: nextTest(plan, id, house.past.history.of(id).last, 'brief', now),
    }))
    .filter(({ at }) => at > 0);
  return all.length === 0 ? null : all.reduce((first, one) => (one.at < first.at ? one : first));
}

/** A building that is served. */
export function lineOf(from: LineSources): BuildingLine {
  const { site, house, alarms, now } = from;
  const all = site.circuits.map(({ id }) => house.view.controller(id, now));
  const count = (fits: (one: ControllerStatus) => boolean): number => all.filter(fits).length;
  const isTested = (one: ControllerStatus): boolean => isHeard(one) && isInTest(one);
  const defects = house.view
    .defects(now, { skip: 0, limit: 1 })
    .open.filter(({ state }) => state === 'open' || state === 'repaired');
  const open = defects.filter(({ state }) => state === 'open');
  const newest = open.length === 0 ? null : open.reduce((a, b) => (b.since > a.since ? b : a));
  const line = {
    ...{ id: site.id, name: site.name, timeZone: site.timeZone, trouble: alarms.join(' ') },
    simulated: house.view.building().simulated,
    circuits: all.length,
    luminaires: site.circuits.reduce((sum, { luminaires }) => sum + luminaires.length, 0),
    off: count((one) => isHeard(one) && wasOff(one) && !isTested(one)),
    // Silence is no supply: it stays on top until the controller is heard again.
    unproven: count((one) => one.contact === 'silent' && wasOff(one)),
    testing: count(isTested),
    faults: count((one) => one.phase === 'fault'),
    silent: count(({ contact }) => contact === 'silent'),
    neverHeard: count(({ contact }) => contact === 'never heard'),
    defects: defects.length,
    newest: newest && {
      ...{ luminaire: newest.luminaire, circuit: newest.circuit, cause: newest.cause, since: newest.since },
    },
    next: nextOf(from),
  };
  return { ...line, word: wordOf(line) };
}

/** The worst first, and by name where they are alike. */
export function worstFirst(lines: BuildingLine[]): BuildingLine[] {
  const rank = ({ word }: BuildingLine): number => BUILDING_WORDS.indexOf(word);
  return [...lines].sort((a, b) => rank(a) - rank(b) || a.name.localeCompare(b.name));
}
