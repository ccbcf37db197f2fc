// The defects of a site's luminaires, from what the log book says alone: results open and close them, notes
// tell of repairs and of who sees to them. Taken record by record in log book order; the work for one does not
// grow with their number, and neither does what is kept of the closed ones.
import { Verdict } from '../../../firmware/contract/codes';
import type { ResultRecord } from '../../../firmware/contract/messages';
import type { KeyRing } from '../../keys';
import type { Entry } from '../../logbook/logbook';
import { resultAt } from '../../records/result';
import type { Site } from '../../site/model';
import { testKindWord } from '../../words/codes';
import { SHOWS } from '../history/lamps';
import type { Care, CareFields } from '../notes/care';
import { aboutOf, type Note, signedNote } from '../notes/notes';
import { kindAfter, type RepairFields } from '../notes/repairs';
import { signedWithdrawal } from '../notes/withdrawn';
import { type Listed, type Place, placedRows, placesOf } from '../rows/listed';
import {
  causeOf,
  type Defect,
  type Fail,
  failedAgain,
  isAfter,
  isBack,
  isClosedBy,
  type Mark,
  type Mended,
  openedBy,
  type Pass,
  REPAIRS_MAX,
  reopenedBy,
  repairedBy,
  type TestWord,
  withoutRepair,
} from './defect';

/** What is kept of one luminaire. */
interface LampDefects {
  open: Defect[];
  /** The newest closed ones, newest first. */
  closed: Defect[];
  /** The newest ones that count, the oldest first. */
  repairs: Mended[];
  /** What people entered about it last, whether or not it had a defect then. */
  care: Care | null;
  /** The newest pass of each kind. */
  passes: Partial<Record<TestWord, Pass>>;
}

/** What was read so far, as JSON can hold it: by luminaire, and by circuit. */
export interface DefectsState {
  lamps: [string, LampDefects][];
  circuits: [string, Care][];
  forgotten: number;
}

export interface Defects {
  /** A result of a circuit, in log book order. */
  take(circuit: string, record: ResultRecord, entry: Mentioned): void;
  /** A note, in log book order; one without our signature changes nothing. */
  takeNote(entry: Entry): void;
  /** Defects that are not closed, in the order of the site file. */
  open(): Defect[];
  /** Those of one luminaire that are not closed; none if there is no such luminaire. */
  openOf(luminaire: string): Defect[];
  /** When a luminaire last passed a test of each kind, UTC seconds at which the tests began. */
  passedAt(luminaire: string): Partial<Record<TestWord, number>>;
  /** Closed ones that are still kept, the newest first. */
  closed(): readonly Defect[];
  /** How many closed ones are no longer kept; the log book has their records. */
  forgotten(): number;
  /** What people entered about a circuit as a whole. */
  careOf(circuit: string): Care | undefined;
  /** What people entered about a luminaire last. */
  careOfLamp(luminaire: string): Care | undefined;
  state(): DefectsState;
}

type Mentioned = Pick<Entry, 'entry' | 'at' | 'address' | 'journal' | 'seq'>;

/** Closed defects kept per luminaire. */
const CLOSED_MAX = 5;

const newLamp = (): LampDefects => ({ open: [], closed: [], repairs: [], care: null, passes: {} });

/** Whether a test that was made after it, and shows as much, has already passed. */
function isDisproved({ passes }: LampDefects, fail: Fail): boolean {
  return Object.entries(passes).some(
    ([kind, mark]) =>
      SHOWS[kind as TestWord] >= SHOWS[fail.kind] && mark.journal === fail.journal && isAfter(mark, fail),
  );
}

function withFail(lamp: LampDefects, luminaire: string, fail: Fail): LampDefects {
  if (isDisproved(lamp, fail)) return lamp;
  const cause = causeOf(fail.reason);
  const present = lamp.open.find((one) => one.cause === cause);
  if (present)
    return { ...lamp, open: lamp.open.map((one) => (one === present ? failedAgain(one, fail) : one)) };
  const back = lamp.closed.find((one) => one.cause === cause);
  if (!back || !isBack(back, fail))
    return { ...lamp, open: [...lamp.open, openedBy(fail, luminaire, lamp.repairs.at(-1) ?? null)] };
  const closed = lamp.closed.filter((one) => one !== back);
  return { ...lamp, open: [...lamp.open, reopenedBy(back, fail)], closed };
}

