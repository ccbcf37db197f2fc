import { dateAfter, localDate, utcOf, weekdayOf } from '../../site/civil';
import type { Area, OpeningHours, Site } from '../../site/model';
import { endMinute } from '../../site/windows';

/** From one UTC second to another. */
export interface Opened {
  from: number;
  to: number;
}

/**
 * When people are anywhere in the building between two UTC seconds; in order, disjoint. Nobody comes on
 * closed dates. Where the clocks change, the reading that keeps people there longer is used.
 */
function occupiedSpans(site: Site, hours: OpeningHours[], fromUtcSec: number, untilUtcSec: number): Opened[] {
  const { timeZone } = site;
  const closed = new Set(site.closedDates);
  const first = dateAfter(localDate(timeZone, fromUtcSec), -1);
  const last = localDate(timeZone, untilUtcSec);
  const spans: Opened[] = [];
  for (let date = first; date <= last; date = dateAfter(date, 1)) {
    if (closed.has(date)) continue;
    const weekday = weekdayOf(date);
    for (const open of hours) {
      if (!open.days.includes(weekday)) continue;
      const from = Math.max(fromUtcSec, utcOf(timeZone, date, open.from, 'end'));
      const to = Math.min(untilUtcSec, utcOf(timeZone, date, endMinute(open), 'start'));
      if (from < to) spans.push({ from, to });
    }
  }
  const joined: Opened[] = [];
  for (const span of spans.sort((a, b) => a.from - b.from)) {
    const before = joined[joined.length - 1];
    if (before && span.from <= before.to) before.to = Math.max(before.to, span.to);
    else joined.push(span);
  }
  return joined;
}

/** When people are in an area between two UTC seconds; in order, disjoint. */
export function presentSpans(
  site: Site,
  area: Pick<Area, 'always' | 'occupied'>,
  fromUtcSec: number,
  untilUtcSec: number,
): Opened[] {
  if (area.always) return [{ from: fromUtcSec, to: untilUtcSec }];
  return occupiedSpans(site, area.occupied, fromUtcSec, untilUtcSec);
}

/** When the building is open to people between two UTC seconds; in order, disjoint. */
export function openSpans(site: Site, fromUtcSec: number, untilUtcSec: number): Opened[] {
  return occupiedSpans(site, site.opening, fromUtcSec, untilUtcSec);
}

/** How many of these ordered spans begin at or before a second. */
export function begunBy(spans: ArrayLike<number>, utcSec: number): number {
  let [low, high] = [0, spans.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (spans[middle] <= utcSec) low = middle + 1;
    else high = middle;
  }
  return low;
}
