// What people have entered about each circuit of a site, note by note in log book order. Only the newest note
// on each subject is kept.
import type { TestKind } from '../../../firmware/contract/codes';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import type { Circuit, Site } from '../../site/model';
import { idsOf, type Listed, type ListedFields, type ListedIn, luminaireOf, placesOf } from '../rows/listed';
import type { Attended, AttendedFields } from './attended';
import {
  type Accepted,
  acceptedBy,
  type BaselineFields,
  isSameReference,
  referenceOf,
  withBaselines,
} from './baseline';
import { aboutOf, type Note, signedNote } from './notes';
import { changesCurrent, kindAfter, type Repair, type RepairFields } from './repairs';
import { signedWithdrawal, WITHDRAWN } from './withdrawn';

export interface CircuitNotes {
  /** The circuit with the lamp currents that apply. */
  inForce: Circuit;
  /** Values that were accepted for what the site file says today, by the luminaire's id of today. */
  given: ReadonlyMap<string, Accepted>;
  /** Those that still apply. */
  accepted: ReadonlyMap<string, Accepted>;
  /** The window last entered, unless cancelled; it may lie in the past. */
  attended: Attended | undefined;
  /** The newest repairs that count, the oldest first: what is told of repairs is told from these. */
  recentRepairs: Repair[];
  /** The newest repair for each kind of test owed afterwards. */
  newestRepairs: Repair[];
  /** The newest repair of each luminaire, by its id of today. */
  repairs: ReadonlyMap<string, Repair>;
  /** Luminaires in sensor order, by the revision of the settings that describes them. */
  lists: ReadonlyMap<number, readonly string[]>;
  /** Number of the entry that says so, by revision. */
  listedIn: ReadonlyMap<number, number>;
  /** UTC second of the first of them, by the host's clock; 0 before. */
  listedAt: number;
}

/** What was read so far, as JSON can hold it: by circuit, without what follows from the site file. */
export type NotesState = {
  circuit: string;
  accepted: [string, Accepted][];
  attended: Attended | null;
  recentRepairs: Repair[];
  lists: [number, readonly string[]][];
  listedIn: [number, number][];
  listedAt: number;
}[];

export interface Notes {
  /** A note, in log book order; one without our signature changes nothing. */
  take(entry: Entry): void;
  /** @throws Error if the site has no such circuit */
  of(circuit: string): CircuitNotes;
  /** Whose rows a circuit's results hold. */
  readonly listed: Listed;
  /** Where that was noted. */
  readonly listedIn: ListedIn;
  state(): NotesState;
}

/**
 * Accepted currents after one more note. A value applies while the site file says the same of the luminaire: someone
 * who corrects the file later means the file.
 */
function givenAfter(
  circuit: Circuit,
  notes: CircuitNotes,
  note: Note<BaselineFields>,
): Map<string, Accepted> {
  const given = new Map(notes.given);
  for (const row of note.fields.lamps) {
    const lamp = luminaireOf(circuit, row.luminaire);
    if (!lamp) continue;
    if (isSameReference(row.site, referenceOf(lamp)))
      given.set(lamp.id, acceptedBy(row, note, notes.accepted.get(lamp.id)));
    else given.delete(lamp.id);
  }
  return given;
}

/** Where the site file has only expected currents, a change of lamp or driver ends what was measured before it. */
function stillApplying(
  circuit: Circuit,
  given: ReadonlyMap<string, Accepted>,
  repairs: readonly Repair[],
): ReadonlyMap<string, Accepted> {
  const left = new Map(given);
  for (const { entry, fields } of repairs) {
    if (!changesCurrent(fields)) continue;
    for (const id of fields.luminaires.split(' ')) {
      const lamp = luminaireOf(circuit, id);
      if (lamp?.isExpected && (given.get(lamp.id)?.entry ?? entry) < entry) left.delete(lamp.id);
    }
  }
  return left;
}

/** Repairs of a circuit that are kept, many times as many as it can have luminaires. */
const RECENT_MAX = 128;

type OfRepairs = 'given' | 'accepted' | 'inForce' | 'recentRepairs' | 'newestRepairs' | 'repairs';

/** What a circuit's accepted currents and repairs say. @param all its repairs, in log book order */
function repairsOf(
  circuit: Circuit,
  before: ReadonlyMap<string, Accepted>,
  all: Repair[],
): Pick<CircuitNotes, OfRepairs> {
  const recent = all.slice(-RECENT_MAX);
  // What those ended that are kept no longer stays ended.
  const given = stillApplying(circuit, before, all.slice(0, -RECENT_MAX));
  const accepted = stillApplying(circuit, given, recent);
  const byKind = new Map<TestKind, Repair>();
  const repairs = new Map<string, Repair>();
  for (const repair of recent) {
    const kind = kindAfter(circuit, repair.fields);
    byKind.delete(kind);
    byKind.set(kind, repair);
    for (const id of repair.fields.luminaires.split(' ')) {
      const lamp = luminaireOf(circuit, id);
      if (lamp) repairs.set(lamp.id, repair);
    }
  }
  const inForce = withBaselines(circuit, accepted);
  return { given, accepted, inForce, recentRepairs: recent, newestRepairs: [...byKind.values()], repairs };
}

