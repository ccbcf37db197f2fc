// What proven records say about a luminaire: its results, its repairs, the human checks of it, and whether records of its controllers are
// missing in between.

import type { ResultRecord } from '../../../firmware/contract/messages';
import { controllerOf } from '../../../firmware/contract/topics';
import { idsOf } from '../../house/rows/listed';
import { lampResult, resultAt } from '../../records/result';
import { reasonSentence, testKindWord, verdictWord } from '../../words/codes';
import type { Checked, ProvenEntry } from './check';
import { type Turns, takingTurns } from './turns';

export interface ProvenResult {
  entry: number;
  /** UTC second at which the discharge began. */
  at: number;
  circuit: string;
  kind: ReturnType<typeof testKindWord>;
  verdict: ReturnType<typeof verdictWord>;
  /** Plain sentence, '' for a pass. */
  reason: string;
  /** Seconds the lamp was seen lit. */
  seconds: number;
}

interface Entered {
  entry: number;
  /** UTC second at which it was done. */
  at: number;
  who: string;
  /** By whom and why it was withdrawn, '' while it counts. */
  withdrawn: string;
}

export interface ProvenRepair extends Entered {
  what: string;
}

/** What a person looked at. */
export interface ProvenCheck extends Entered {
  title: string;
  /** "site", or the part of it, such as "area hall". */
  scope: string;
  points: number;
  /** Points in order. */
  inOrder: number;
  /** What was not in order at the luminaire, or at none that was named. */
  found: string[];
  /** Points not in order, but only at other luminaires, by their names. */
  elsewhere: number;
  /** Points that do not apply. */
  notApplicable: number;
}

/** Records that are not in the file, and the UTC seconds of those before and after them. */
export interface Gap {
  from: number;
  to: number;
  after: number;
  before: number;
}

/** Records of one journal that the file holds. */
export interface ProvenJournal {
  address: string;
  journal: string;
  from: number;
  to: number;
  /** Luminaires of the circuit, of every list in the file. */
  luminaires: string[];
  /** What in between the file does not hold. */
  gaps: Gap[];
  /** Numbers that do not follow from the record before. */
  unlinked: number[];
}

export interface Story {
  /** Newest first. */
  results: ProvenResult[];
  repairs: ProvenRepair[];
  checks: ProvenCheck[];
  journals: ProvenJournal[];
  /** Results whose list of luminaires is not in the file, by entry. */
  unlisted: number[];
}

interface Fields {
  journal?: unknown;
  seq?: unknown;
  prev?: unknown;
  kind?: unknown;
  [name: string]: unknown;
}

function fieldsOf(body: string): Fields {
  try {
    const value: unknown = JSON.parse(body);
    return typeof value === 'object' && value !== null ? (value as Fields) : {};
  } catch {
    return {};
  }
}

type ResultFields = Pick<ResultRecord, 'settings' | 'type' | 'started' | 'lamps'>;

const isNumber = (value: unknown): value is number => typeof value === 'number';

/** What of a result is shown; undefined if it is none. The schemas of the host would make every file ten times longer. */
function resultOf({ kind, settings, type, started, lamps }: Fields): ResultRecord | undefined {
  const isRow = (row: unknown): row is number[] => Array.isArray(row) && row.every(isNumber);
  if (kind !== 'result' || !isNumber(settings) || !isNumber(type) || !isNumber(started)) return undefined;
  if (!Array.isArray(lamps) || !lamps.every(isRow)) return undefined;
  return { settings, type, started, lamps } satisfies ResultFields as ResultRecord;
}

interface ProvenAnswer {
  mark: unknown;
  /** Ids of the luminaires that are named. */
  luminaires: string[];
  /** What was asked, and what was found. */
  text: string;
}

function answerOf(point: unknown): ProvenAnswer {
  const { mark, luminaires, asked, words } = (point ?? {}) as Record<string, unknown>;
  const said = typeof words === 'string' && words !== '' ? ` (${words})` : '';
  return {
    mark,
    luminaires: Array.isArray(luminaires) ? luminaires.map(String) : [],
    text: `${String(asked ?? '').replace(/\.$/, '')}${said}`,
  };
}

