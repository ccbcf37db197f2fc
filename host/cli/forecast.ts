// The time that a plan without a host is made for: the same for every command, so that all show the same nights.
import { monthsAfter, utcOf } from '../site/civil';
import type { Site } from '../site/model';

const DAY_SEC = 86400;
/** A plan of fewer months would leave out tests that the year's plan has in them. */
const PLANNED_MONTHS = 12;

export interface Forecast {
  fromUtcSec: number;
  /** Days of the plan. */
  days: number;
  /** UTC second up to which its tests are shown. */
  shownUntil: number;
}

/** @param first local date; @param months that are shown */
export function forecastFrom({ timeZone }: Site, first: string, months = PLANNED_MONTHS): Forecast {
  const fromUtcSec = utcOf(timeZone, first, 0, 'start');
  const after = (count: number) => utcOf(timeZone, monthsAfter(first, count), 0, 'start');
  const days = Math.round((after(Math.max(months, PLANNED_MONTHS)) - fromUtcSec) / DAY_SEC);
  return { fromUtcSec, days, shownUntil: after(months) };
}
