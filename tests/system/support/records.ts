// A log book's judgements on each luminaire, read from its file with the log book's own reader.

import type { AnyRecord, ResultRecord } from '../../../firmware/contract/messages';
import { isNoteAddress } from '../../../host/house/notes/notes';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Entry } from '../../../host/logbook/logbook';
import { isOwnJournal } from '../../../host/logbook/own';
import { type LampResult, lampResult } from '../../../host/records/result';
import { readRecord } from '../../../host/records/schema';
import type { Site } from '../../../host/site/model';

/** One entry with its record and the circuit it belongs to. */
export interface Line {
  entry: Entry;
  circuit: string;
  record: AnyRecord;
}

/** One luminaire in one test. */
export interface Judged extends LampResult {
  circuit: string;
  luminaire: string;
  result: ResultRecord;
  /** UTC second of the entry. */
  at: number;
}

/**
 * The controllers' records in a log book, oldest first, without the host's own entries. @throws Error if one cannot be
 * read.
 */
export async function readLines(db: string): Promise<Line[]> {
  const logbook = await openLogbook(db);
  try {
    const all = await logbook.after(0, 1_000_000);
    const entries = all.filter((e) => !isNoteAddress(e.address) && !isOwnJournal(e.journal));
    return entries.map((entry) => {
      const record = readRecord(entry.body);
      if (!record) throw new Error(`Entry ${entry.entry} is no record: ${entry.body}`);
      return { entry, circuit: entry.address.split('/')[1], record };
    });
  } finally {
    await logbook.close();
  }
}

/** Every judgement on every luminaire, oldest first. */
export function judgements(site: Site, lines: Line[]): Judged[] {
  return lines.flatMap(({ entry, circuit, record }) => {
    if (record.kind !== 'result') return [];
    const { luminaires } = site.circuits.find((c) => c.id === circuit)!;
    return luminaires.map(({ id }, index): Judged => {
      const lamp = lampResult(record, index);
      if (!lamp) throw new Error(`Entry ${entry.entry} says nothing of ${id}.`);
      return { ...lamp, circuit, luminaire: id, result: record, at: entry.at };
    });
  });
}
