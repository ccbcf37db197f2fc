import { dateAfter, localDate, utcOf, weekdayOf } from '../site/civil';
import type { Site } from '../site/model';
import { endMinute } from '../site/windows';

/** From one UTC second until another. */
interface Opened {
  from: number;
  to: number;
}

/** When people are in the building on a local date, UTC seconds. */
function openOn(site: Site, date: string): Opened[] {
  if (site.closedDates.includes(date)) return [];
  return site.opening
    .filter((hours) => hours.days.includes(weekdayOf(date)))
    .map((hours) => ({
      from: utcOf(site.timeZone, date, hours.from, 'end'),
      to: utcOf(site.timeZone, date, endMinute(hours), 'start'),
    }));
}

/** When people are in the building between two UTC seconds; in order, disjoint. */
export function openSpans(site: Site, fromUtcSec: number, untilUtcSec: number): Opened[] {
  const spans: Opened[] = [];
  const last = localDate(site.timeZone, untilUtcSec);
  for (
    let date = dateAfter(localDate(site.timeZone, fromUtcSec), -1);
    date <= last;
    date = dateAfter(date, 1)
  )
    spans.push(...openOn(site, date));
  const joined: Opened[] = [];
  for (const span of spans.sort((a, b) => a.from - b.from)) {
    const from = Math.max(fromUtcSec, span.from);
    const to = Math.min(untilUtcSec, span.to);
    const before = joined[joined.length - 1];
    if (before && from <= before.to) before.to = Math.max(before.to, to);
    else if (from < to) joined.push({ from, to });
  }
  return joined;
}

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
    for (const { from, to } of openOn(site, date))
      if (to > utcSec) soonest = Math.min(soonest, Math.max(from, utcSec));
  }
  return soonest;
}