/** Keeps the newest pass of a kind, in place: most results of most luminaires do nothing else. */
function notePass({ passes }: LampDefects, pass: Pass): void {
  const before = passes[pass.kind];
  if (!before || isAfter(pass, before)) passes[pass.kind] = pass;
}

function withPass(lamp: LampDefects, pass: Pass): LampDefects {
  const closing = lamp.open.filter((one) => isClosedBy(one, pass));
  if (closing.length === 0) return lamp;
  return {
    ...lamp,
    open: lamp.open.filter((one) => !closing.includes(one)),
    closed: [...closing.map((one) => ({ ...one, closed: pass })), ...lamp.closed],
  };
}

/** What a withdrawn repair seemed to owe may have hidden a pass that was proof enough. */
function withoutRepairs(lamp: LampDefects, entry: number): LampDefects {
  const left: LampDefects = {
    ...lamp,
    repairs: lamp.repairs.filter((one) => one.entry !== entry),
    open: lamp.open.map((one) => withoutRepair(one, entry)),
    closed: lamp.closed.map((one) => withoutRepair(one, entry)),
  };
  return Object.values(lamp.passes).reduce(withPass, left);
}

function isUsed({ open, closed, repairs, care, passes }: LampDefects): boolean {
  const isSeen = care !== null || Object.keys(passes).length > 0;
  return isSeen || open.length + closed.length + repairs.length > 0;
}

class SiteDefects implements Defects {
  private readonly lamps = new Map<string, LampDefects>();
  private readonly circuits: Map<string, Care>;
  private readonly places: ReadonlyMap<string, Place>;
  private readonly luminaires: ReadonlyMap<string, string[]>;
  private readonly journals = new Map<string, { journal: string; name: string }>();
  private dropped: number;
  /** Until one changes. */
  private closedOnes: readonly Defect[] | undefined;

  constructor(
    private readonly site: Site,
    private readonly keys: KeyRing,
    private readonly listed: Listed,
    from: DefectsState,
  ) {
    const known = new Map(from.lamps);
    for (const { luminaires } of site.circuits)
      for (const { id } of luminaires) this.lamps.set(id, known.get(id) ?? newLamp());
    this.circuits = new Map(from.circuits);
    this.places = placesOf(site);
    this.luminaires = new Map(site.circuits.map((one) => [one.id, one.luminaires.map(({ id }) => id)]));
    this.dropped = from.forgotten;
  }

  take(circuit: string, record: ResultRecord, entry: Mentioned): void {
    const mark: Mark = { journal: this.journalOf(entry), seq: entry.seq, entry: entry.entry };
    const kind = testKindWord(record.type);
    const when = { ...mark, at: resultAt(record, entry.at), kind };
    for (const { place, row } of placedRows(this.listed, this.places, circuit, record)) {
      const id = this.idAt(place);
      const { verdict, reason, litSec } = row;
      if (verdict === Verdict.Fail)
        this.change(id, (lamp) => withFail(lamp, id, { ...when, reason, litSec }));
      if (verdict !== Verdict.Pass) continue;
      const lamp = this.lamps.get(id)!;
      notePass(lamp, when);
      if (lamp.open.length > 0) this.change(id, () => withPass(lamp, when));
    }
  }

  takeNote(entry: Entry): void {
    const [siteId, id] = aboutOf(entry.address).split('/');
    if (siteId !== this.site.id) return;
    if (entry.kind === 'repaired') this.takeRepair(id, signedNote<RepairFields>(this.keys, entry));
    if (entry.kind === 'defect') this.takeCare(id, signedNote<CareFields>(this.keys, entry));
    const withdrawn = signedWithdrawal(this.keys, entry)?.withdraws;
    if (withdrawn === undefined) return;
    for (const [lamp, { repairs }] of this.lamps)
      if (repairs.some((one) => one.entry === withdrawn))
        this.change(lamp, (known) => withoutRepairs(known, withdrawn));
  }

