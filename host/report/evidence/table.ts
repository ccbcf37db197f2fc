// Compares the table of results with the records beside it, line by line: what of it the records say.
import { parse } from 'csv-parse/sync';
import { aboutOf, isNoteAddress, parseNote } from '../../house/notes/notes';
import { idsOf, type ListedFields } from '../../house/rows/listed';
import { FormatError } from '../../proof/bytes';
import { lampResults, resultAt } from '../../records/result';
import { readRecord } from '../../records/schema';
import { plainCell } from '../../site/table/cells';
import { reasonSentence, testKindWord, verdictWord } from '../../words/codes';
import { isoUtc } from '../../words/when';
import { seenSec } from '../schedule';
import { FILES } from './proof';

export interface EvidenceRecord {
  entry: number;
  address: string;
  /** UTC second. */
  at: number;
  body: string;
}

type Line = Record<
  'luminaire' | 'formerly' | 'circuit' | 'test' | 'start' | 'litSeconds' | 'result' | 'reason' | 'entry',
  string
>;

/** What a result says of each luminaire, as the table has it. */
type Rows = Omit<Line, 'formerly' | 'entry'>[];

/** The records are of local days; no zone is further than this from UTC, s. */
const ZONE_SEC = 14 * 3600;

/** Ids of luminaires by circuit and revision of the settings: the first list of a revision counts. */
function listsOf(records: readonly EvidenceRecord[]): Map<string, string[]> {
  const lists = new Map<string, string[]>();
  for (const record of records) {
    const { address } = record;
    const note = isNoteAddress(address) ? parseNote<ListedFields & { kind: string }>(record) : undefined;
    if (!note) continue;
    const { kind, ...fields } = note.fields;
    const name = `${aboutOf(address)} ${fields.revision}`;
    if (kind === 'listed' && !lists.has(name)) lists.set(name, idsOf(fields));
  }
  return lists;
}

function resultsOf(records: readonly EvidenceRecord[]): Map<number, { at: number; rows: Rows }> {
  const lists = listsOf(records);
  const results = new Map<number, { at: number; rows: Rows }>();
  for (const { entry, address, at: written, body } of records) {
    const record = isNoteAddress(address) ? undefined : readRecord(body);
    if (record?.kind !== 'result') continue;
    const at = resultAt(record, written);
    const list = lists.get(`${address} ${record.settings}`) ?? [];
    const rows = lampResults(record).map((lamp, i) => {
      const { verdict, reason } = lamp;
      const result = verdictWord(verdict);
      return {
        ...{ luminaire: list[i] ?? '', circuit: address.split('/')[1], test: testKindWord(record.type) },
        ...{ start: isoUtc(at), litSeconds: String(seenSec(lamp) ?? 'unknown'), result },
        reason: result === 'pass' ? '' : reasonSentence(reason),
      };
    });
    results.set(entry, { at, rows });
  }
  return results;
}

function readTable(text: string): Line[] {
  try {
    const lines = parse(text, { bom: true, columns: true }) as Line[];
    return lines.map((line) => {
      const cells = Object.entries(line).map(([name, cell]) => [name, plainCell(cell)]);
      return Object.fromEntries(cells) as Line;
    });
  } catch {
    throw new FormatError(`${FILES.results} cannot be read: it is not as a report contains it.`);
  }
}

/** Where the table departs from a row, in the words of its column; '' nowhere. */
function departure(line: Line, row: Rows[number] | undefined): string {
  if (!row) return 'entry';
  const { luminaire, formerly } = line;
  // Where no list says whose row it is, the table says so too.
  if (row.luminaire !== '' && row.luminaire !== (formerly || luminaire)) return 'luminaire';
  return (
    (['circuit', 'test', 'start', 'litSeconds', 'result', 'reason'] as const).find(
      (name) => line[name] !== row[name],
    ) ?? ''
  );
}

/**
 * Compares what the records say: luminaire by its id then, circuit, test, start, seconds lit, result and reason. Place,
 * rated duration and today's id come from the site file.
 * @param from local date of the report, as `to`
 * @returns number of lines @throws FormatError with one sentence about the first line that differs or is missing
 */
export function checkTable(
  text: string,
  records: readonly EvidenceRecord[],
  { from, to }: { from: string; to: string },
): number {
  const results = resultsOf(records);
  const used = new Map<number, number>();
  const lines = readTable(text);
  lines.forEach((line, i) => {
    const entry = Number(line.entry);
    const place = used.get(entry) ?? 0;
    used.set(entry, place + 1);
    const wrong = departure(line, results.get(entry)?.rows[place]);
    if (wrong !== '')
      throw new FormatError(
        `Line ${i + 2} of ${FILES.results} is not as its record says: "${wrong}" differs from entry ${line.entry}.`,
      );
  });
  const [begin, end] = [Date.parse(`${from}T00:00Z`) / 1000, Date.parse(`${to}T24:00Z`) / 1000];
  for (const [entry, { at, rows }] of results) {
    const isWithin = at >= begin + ZONE_SEC && at < end - ZONE_SEC;
    const count = used.get(entry) ?? 0;
    if (count < rows.length && (count > 0 || isWithin))
      throw new FormatError(`${FILES.results} lacks lines of entry ${entry}.`);
  }
  return lines.length;
}
