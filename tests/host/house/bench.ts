// The parts of a house's state behind the view, fed with any records and messages a test needs.
import type { AnyRecord, LiveMessage, StateMessage } from '../../../firmware/contract/messages';
import { createDefects } from '../../../host/house/defects/defects';
import { createEntering } from '../../../host/house/enter';
import { createHistory } from '../../../host/house/history/history';
import { createHouse, type HouseOptions } from '../../../host/house/house';
import { createNotes } from '../../../host/house/notes/entered';
import { noteLists } from '../../../host/house/notes/listing';
import { Withdrawals } from '../../../host/house/notes/withdrawn';
import { createReported } from '../../../host/house/reported/reported';
import type { Listed } from '../../../host/house/rows/listed';
import { createView, type ViewOptions, type ViewSources } from '../../../host/house/view/view';
import type { Logbook } from '../../../host/logbook/logbook';
import { type LongMemory, loadMemory, type Memory } from '../../../host/logbook/memory';
import { createFollower } from '../../../host/serve/follow';
import type { Site } from '../../../host/site/model';
import { KEYS } from '../logbook/records';
import { HOUSE } from './site';

/** A site file that never changes: every revision of its settings describes the same luminaires. */
export function inFileOrder(site: Site): Listed {
  const ids = new Map(site.circuits.map((circuit) => [circuit.id, circuit.luminaires.map(({ id }) => id)]));
  return (circuit) => ids.get(circuit);
}

/** Notes in a log book whom the first settings of a site describe, as a host does before it sends them. */
export async function listFirst(logbook: Logbook, site: Site): Promise<void> {
  await noteLists({
    ...{ site, logbook, keys: KEYS, revisionOf: () => 1, listed: () => undefined },
    ...{ take: () => {}, now: () => 1_770_000_000 },
  });
}

export function newBench(options: Partial<ViewOptions> = {}, sources: Partial<ViewSources> = {}) {
  const { site = HOUSE } = sources;
  const listed = inFileOrder(site);
  const history = createHistory(site, listed);
  const reported = createReported(site);
  const notes = { ...createNotes(site, KEYS), listed };
  const defects = createDefects(site, KEYS, listed);
  const withdrawals = new Withdrawals(KEYS);
  let [up, entries] = [0, 0];
  /** A civil clock that nobody sets. */
  const at = (now: number): number => {
    up = now;
    return now;
  };
  const view = createView(
    {
      ...{ site, notes, history, defects, reported, withdrawals },
      ...{ plan: () => undefined, entry: () => entries, ...sources },
    },
    {
      testSec: (circuit, kind) => (kind === 2 ? circuit.ratedSec : 90),
      rechargeSec: (kind) => (kind === 2 ? 86400 : 3600),
      ...{ fullDays: 366, heartbeatSec: 60, upSec: () => up },
      ...options,
    },
  );
  return {
    ...{ view, history, reported, notes },
    controller: (circuit: string, now: number) => view.controller(circuit, at(now)),
    status: (now: number, speed: number) => view.status(at(now), speed),
    state: (circuit: string, state: StateMessage, heardAt: number) =>
      reported.state(circuit, state, heardAt, heardAt),
    presence: (circuit: string, online: boolean) => reported.presence(circuit, online),
    live: (circuit: string, live: LiveMessage) =>
      reported.live(circuit, live) ? reported.of(circuit).live : undefined,
    record(circuit: string, record: AnyRecord, at: number) {
      entries++;
      history.take(circuit, record, { entry: 0, at });
      if (record.kind === 'result') reported.ended(circuit);
    },
  };
}

function fail(sentence: string): never {
  throw new Error(sentence);
}

/** A memory that no log book keeps. */
export function newMemory(): Memory & LongMemory {
  const texts = new Map<string, string>();
  const recall = (name: string) => texts.get(name) ?? '';
  return {
    recall,
    remember: (name, text) => void texts.set(name, text),
    take(name) {
      const text = recall(name);
      texts.delete(name);
      return text;
    },
    put: (name, text) => void texts.set(name, text),
  };
}

/** The whole state of a house beside a log book, as the running host has it. */
export async function newLoggedHouse(logbook: Logbook, options: Partial<HouseOptions> = {}) {
  const memory = await loadMemory(logbook.memory, fail);
  const house = createHouse({
    ...{ site: HOUSE, keys: KEYS, memory },
    ...{ heartbeatSec: 60, slackSec: () => 0, upSec: () => 0, simulated: false },
    ...options,
  });
  const follower = createFollower({
    ...{ house, logbook, onApplied: () => {} },
    onProblem: fail,
  });
  return {
    ...{ house, memory },
    /** Reads what has been added to the log book since. */
    follow: () => follower.catchUp(),
    refresh: (now: number) => house.apply({ kind: 'time', now }),
    entering: createEntering({
      ...{ site: options.site ?? HOUSE, house, logbook, keys: KEYS },
      apply: (entry) => follower.take(entry),
    }),
  };
}
