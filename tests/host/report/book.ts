// A log book for reports: the invented house with any records and notes a test needs.
import type { Verdict } from '../../../firmware/contract/codes';
import { type NewNote, writeNote } from '../../../host/house/notes/notes';
import { openLogbook } from '../../../host/logbook/engines/open';
import type { Logbook } from '../../../host/logbook/logbook';
import { periodOf } from '../../../host/report/period';
import { makeReport, type Report, type ReportOptions } from '../../../host/report/report';
import type { Site } from '../../../host/site/model';
import { listFirst } from '../house/bench';
import { HOUSE } from '../house/site';
import { type Journal, KEYS, newJournal, resultFields } from '../logbook/records';

export const DAY_SEC = 86_400;

/** UTC second of an hour past midnight in UTC of a date. */
export function at(date: string, hour = 1): number {
  return Date.parse(`${date}T00:00Z`) / 1000 + hour * 3600;
}

export interface Outcome {
  verdict: Verdict;
  reason?: number;
  litSec?: number;
}

export interface Book {
  logbook: Logbook;
  /** One test of a circuit with an outcome for each luminaire. */
  test(circuit: string, type: number, started: number, lamps: Outcome[], more?: object): Promise<void>;
  /** The controller of a circuit has lost its memory. */
  anew(circuit: string): Promise<void>;
  event(circuit: string, kind: string, fields: object): Promise<void>;
  note(note: Omit<NewNote, 'address'> & { circuit: string }): Promise<void>;
  report(from: string, to: string, more?: Partial<ReportOptions>): Promise<Report>;
}

export async function newBook(site: Site = HOUSE): Promise<Book> {
  const logbook = await openLogbook(':memory:');
  await listFirst(logbook, site);
  const journals = new Map<string, Journal>();
  const journalOf = (circuit: string): Journal => {
    const known = journals.get(circuit) ?? newJournal(`${site.id}/${circuit}`);
    journals.set(circuit, known);
    return known;
  };
  const add = async (circuit: string, kind: string, fields: object): Promise<void> => {
    await logbook.appendBatch([journalOf(circuit).record(kind, fields)]);
  };
  return {
    logbook,
    event: add,
    async anew(circuit) {
      journals.set(circuit, newJournal(`${site.id}/${circuit}`, 'anew0001'));
    },
    test(circuit, type, started, lamps, more = {}) {
      const rows = lamps.map(({ verdict, reason = 0, litSec = 90 }) => [
        verdict,
        reason,
        litSec,
        300,
        300,
        290,
        0,
      ]);
      return add(circuit, 'result', resultFields(rows, { started, type, test: 0, ...more }));
    },
    async note({ circuit, ...note }) {
      await writeNote(logbook, KEYS, { address: `${site.id}/${circuit}`, ...note });
    },
    report: (from, to, more = {}) =>
      makeReport({
        ...{ site, logbook, keys: KEYS, period: periodOf(site, from, to), simulated: false },
        ...{ now: at('2027-01-15'), turns: () => undefined },
        ...more,
      }),
  };
}