const isNote = (address: string): boolean => address.split('/').length === 3;

/** Luminaires by circuit and revision of its settings. */
function listsOf(entries: readonly ProvenEntry[]): Map<string, string[]> {
  const lists = new Map<string, string[]>();
  for (const { address, body } of entries) {
    if (!isNote(address)) continue;
    const { kind, revision, luminaires } = fieldsOf(body);
    if (kind === 'listed' && typeof luminaires === 'string')
      lists.set(`${controllerOf(address)} ${revision}`, idsOf({ revision: Number(revision), luminaires }));
  }
  return lists;
}

/** What the next record must name as the one before: `chainHash` of the contract. */
export type LinkOf = (body: string) => string;

interface Link {
  at: number;
  prev: unknown;
  /** What the next record must name. */
  hash: string;
}

/** Reads entry by entry and keeps of each only what is told: all that is in a hundred thousand is too much. */
class Teller {
  private readonly lists: Map<string, string[]>;
  private readonly links = new Map<string, Map<number, Link>>();
  readonly results: ProvenResult[] = [];
  readonly repairs: ProvenRepair[] = [];
  readonly checks: ProvenCheck[] = [];
  /** By the number of the entry that no longer counts. */
  private readonly withdrawals = new Map<unknown, string>();
  readonly unlisted: number[] = [];

  constructor(
    entries: readonly ProvenEntry[],
    private readonly ids: readonly string[],
    private readonly linkOf: LinkOf,
  ) {
    this.lists = listsOf(entries);
  }

  take(one: ProvenEntry): void {
    const fields = fieldsOf(one.body);
    this.link(one, fields);
    if (isNote(one.address)) this.note(one, fields);
    else this.result(one, fields);
  }

  private link({ address, at, body }: ProvenEntry, { journal, seq, prev }: Fields): void {
    if (typeof journal !== 'string' || typeof seq !== 'number') return;
    const name = `${address} ${journal}`;
    const links = this.links.get(name) ?? new Map<number, Link>();
    links.set(seq, { at, prev, hash: this.linkOf(body) });
    this.links.set(name, links);
  }

  private result({ entry, address, at }: ProvenEntry, fields: Fields): void {
    const record = resultOf(fields);
    if (!record) return;
    const circuit = controllerOf(address);
    const list = this.lists.get(`${circuit} ${record.settings}`);
    if (!list) this.unlisted.push(entry);
    const lamp = lampResult(record, list?.findIndex((id) => this.ids.includes(id)) ?? -1);
    if (!lamp) return;
    const verdict = verdictWord(lamp.verdict);
    const reason = verdict === 'pass' ? '' : reasonSentence(lamp.reason);
    const when = { entry, at: resultAt(record, at), circuit, kind: testKindWord(record.type) };
    this.results.push({ ...when, verdict, reason, seconds: lamp.litSec });
  }

  private note(one: ProvenEntry, fields: Fields): void {
    const { kind, withdraws, who, why } = fields;
    if (kind === 'withdrawn') this.withdrawals.set(withdraws, `${who}: ${why}`);
    this.repair(one, fields);
    this.check(one, fields);
  }

  /** Notes of an area are taken whatever stands in it: no record says that. */
  private isOfIt(scope: string): boolean {
    const [part, id] = scope.split(' ');
    if (part === 'luminaire') return this.ids.includes(id);
    if (part !== 'circuit') return true;
    return this.luminairesOf(id).some((one) => this.ids.includes(one));
  }

  private check({ entry, at }: ProvenEntry, fields: Fields): void {
    const { kind, done, scope, title, who, points } = fields;
    if (kind !== 'inspection' || typeof scope !== 'string' || !Array.isArray(points)) return;
    if (!this.isOfIt(scope)) return;
    const answers = points.map(answerOf);
    const marked = (wanted: string): ProvenAnswer[] => answers.filter(({ mark }) => mark === wanted);
    const bad = marked('not in order');
    const found = bad.filter(
      ({ luminaires }) => luminaires.length === 0 || luminaires.some((id) => this.ids.includes(id)),
    );
    this.checks.push({
      ...{ entry, at: isNumber(done) ? done : at, who: String(who ?? ''), withdrawn: '' },
      ...{ title: String(title ?? ''), scope, points: answers.length, inOrder: marked('in order').length },
      ...{ found: found.map(({ text }) => text), elsewhere: bad.length - found.length },
      notApplicable: marked('not applicable').length,
    });
  }

