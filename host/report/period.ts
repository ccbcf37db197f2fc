// The period a report is about, in the building's civil time.
import { isDate, utcOf } from '../site/civil';
import type { Site } from '../site/model';

export interface Period {
  /** First and last day, local dates as YYYY-MM-DD. */
  from: string;
  to: string;
  /** UTC seconds; the second is the first after the period. */
  fromSec: number;
  toSec: number;
}

/** Longest period of one report, years: a log book itself has no limit. */
const YEARS_MAX = 20;
const DAY_SEC = 86_400;

/** The period from one local date to another. @throws Error with one sentence if they are none. */
export function periodOf({ timeZone }: Pick<Site, 'timeZone'>, from: string, to: string): Period {
  if (!isDate(from)) throw new Error('The first day of a report must be a real date as YYYY-MM-DD.');
  if (!isDate(to) || to < from)
    throw new Error('The last day of a report must be a real date as YYYY-MM-DD, not before the first.');
  const [fromSec, toSec] = [utcOf(timeZone, from, 0, 'start'), utcOf(timeZone, to, 24 * 60, 'end')];
  if (toSec - fromSec > YEARS_MAX * 366 * DAY_SEC)
    throw new Error(`A report covers ${YEARS_MAX} years at most; choose a shorter period.`);
  return { from, to, fromSec, toSec };
}

export function isWithin({ fromSec, toSec }: Period, utcSec: number): boolean {
  return utcSec >= fromSec && utcSec < toSec;
}
