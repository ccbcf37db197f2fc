// One walk over the log book, entry by entry, that finds out everything a report says beside the schedule. Of results
// it keeps only where they are, so that it holds little more than one line for each luminaire and deviation.
import { controllerOf } from '../../firmware/contract/topics';
import type { Defect } from '../house/defects/defect';
import type { Defects } from '../house/defects/defects';
import { type HumanCheck, signedInspection } from '../house/notes/inspected';
import type { Inspections } from '../house/notes/inspections';
import { aboutOf, isNoteAddress, signedNote } from '../house/notes/notes';
import { noteView } from '../house/notes/noteView';
import { WITHDRAWN, type WithdrawnFields } from '../house/notes/withdrawn';
import { createPast, type Past } from '../house/past';
import { allIdsOf, idsOf, type Listed, type ListedFields } from '../house/rows/listed';
import type { KeyRing } from '../keys';
import { type FaultList, faultList } from '../logbook/fault';
import type { Entry, Logbook } from '../logbook/logbook';
import { readOwn } from '../logbook/own';
import { bookWalk } from '../logbook/walk';
import { lampResults, resultAt } from '../records/result';
import { readRecord } from '../records/schema';
import type { Luminaire, Site } from '../site/model';
import { testKindWord } from '../words/codes';
import type { Deviation, Remark } from './findings';
import { GoneDefects } from './gone';
import { Lamps, lampWord, type ResultSeen } from './lamps';
import { isWithin, type Period } from './period';
import { Troubles } from './troubles';
import type { Turns } from './turns';

/** Entries read at once: a few ms of work. */
const SLICE = 200;

export type CountedKind = ReturnType<typeof testKindWord>;

/** Tests of circuits of one kind, and what they said of luminaires. */
export interface TestCounts {
  tests: number;
  pass: number;
  fail: number;
  void: number;
}

export class Gathered {
  /** Entries of the whole log book, and UTC seconds of the first and the newest; 0 if there are none. */
  entries = 0;
  begins = 0;
  ends = 0;
  /** Last entry of results in the period by circuit, also of circuits that the site file no longer has. */
  readonly circuits = new Map<string, number>();
  /** UTC second of the newest record of each controller. */
  readonly lastRecord = new Map<string, number>();
  readonly counts = new Map<CountedKind, TestCounts>();
  /** Numbers of the entries that the report rests on, rising: of the period, and the lists that say whose they are. */
  readonly sources: number[] = [];
  readonly lamps: Lamps;
  /** What the log book says of the site now. */
  readonly past: Past;
  /** Those that are open now, and all that were ever closed. */
  readonly defects: Defects;
  readonly closed: Defect[] = [];
  readonly gone: GoneDefects;
  readonly inspections: Inspections;
  readonly withdrawals: Past['withdrawals'];
  /** What people looked at in the period, also what was withdrawn since. */
  readonly checks: HumanCheck[] = [];
  readonly troubles: Troubles;
  /** Deviations found in the records themselves. */
  readonly records: Deviation[] = [];
  readonly remarks: Remark[] = [];
  /** What is wrong with the log book as a whole. */
  readonly faults: FaultList = faultList();
  private readonly byId = new Map<string, Luminaire>();
  private readonly lists = new Map<string, Map<number, string[]>>();

  constructor(
    private readonly site: Site,
    private readonly keys: KeyRing,
    private readonly period: Period,
  ) {
    for (const lamp of site.circuits.flatMap(({ luminaires }) => luminaires))
      for (const id of allIdsOf(lamp)) this.byId.set(id, lamp);
    this.lamps = new Lamps(period, (id) => this.lampOf(id)?.id);
    this.troubles = new Troubles(period);
    const listed: Listed = (circuit, revision) => this.listOf(circuit, revision);
    this.past = createPast(site, keys);
    this.defects = this.past.defects;
    this.gone = new GoneDefects(site, keys, listed, (id) => this.lampOf(id));
    this.inspections = this.past.inspections;
    this.withdrawals = this.past.withdrawals;
  }

