// What the log book says of a site: what people entered and what the controllers recorded, entry by entry in
// log book order. A starting host reads all of it, and so does a command that needs it.
import { TestKind } from '../../firmware/contract/codes';
import type { AnyRecord } from '../../firmware/contract/messages';
import type { KeyRing } from '../keys';
import { NO_HASH } from '../logbook/chain';
import type { Entry, Logbook } from '../logbook/logbook';
import { readOwn } from '../logbook/own';
import type { Owed } from '../planner/keep';
import { rechargeSecOf } from '../planner/placing/circuitWork';
import { profileFor } from '../profiles/profile';
import { readRecord } from '../records/schema';
import type { Circuit, Site } from '../site/model';
import { createDefects, type Defects, type DefectsState } from './defects/defects';
import { createHistory, HEEDED_KINDS, type History, type HistoryState } from './history/history';
import { createNotes, type Notes, type NotesState } from './notes/entered';
import { createInspections, type Inspections, type InspectionsState } from './notes/inspections';
import { isNoteAddress } from './notes/notes';
import { owedAfterRepairs, unprovenRepair } from './notes/repairs';
import { type Withdrawal, Withdrawals } from './notes/withdrawn';

/** What was read so far, as JSON can hold it. */
export interface PastState {
  /** Number and hash of the last entry applied. */
  entry: number;
  hash: string;
  notes: NotesState;
  inspections: InspectionsState;
  withdrawals: Withdrawal[];
  history: HistoryState;
  defects: DefectsState;
}

export interface Past {
  readonly notes: Notes;
  readonly inspections: Inspections;
  readonly withdrawals: Pick<Withdrawals, 'of'>;
  readonly history: History;
  readonly defects: Defects;
  /** Number of the last entry applied, 0 if none. */
  entry(): number;
  /** A log book entry, with its record if already read; false if it was applied before. */
  take(entry: Entry, record?: AnyRecord): boolean;
  /** Tests of a circuit that repairs ask for and that are still owed. */
  owed(circuit: Circuit): Owed[];
  /**
   * UTC seconds at which batteries are full after the newest repairs of a circuit: a controller cannot see a battery
   * changed, or a charger, unless the circuit was isolated for it.
   */
  repairsCharged(circuit: string): number[];
  /** The repair of a luminaire since which no test has judged it, in words; '' if there is none. */
  unproven(circuit: Circuit, luminaire: string): string;
  state(): PastState;
}

/** Entries read per batch. */
const SLICE = 2000;

/** The past of a site before its first entry, or after those that made a state; see `Past`. */
export function createPast(site: Site, keys: KeyRing, from?: PastState): Past {
  const rechargeSec = rechargeSecOf(profileFor(site), TestKind.Full);
  const notes = createNotes(site, keys, from?.notes);
  const inspections = createInspections(site, keys, from?.inspections);
  const withdrawals = new Withdrawals(keys, from?.withdrawals);
  const history = createHistory(site, notes.listed, from?.history, notes.listedIn);
  const defects = createDefects(site, keys, notes.listed, from?.defects);
  const addresses = new Map(site.circuits.map(({ id }) => [`${site.id}/${id}`, id]));
  let last = from?.entry ?? 0;
  let hash = from?.hash ?? NO_HASH;
  return {
    ...{ notes, inspections, withdrawals, history, defects },
    entry: () => last,
    take(entry, known) {
      if (entry.entry <= last) return false;
      last = entry.entry;
      hash = entry.hash;
      const circuit = addresses.get(entry.address);
      if (isNoteAddress(entry.address)) {
        notes.take(entry);
        inspections.take(entry);
        withdrawals.take(entry);
        defects.takeNote(entry);
      }
      const own = circuit !== undefined && entry.kind === 'ordered' ? readOwn(entry) : undefined;
      if (circuit !== undefined && own?.kind === 'ordered') history.order(circuit, own);
      if (circuit !== undefined && HEEDED_KINDS.has(entry.kind)) {
        const record = known ?? readRecord(entry.body);
        if (record) history.take(circuit, record, entry);
        if (record?.kind === 'result') defects.take(circuit, record, entry);
      }
      return true;
    },
    state: () => ({
      ...{ entry: last, hash, notes: notes.state(), inspections: inspections.state() },
      ...{ withdrawals: withdrawals.state(), history: history.state(), defects: defects.state() },
    }),
    owed: (circuit) =>
      owedAfterRepairs(circuit, notes.of(circuit.id).recentRepairs, history.of(circuit.id).own),
    repairsCharged: (circuit) => notes.of(circuit).newestRepairs.map(({ at }) => at + rechargeSec),
    unproven(circuit, luminaire) {
      const [{ repairs }, { own }] = [notes.of(circuit.id), history.of(circuit.id)];
      return unprovenRepair(circuit, luminaire, { repairs, own }, site.timeZone);
    },
  };
}

export interface ReplayOptions {
  /** Only entries of this kind. */
  kind?: string;
  /** Entries read at once. */
  slice?: number;
  /** Called after each slice but the last; false ends it. */
  turn?: () => Promise<boolean>;
}

/** Passes on all entries after a number, oldest first. */
export async function replay(
  logbook: Pick<Logbook, 'after'>,
  from: number,
  take: (entry: Entry) => void,
  { kind, slice: length = SLICE, turn }: ReplayOptions = {},
): Promise<void> {
  for (let after = from; ; ) {
    const slice = await logbook.after(after, length, kind);
    for (const entry of slice) take(entry);
    if (slice.length < length) return;
    after = slice[slice.length - 1].entry;
    if (turn && !(await turn())) return;
  }
}

/** The past held by a log book now. */
export async function readPast(logbook: Pick<Logbook, 'after'>, site: Site, keys: KeyRing): Promise<Past> {
  const past = createPast(site, keys);
  await replay(logbook, 0, (entry) => past.take(entry));
  return past;
}
