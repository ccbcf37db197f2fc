// What proven records say about a luminaire: its results, its repairs, and whether records of its controllers are
// missing in between.

import type { ResultRecord } from '../../../firmware/contract/messages';
import { type Sha256 as ContractSha256, chainHash } from '../../../firmware/contract/signature';
import { controllerOf } from '../../../firmware/contract/topics';
import { idsOf } from '../../house/rows/listed';
import { lampResult, resultAt } from '../../records/result';
import { reasonSentence, testKindWord, verdictWord } from '../../words/codes';
import type { Checked, ProvenEntry } from './check';

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

export interface ProvenRepair {
  entry: number;
  at: number;
  who: string;
  what: string;
}

/** Records of one journal that the file holds. */
export interface ProvenJournal {
  address: string;
  journal: string;
  from: number;
  to: number;
  /** Numbers in between that the file does not hold. */
  missing: number[];
  /** Numbers that do not follow from the record before. */
  unlinked: number[];
}

export interface Story {
  /** Newest first. */
  results: ProvenResult[];
  repairs: ProvenRepair[];
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

interface Read extends ProvenEntry {
  fields: Fields;
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

const isNote = (address: string): boolean => address.split('/').length === 3;

/** Luminaires by circuit and revision of its settings. */
function listsOf(reads: readonly Read[]): Map<string, string[]> {
  const lists = new Map<string, string[]>();
  for (const { address, fields } of reads)
    if (isNote(address) && fields.kind === 'listed' && typeof fields.luminaires === 'string')
      lists.set(
        `${controllerOf(address)} ${fields.revision}`,
        idsOf({ revision: Number(fields.revision), luminaires: fields.luminaires }),
      );
  return lists;
}

function resultsOf(reads: readonly Read[], ids: readonly string[]): Pick<Story, 'results' | 'unlisted'> {
  const lists = listsOf(reads);
  const story: Pick<Story, 'results' | 'unlisted'> = { results: [], unlisted: [] };
  for (const { entry, address, at, fields } of reads) {
    const record = isNote(address) ? undefined : resultOf(fields);
    if (!record) continue;
    const circuit = controllerOf(address);
    const list = lists.get(`${circuit} ${record.settings}`);
    if (!list) story.unlisted.push(entry);
    const lamp = lampResult(record, list?.findIndex((id) => ids.includes(id)) ?? -1);
    if (!lamp) continue;
    const verdict = verdictWord(lamp.verdict);
    const reason = verdict === 'pass' ? '' : reasonSentence(lamp.reason);
    const when = { entry, at: resultAt(record, at), circuit, kind: testKindWord(record.type) };
    story.results.push({ ...when, verdict, reason, seconds: lamp.litSec });
  }
  story.results.sort((a, b) => b.at - a.at || b.entry - a.entry);
  return story;
}

function repairsOf(reads: readonly Read[], ids: readonly string[]): ProvenRepair[] {
  return reads.flatMap(({ entry, at, address, fields }) => {
    const lamps = typeof fields.luminaires === 'string' ? fields.luminaires.split(' ') : [];
    if (!isNote(address) || fields.kind !== 'repaired' || !lamps.some((id) => ids.includes(id))) return [];
    return [{ entry, at, who: String(fields.who ?? ''), what: String(fields.what ?? '') }];
  });
}

function journalsOf(reads: readonly Read[], sha256: ContractSha256): ProvenJournal[] {
  const journals = new Map<string, Map<number, Read>>();
  for (const read of reads) {
    const { journal, seq } = read.fields;
    if (typeof journal !== 'string' || typeof seq !== 'number') continue;
    const name = `${read.address} ${journal}`;
    if (!journals.has(name)) journals.set(name, new Map());
    journals.get(name)!.set(seq, read);
  }
  return [...journals].map(([name, records]) => {
    const [address, journal] = name.split(' ');
    const numbers = [...records.keys()].sort((a, b) => a - b);
    const [from, to] = [numbers[0], numbers[numbers.length - 1]];
    const missing: number[] = [];
    const unlinked: number[] = [];
    for (let i = 1; i < numbers.length; i++) {
      const [before, seq] = [numbers[i - 1], numbers[i]];
      for (let lost = before + 1; lost < seq && missing.length < 1000; lost++) missing.push(lost);
      if (before + 1 !== seq) continue;
      if (records.get(seq)!.fields.prev !== chainHash(sha256, records.get(before)!.body)) unlinked.push(seq);
    }
    return { address, journal, from, to, missing, unlinked };
  });
}

/** @param sha256 on binary strings, as controllers link their records */
export function storyOf(
  { about, entries }: Pick<Checked, 'about' | 'entries'>,
  sha256: ContractSha256,
): Story {
  const ids = [about.luminaire, ...about.formerly];
  const reads = entries.map((entry) => ({ ...entry, fields: fieldsOf(entry.body) }));
  return { ...resultsOf(reads, ids), repairs: repairsOf(reads, ids), journals: journalsOf(reads, sha256) };
}
