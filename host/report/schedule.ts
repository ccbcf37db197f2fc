// The schedule of results: circuit by circuit, test by test, read from the log book again a circuit at a time, so that
// a large building never lies in memory as a whole. Luminaires with the very same outcome of one test share a row.
import { Verdict } from '../../firmware/contract/codes';
import { isTesterFault } from '../../firmware/contract/limits';
import type { ResultRecord } from '../../firmware/contract/messages';
import { allIdsOf } from '../house/rows/listed';
import type { Entry, Logbook } from '../logbook/logbook';
import { type LampResult, lampResults, resultAt } from '../records/result';
import { readRecord } from '../records/schema';
import type { Luminaire, Site } from '../site/model';
import { reasonSentence, testKindWord, verdictWord } from '../words/codes';
import { lengthAtMost, lengthWord } from '../words/length';
import type { Gathered } from './gather';
import { isWithin, type Period } from './period';

/** Entries read at once. */
const SLICE = 100;
/** Most luminaires in one row, so that a row fits on a sheet. */
const TOGETHER_MAX = 40;

/** Lamp currents of one test as its sensor showed them, mA. */
export interface LampMilliamps {
  /** At 5 s, at 60 s and at the end; of no meaning where it was not lit by then. */
  battery: [number, number, number];
  /** Mean before the relay opened. */
  mains: number;
}

/** One luminaire in one test. */
export interface LampTest {
  entry: number;
  /** UTC second. */
  at: number;
  circuit: string;
  kind: ReturnType<typeof testKindWord>;
  /** Today's id, or a sentence where the log book does not say. */
  luminaire: string;
  /** The id it had then, if another. */
  formerly: string;
  place: string;
  /** How long it was seen lit, s; null if the tester cannot tell. */
  litSec: number | null;
  milliamps: LampMilliamps;
  /** Rated duration by today's site file, s; 0 if that no longer has the luminaire. */
  ratedSec: number;
  verdict: ReturnType<typeof verdictWord>;
  /** Plain sentence, '' for a pass. */
  reason: string;
}

/** One row: luminaires with the same outcome. */
export interface ScheduleRow extends Omit<LampTest, 'luminaire' | 'formerly' | 'place' | 'milliamps'> {
  luminaires: string[];
}

/** Results of a circuit in the period, oldest first. */
async function resultsOf(
  logbook: Pick<Logbook, 'page'>,
  address: string,
  period: Period,
  last: number,
): Promise<{ entry: Entry; record: ResultRecord; at: number }[]> {
  const found: { entry: Entry; record: ResultRecord; at: number }[] = [];
  for (let before = last + 1; ; ) {
    const slice = await logbook.page({ address, kind: 'result', before, limit: SLICE });
    for (const entry of slice) {
      const record = readRecord(entry.body);
      if (record?.kind !== 'result') continue;
      const at = resultAt(record, entry.at);
      if (isWithin(period, at)) found.push({ entry, record, at });
    }
    if (slice.length < SLICE) break;
    before = slice[slice.length - 1].entry;
  }
  return found.sort((a, b) => a.at - b.at || a.entry.entry - b.entry.entry);
}

export interface ScheduleOptions {
  site: Site;
  period: Period;
  logbook: Pick<Logbook, 'page'>;
  found: Gathered;
}

/** Circuits with results in the period: those of the site file in its order, then those it no longer has. */
export function scheduledCircuits({ site, found }: Pick<ScheduleOptions, 'site' | 'found'>): string[] {
  const known = site.circuits.map(({ id }) => id);
  const gone = [...found.circuits.keys()].filter((id) => !known.includes(id)).sort();
  return [...known.filter((id) => found.circuits.has(id)), ...gone];
}

/** A faulty tester or sensor measured a time, and not that the lamp was lit. */
export function seenSec({ verdict, reason, litSec }: LampResult): number | null {
  return verdict === Verdict.Void && isTesterFault(reason) ? null : litSec;
}

/** Every test of every luminaire of a circuit in the period, oldest first. */
export async function testsOf(o: ScheduleOptions, circuit: string): Promise<LampTest[][]> {
  const { site, period, logbook, found } = o;
  const results = await resultsOf(
    ...([logbook, `${site.id}/${circuit}`, period, found.circuits.get(circuit) ?? 0] as const),
  );
  return results.map(({ entry: { entry }, record, at }) => {
    const list = found.listOf(circuit, record.settings) ?? [];
    return lampResults(record).map((row, i): LampTest => {
      const id = list[i];
      const lamp = id === undefined ? undefined : found.lampOf(id);
      const unknown = `luminaire ${i + 1} of a list that the log book does not hold (settings ${record.settings})`;
      const verdict = verdictWord(row.verdict);
      return {
        ...{ entry, at, circuit, kind: testKindWord(record.type), verdict, litSec: seenSec(row) },
        milliamps: {
          battery: [row.milliampsAt5, row.milliampsAt60, row.milliampsEnd],
          mains: row.onMainsMilliamps,
        },
        luminaire: lamp?.id ?? id ?? unknown,
        formerly: lamp && id !== undefined && lamp.id !== id ? id : '',
        place: lamp?.place ?? '',
        ratedSec: lamp?.ratedSec ?? 0,
        reason: verdict === 'pass' ? '' : reasonSentence(row.reason),
      };
    });
  });
}

/** Tests of luminaires by rows: alike ones together, in sensor order. */
export function rowsOf(tests: readonly LampTest[]): ScheduleRow[] {
  const rows = new Map<string, ScheduleRow>();
  for (const { luminaire, formerly: _, place: __, milliamps: ___, ...test } of tests) {
    const key = `${test.verdict} ${reachedWords(test)} ${test.reason}`;
    const full = rows.get(key);
    if (full && full.luminaires.length < TOGETHER_MAX) full.luminaires.push(luminaire);
    else {
      if (full) rows.set(`${key} ${rows.size}`, full);
      rows.set(key, { ...test, luminaires: [luminaire] });
    }
  }
  return [...rows.values()];
}

/** How long it was seen lit; for a longer test against the rated duration. */
export function reachedWords({
  kind,
  litSec,
  ratedSec,
}: Pick<LampTest, 'kind' | 'litSec' | 'ratedSec'>): string {
  if (litSec === null) return 'not known';
  if (kind === 'brief') return lengthAtMost(litSec);
  return `${lengthAtMost(litSec)} of ${ratedSec > 0 ? lengthWord(ratedSec) : 'unknown'}`;
}

/** Ids a luminaire had before, in words; '' if none. */
export function formerWords(lamp: Luminaire): string {
  return allIdsOf(lamp).slice(1).join(', ');
}