/** What was once noted about a revision stays: results may have been read by it. */
function withList(notes: CircuitNotes, { entry, fields, at }: Note<ListedFields>): CircuitNotes {
  if (notes.lists.has(fields.revision)) return notes;
  const lists = new Map([...notes.lists, [fields.revision, idsOf(fields)]]);
  const listedIn = new Map([...notes.listedIn, [fields.revision, entry]]);
  return { ...notes, lists, listedIn, listedAt: notes.listedAt || at };
}

function withNote(circuit: Circuit, notes: CircuitNotes, keys: KeyRing, entry: Entry): CircuitNotes {
  const { kind } = entry;
  if (kind === 'baseline') {
    const note = signedNote<BaselineFields>(keys, entry);
    if (!note) return notes;
    return { ...notes, ...repairsOf(circuit, givenAfter(circuit, notes, note), notes.recentRepairs) };
  }
  if (kind === 'attended') {
    const note = signedNote<AttendedFields>(keys, entry);
    if (!note) return notes;
    const { from, to } = note.fields;
    return { ...notes, attended: to > 0 ? { from, to, who: note.who } : undefined };
  }
  if (kind === 'listed') {
    const note = signedNote<ListedFields>(keys, entry);
    return note ? withList(notes, note) : notes;
  }
  const { given, recentRepairs: recent } = notes;
  if (kind === WITHDRAWN) {
    const withdrawn = signedWithdrawal(keys, entry)?.withdraws;
    const left = recent.filter((one) => one.entry !== withdrawn);
    return left.length < recent.length ? { ...notes, ...repairsOf(circuit, given, left) } : notes;
  }
  if (kind !== 'repaired') return notes;
  const note = signedNote<RepairFields>(keys, entry);
  return note ? { ...notes, ...repairsOf(circuit, given, [...recent, note]) } : notes;
}

/** Ids of the luminaires a note is about; none if it is about their circuit. */
function namedIn(keys: KeyRing, entry: Entry): string[] {
  if (entry.kind === 'repaired')
    return signedNote<RepairFields>(keys, entry)?.fields.luminaires.split(' ') ?? [];
  if (entry.kind !== 'baseline') return [];
  return (signedNote<BaselineFields>(keys, entry)?.fields.lamps ?? []).map(({ luminaire }) => luminaire);
}

function stateOf(all: ReadonlyMap<string, CircuitNotes>): NotesState {
  return [...all].map(([circuit, { given, attended, recentRepairs, lists, listedIn, listedAt }]) => ({
    ...{ circuit, recentRepairs, attended: attended ?? null },
    ...{ accepted: [...given], lists: [...lists], listedIn: [...listedIn], listedAt },
  }));
}

function restored(circuit: Circuit, state: NotesState[number]): CircuitNotes {
  return {
    attended: state.attended ?? undefined,
    ...repairsOf(circuit, new Map(state.accepted), state.recentRepairs),
    ...{ lists: new Map(state.lists), listedIn: new Map(state.listedIn) },
    listedAt: state.listedAt,
  };
}

/** The notes of a site before the first one, or after those that made a state; see `Notes`. */
export function createNotes(site: Site, keys: KeyRing, from: NotesState = []): Notes {
  const circuits = new Map(site.circuits.map((circuit) => [circuit.id, circuit]));
  const all = new Map<string, CircuitNotes>();
  for (const circuit of site.circuits)
    all.set(circuit.id, {
      ...repairsOf(circuit, new Map(), []),
      ...{ attended: undefined, lists: new Map(), listedIn: new Map(), listedAt: 0 },
    });
  for (const one of from) {
    const circuit = circuits.get(one.circuit);
    if (circuit) all.set(one.circuit, restored(circuit, one));
  }
  const of = (id: string): CircuitNotes => {
    const notes = all.get(id);
    if (!notes) throw new Error(`The site has no circuit ${id}.`);
    return notes;
  };
  const places = placesOf(site);
  /** The circuits whose notes an entry about one changes: a luminaire may have moved to another since. */
  const homesOf = (entry: Entry, id: string): Set<string> => {
    if (entry.kind === WITHDRAWN) {
      const withdrawn = signedWithdrawal(keys, entry)?.withdraws;
      const has = ({ recentRepairs }: CircuitNotes) => recentRepairs.some((one) => one.entry === withdrawn);
      return new Set([...all].filter(([, notes]) => has(notes)).map(([circuit]) => circuit));
    }
    const homes = namedIn(keys, entry).flatMap((lamp) => places.get(lamp)?.circuit ?? []);
    return new Set(homes.length > 0 ? homes : [id]);
  };
  return {
    take(entry) {
      const [siteId, id] = aboutOf(entry.address).split('/');
      if (siteId !== site.id) return;
      for (const home of homesOf(entry, id)) {
        const circuit = circuits.get(home);
        if (circuit) all.set(home, withNote(circuit, of(home), keys, entry));
      }
    },
    of,
    listed: (circuit, revision) => of(circuit).lists.get(revision),
    listedIn: (circuit, revision) => of(circuit).listedIn.get(revision) ?? 0,
    state: () => stateOf(all),
  };
}
