import { dateAfter, localDate, utcOf, weekdayOf } from '../site/civil';
import type { Site } from '../site/model';
import { endMinute } from '../site/windows';

/** Days looked ahead: the longest recharge a controller accepts is a week. */
const AHEAD_DAYS = 9;

/**
 * UTC second from which people are in the building, at or after another; that second itself while it is
 * open, Infinity when it stays closed for more than a week.
 */
export function nextOpening(site: Site, utcSec: number): number {
  const today = localDate(site.timeZone, utcSec);
  let soonest = Number.POSITIVE_INFINITY;
  for (let day = -1; day <= AHEAD_DAYS; day++) {
    const date = dateAfter(today, day);
    if (site.closedDates.includes(date)) continue;
    for (const hours of site.opening) {
      if (!hours.days.includes(weekdayOf(date))) continue;
      const from = utcOf(site.timeZone, date, hours.from, 'end');
      const until = utcOf(site.timeZone, date, endMinute(hours), 'start');
      if (until > utcSec) soonest = Math.min(soonest, Math.max(from, utcSec));
    }
  }
  return soonest;
}