  /** The luminaire that has an id today or had it before; undefined if the site file no longer has it. */
  lampOf(id: string): Luminaire | undefined {
    return this.byId.get(id);
  }

  /** Ids of a circuit's luminaires as a revision of its settings lists them; undefined if the log book does not say. */
  listOf(circuit: string, revision: number): readonly string[] | undefined {
    return this.lists.get(circuit)?.get(revision);
  }

  /** Circuits of which some list names one of these ids. */
  circuitsOf(ids: readonly string[]): string[] {
    const names = (list: readonly string[]): boolean => list.some((id) => ids.includes(id));
    return [...this.lists].flatMap(([circuit, lists]) => ([...lists.values()].some(names) ? [circuit] : []));
  }

  /** The next entry, in order of number. */
  take(entry: Entry): void {
    this.entries = entry.entry;
    this.begins ||= entry.at;
    this.ends = Math.max(this.ends, entry.at);
    if (isWithin(this.period, entry.at)) this.source(entry.entry);
    if (!entry.address.startsWith(`${this.site.id}/`)) return;
    const own = readOwn(entry);
    if (own?.kind === 'kept') this.odd(entry, `A text was kept apart, and counts for nothing: ${own.why}`);
    if (own) return;
    if (isNoteAddress(entry.address)) this.note(entry);
    else this.record(entry);
  }

  private note(entry: Entry): void {
    const circuit = controllerOf(aboutOf(entry.address));
    const note = signedNote<object>(this.keys, entry);
    if (!note) {
      this.odd(entry, 'A note lacks the signature of this host, and counts for nothing.', 0);
      return;
    }
    const before = entry.kind === WITHDRAWN ? this.defects.open() : [];
    this.past.take(entry);
    this.gone.takeNote(entry);
    if (before.length > 0) this.closeAfter(before);
    if (entry.kind === 'listed') {
      this.source(entry.entry);
      this.list(circuit, note.fields as ListedFields, note.at);
    } else this.entered(entry, circuit, note.at);
    if (entry.kind === WITHDRAWN) this.withdrawn(entry, (note.fields as WithdrawnFields).withdraws);
  }

  /** A note that a person entered. */
  private entered(entry: Entry, circuit: string, at: number): void {
    const check = signedInspection(this.keys, entry);
    if (check && isWithin(this.period, check.done)) {
      this.source(entry.entry);
      this.checks.push(check);
    }
    if (check || !isWithin(this.period, at)) return;
    const view = noteView(entry, circuit, this.site.timeZone);
    this.remarks.push({ entry: entry.entry, at, circuit: view.circuit, text: view.text });
  }

  /** What says that an entry of the period counts no more belongs to it, whenever that was said. */
  private withdrawn({ entry }: Entry, number: number): void {
    if ([...this.checks, ...this.remarks].some((one) => one.entry === number)) this.source(entry);
  }

  private source(entry: number): void {
    if (this.sources[this.sources.length - 1] !== entry) this.sources.push(entry);
  }

  private list(circuit: string, fields: ListedFields, at: number): void {
    const lists = this.lists.get(circuit) ?? new Map<number, string[]>();
    this.lists.set(circuit, lists);
    // What was once noted about a revision stays: results may have been read by it.
    if (lists.has(fields.revision)) return;
    const ids = idsOf(fields);
    lists.set(fields.revision, ids);
    this.lamps.listed(ids, circuit, at);
    this.gone.list(circuit, ids, at);
  }

  private record(entry: Entry): void {
    const circuit = controllerOf(entry.address);
    this.lastRecord.set(circuit, Math.max(entry.at, this.lastRecord.get(circuit) ?? 0));
    const record = readRecord(entry.body);
    if (!record) {
      this.odd(entry, `A record of kind "${entry.kind}" cannot be read by this version.`, 0);
      return;
    }
    const at = record.kind === 'result' ? resultAt(record, entry.at) : entry.at;
    this.troubles.take({ record, circuit, entry: entry.entry, at });
    if (record.kind === 'result') this.result(entry, { record, circuit, entry: entry.entry, at });
    else this.past.take(entry, record);
  }

