// Results with a failed luminaire. The log book does not tell verdicts apart, so results are read until enough are
// found; the page asks often, so only so many are read for one answer.

import type { Entry, EntryFilter, Logbook } from '../logbook/logbook';
import { resultVerdict } from '../records/result';
import { readRecord } from '../records/schema';

/** Results read at once. */
const SLICE = 500;
/** Most results read for one answer; the reader goes on from where it ended. */
const SEARCHED_MAX = 20_000;

export interface FailedResults {
  /** Newest first. */
  entries: Entry[];
  /** Number of the oldest entry looked at; 0 if there is nothing older to look at. */
  lookedTo: number;
}

function isFailed({ body }: Entry): boolean {
  const record = readRecord(body);
  return record?.kind === 'result' && resultVerdict(record) === 'fail';
}

/**
 * The newest failed results.
 * @param searchedMax most results read
 */
export async function failedResults(
  logbook: Pick<Logbook, 'page'>,
  { limit, ...filter }: Omit<EntryFilter, 'kind'>,
  searchedMax = SEARCHED_MAX,
): Promise<FailedResults> {
  const entries: Entry[] = [];
  for (let { before } = filter, left = searchedMax; ; ) {
    const most = Math.min(SLICE, left);
    const slice = await logbook.page({
      ...{ ...filter, kind: 'result', limit: most },
      ...(before !== undefined && { before }),
    });
    for (const entry of slice) {
      if (isFailed(entry)) entries.push(entry);
      if (entries.length === limit) return { entries, lookedTo: entry.entry };
    }
    if (slice.length < most) return { entries, lookedTo: 0 };
    before = slice[slice.length - 1].entry;
    left -= slice.length;
    if (left === 0) return { entries, lookedTo: before };
  }
}