  /** Marks what was withdrawn; called once all entries are taken. */
  withdraw(): void {
    for (const one of [...this.repairs, ...this.checks])
      one.withdrawn = this.withdrawals.get(one.entry) ?? '';
  }

  private repair({ entry, at }: ProvenEntry, { kind, luminaires, who, what }: Fields): void {
    const lamps = typeof luminaires === 'string' ? luminaires.split(' ') : [];
    if (kind !== 'repaired' || !lamps.some((id) => this.ids.includes(id))) return;
    this.repairs.push({ entry, at, who: String(who ?? ''), what: String(what ?? ''), withdrawn: '' });
  }

  private luminairesOf(circuit: string): string[] {
    const lists = [...this.lists].filter(([name]) => name.startsWith(`${circuit} `));
    return [...new Set(lists.flatMap(([, ids]) => ids))];
  }

  journals(): ProvenJournal[] {
    return [...this.links].map(([name, links]) => {
      const [address, journal] = name.split(' ');
      const numbers = [...links.keys()].sort((a, b) => a - b);
      const [from, to] = [numbers[0], numbers[numbers.length - 1]];
      const gaps: Gap[] = [];
      const unlinked: number[] = [];
      for (let i = 1; i < numbers.length; i++) {
        const [last, seq] = [numbers[i - 1], numbers[i]];
        const [before, link] = [links.get(last)!, links.get(seq)!];
        if (last + 1 < seq) gaps.push({ from: last + 1, to: seq - 1, after: before.at, before: link.at });
        else if (link.prev !== before.hash) unlinked.push(seq);
      }
      const luminaires = this.luminairesOf(controllerOf(address));
      return { address, journal, from, to, luminaires, gaps, unlinked };
    });
  }
}

/**
 * Where records that are not those of the checkpoint betray themselves: the first that does not follow from the one
 * before it in its journal, or that has numbers left out before it.
 */
export function placeOf(entries: readonly ProvenEntry[], linkOf: LinkOf): string {
  const newest = new Map<string, { entry: number; seq: number; hash: string }>();
  let gap = '';
  for (const { entry, address, body } of entries) {
    const { journal, seq, prev } = fieldsOf(body);
    if (typeof journal !== 'string' || typeof seq !== 'number') return `entry ${entry} cannot be read`;
    const name = `${address} ${journal}`;
    const last = newest.get(name);
    const which = `entry ${entry} (record ${seq} of ${address})`;
    if (last && (seq <= last.seq || (seq === last.seq + 1 && prev !== last.hash)))
      return `${which} does not follow from entry ${last.entry}`;
    if (last && seq > last.seq + 1 && !isNote(address))
      gap ||= `before ${which} ${seq - last.seq - 1} records are left out after entry ${last.entry}`;
    newest.set(name, { entry, seq, hash: linkOf(body) });
  }
  return (
    gap ||
    `of ${entries.length} entries each follows from the one before; look at the numbers and the last one of each journal`
  );
}

export async function storyOf(
  { about, entries }: Pick<Checked, 'about' | 'entries'>,
  linkOf: LinkOf,
  turns: Turns = takingTurns(),
): Promise<Story> {
  const teller = new Teller(entries, [about.luminaire, ...about.formerly], linkOf);
  for (const one of entries) {
    teller.take(one);
    const others = turns();
    if (others) await others;
  }
  teller.withdraw();
  const { results, repairs, checks, unlisted } = teller;
  results.sort((a, b) => b.at - a.at || b.entry - a.entry);
  return { results, repairs, checks, unlisted, journals: teller.journals() };
}