  private result(entry: Entry, result: Omit<ResultSeen, 'list'>): void {
    const { record, circuit, at } = result;
    const seen = { ...result, list: this.listOf(circuit, record.settings) };
    this.lamps.result(seen);
    this.defect(entry, seen);
    if (!isWithin(this.period, at)) return;
    this.source(entry.entry);
    this.count(seen);
    if ((seen.list?.length ?? 0) < record.lamps.length)
      this.odd(
        entry,
        `The log book does not say which luminaires ${record.lamps.length} results are about.`,
        0,
      );
  }

  /** The defects themselves forget what was closed long ago; a report on an old period must not. */
  private defect(entry: Entry, seen: ResultSeen): void {
    const { record, circuit, list, at } = seen;
    const ids = (list ?? []).map((id) => this.lamps.story(id, circuit).id);
    const openOf = (id: string): Defect[] => [...this.defects.openOf(id), ...this.gone.openOf(id)];
    const before = ids.flatMap(openOf);
    this.past.take(entry, record);
    this.gone.result(seen, entry);
    if (before.length === 0) return;
    const open = new Set(ids.flatMap((id) => openOf(id).map(nameOf)));
    for (const one of before)
      if (!open.has(nameOf(one)))
        this.closed.push({
          ...one,
          closed: {
            ...{ at, kind: testKindWord(record.type), entry: entry.entry, seq: entry.seq },
            journal: `${entry.address} ${entry.journal}`,
          },
        });
  }

  /** Without a repair that was withdrawn, a test made before may be the proof. */
  private closeAfter(before: readonly Defect[]): void {
    const open = new Set(this.defects.open().map(nameOf));
    const closed = before.filter((one) => !open.has(nameOf(one)));
    for (const one of closed) {
      const now = this.defects.closed().find((other) => nameOf(other) === nameOf(one));
      if (now) this.closed.push(now);
    }
  }

  private count({ record, circuit, entry }: ResultSeen): void {
    this.circuits.set(circuit, entry);
    const kind = testKindWord(record.type);
    const counts = this.counts.get(kind) ?? { tests: 0, pass: 0, fail: 0, void: 0 };
    this.counts.set(kind, counts);
    counts.tests++;
    for (const { verdict } of lampResults(record)) counts[lampWord(verdict)]++;
  }

  /** @param closedAt UTC second from which it is no longer open; the entry's own by default */
  private odd({ entry, at, address }: Entry, text: string, closedAt = at): void {
    if (!isWithin(this.period, at)) return;
    const circuit = controllerOf(isNoteAddress(address) ? aboutOf(address) : address);
    this.records.push({ what: 'records', circuit, luminaires: [], at, closedAt, entry, text });
  }
}

function nameOf({ luminaire, cause }: Defect): string {
  return `${luminaire} ${cause}`;
}

export interface GatherOptions {
  site: Site;
  period: Period;
  keys: KeyRing;
  turns: Turns;
}

/** What a log book says of a site, up to its newest entry now. */
export async function gather(logbook: Pick<Logbook, 'after'>, o: GatherOptions): Promise<Gathered> {
  const found = new Gathered(o.site, o.keys, o.period);
  const walk = bookWalk((fault) => found.faults.add(fault), o.keys);
  for (let after = 0; ; ) {
    const slice = await logbook.after(after, SLICE);
    for (const entry of slice) {
      walk.take(entry);
      found.take(entry);
      const others = o.turns();
      if (others) await others;
    }
    if (slice.length < SLICE) break;
    after = slice[slice.length - 1].entry;
  }
  walk.finish();
  return found;
}