  open(): Defect[] {
    return [...this.lamps.values()].flatMap(({ open }) => open);
  }

  openOf(luminaire: string): Defect[] {
    return this.lamps.get(luminaire)?.open ?? [];
  }

  passedAt(luminaire: string): Partial<Record<TestWord, number>> {
    const passes = this.lamps.get(luminaire)?.passes ?? {};
    return Object.fromEntries(Object.entries(passes).map(([kind, { at }]) => [kind, at]));
  }

  closed(): readonly Defect[] {
    this.closedOnes ??= [...this.lamps.values()]
      .flatMap(({ closed }) => closed)
      .sort((a, b) => b.closed!.entry - a.closed!.entry);
    return this.closedOnes;
  }

  forgotten(): number {
    return this.dropped;
  }

  careOf(circuit: string): Care | undefined {
    return this.circuits.get(circuit);
  }

  careOfLamp(luminaire: string): Care | undefined {
    return this.lamps.get(luminaire)?.care ?? undefined;
  }

  state(): DefectsState {
    const lamps = [...this.lamps].filter(([, lamp]) => isUsed(lamp));
    return { lamps, circuits: [...this.circuits], forgotten: this.dropped };
  }

  private takeRepair(circuitId: string, note: Note<RepairFields> | undefined): void {
    const circuit = this.site.circuits.find(({ id }) => id === circuitId);
    if (!note || !circuit) return;
    const { entry, at, who, fields } = note;
    const owes = testKindWord(kindAfter(circuit, fields));
    const repair: Mended = { entry, at, who, what: fields.what, owes };
    for (const id of fields.luminaires.split(' ')) {
      const place = this.places.get(id);
      if (!place) continue;
      this.change(this.idAt(place), (lamp) => ({
        ...{ ...lamp, repairs: [...lamp.repairs, repair].slice(-REPAIRS_MAX) },
        open: lamp.open.map((one) => repairedBy(one, repair)),
      }));
    }
  }

  private takeCare(circuit: string, note: Note<CareFields> | undefined): void {
    if (!note) return;
    const { luminaire, owner, due, interim, words } = note.fields;
    const care: Care = { owner, due, interim, words, entry: note.entry, who: note.who, at: note.at };
    const place = this.places.get(luminaire);
    if (luminaire === '' && this.site.circuits.some(({ id }) => id === circuit))
      this.circuits.set(circuit, care);
    else if (place)
      this.change(this.idAt(place), (lamp) => ({
        ...{ ...lamp, care },
        open: lamp.open.map((one) => ({ ...one, care })),
      }));
  }

  private change(id: string, make: (lamp: LampDefects) => LampDefects): void {
    const lamp = make(this.lamps.get(id)!);
    this.closedOnes = undefined;
    this.dropped += Math.max(0, lamp.closed.length - CLOSED_MAX);
    this.lamps.set(
      id,
      lamp.closed.length > CLOSED_MAX ? { ...lamp, closed: lamp.closed.slice(0, CLOSED_MAX) } : lamp,
    );
  }

  /** Address and journal as one text, the same one for all its records: it is compared often. */
  private journalOf({ address, journal }: Mentioned): string {
    const known = this.journals.get(address);
    if (known?.journal === journal) return known.name;
    const name = `${address} ${journal}`;
    this.journals.set(address, { journal, name });
    return name;
  }

  /** Its id of today. */
  private idAt({ circuit, index }: Place): string {
    return this.luminaires.get(circuit)![index];
  }
}

/** The defects of a site before the first entry, or after those that made a state; see `Defects`. */
export function createDefects(
  site: Site,
  keys: KeyRing,
  listed: Listed,
  from: DefectsState = { lamps: [], circuits: [], forgotten: 0 },
): Defects {
  return new SiteDefects(site, keys, listed, from);
}
