// What an entry is about, for a person: circuit, test, moment and luminaires.
import { createNotes, type Notes } from '../house/notes/entered';
import { isNoteAddress } from '../house/notes/notes';
import type { KeyRing } from '../keys';
import type { Fault } from '../logbook/fault';
import { entriesOf, type Inspected, type RawEntry } from '../logbook/inspect';
import { LogbookError } from '../logbook/logbook';
import { resultAt } from '../records/result';
import { readRecord } from '../records/schema';
import type { Site } from '../site/model';
import { testName } from '../words/codes';
import { momentWord } from '../words/when';

/** Most luminaires named one by one. */
const NAMED_MAX = 8;

/** Takes the notes, as far as the file can be read. */
function takeNotes(notes: Notes, book: Inspected): void {
  try {
    for (const entry of entriesOf(book)) if (isNoteAddress(entry.address)) notes.take(entry);
  } catch (error) {
    // What the rest is about is then not named.
    if (!(error instanceof LogbookError)) throw error;
  }
}

function oneEntry(book: Inspected, entry: number): RawEntry | undefined {
  try {
    return book.slice(entry - 1, 1).find((e) => e.entry === entry);
  } catch {
    return undefined;
  }
}

function listWords(ids: readonly string[]): string {
  return ids.length > NAMED_MAX
    ? `${ids.length} luminaires, ${ids[0]} to ${ids[ids.length - 1]}`
    : ids.join(', ');
}

/** Names what a fault's entry is about, if it is about one that can be read. */
export function namerOf(
  book: Inspected,
  site: Site,
  keys: KeyRing | undefined,
): (fault: Fault) => Pick<Fault, 'about'> {
  const notes = keys && createNotes(site, keys);
  if (notes) takeNotes(notes, book);
  return ({ part, entry, to }) => {
    // A checkpoint and a storage fault are about ranges.
    const e = to === undefined && part !== 'storage' && entry > 0 ? oneEntry(book, entry) : undefined;
    if (!e) return {};
    const circuit = site.circuits.find(({ id }) => e.address.split('/')[1] === id);
    const where = circuit ? `circuit ${circuit.id}, ${circuit.name}` : e.address;
    const record = readRecord(e.body);
    if (record?.kind !== 'result')
      return { about: `${where}: ${e.kind}, ${momentWord(e.at, site.timeZone)}` };
    const ids = circuit && notes?.listed(circuit.id, record.settings);
    const lamps = ids ? `; luminaires ${listWords(ids)}` : '';
    const when = momentWord(resultAt(record, e.at), site.timeZone);
    return { about: `${where}: ${testName(record.type)} of ${when}${lamps}` };
  };
}
